"""Pieces of work on several processes: results in order, and nothing left running."""

from __future__ import annotations

import multiprocessing
from math import factorial

from rodhours.evidence.processes import spread


def test_nothing_runs_on_when_the_work_is_done():
    """A process that outlives the work can end in the midst of Python's clean-up at exit, which
    then prints its complaint: all have ended when the results are handed back."""
    told: list[int] = []
    assert spread(factorial, [5, 3, 4], 2, told.append) == [120, 6, 24]
    assert sorted(told) == [3, 4, 5]
    assert multiprocessing.active_children() == []
