"""Many seasons on one core or several: each once, in order, and nothing left running."""

from __future__ import annotations

import multiprocessing
from math import comb, factorial

from rodhours.simulate.run import Meter, judged, spread


def test_nothing_runs_on_when_the_work_is_done():
    """A process that outlives the work can end in the midst of Python's clean-up at exit, which
    then prints its complaint: all have ended when the results are handed back."""
    told: list[int] = []
    assert spread(factorial, [5, 3, 4], 2, told.append) == [120, 6, 24]
    assert sorted(told) == [3, 4, 5]
    assert multiprocessing.active_children() == []


def test_every_season_of_every_kind_once():
    """However the work is cut, each kind has the outcome of each of its seasons, in their order,
    and the seasons done go up to those there are to do; all kinds advance together."""
    seen: list[tuple[int, int]] = []
    asked = {7: 8, 3: 4}
    outcomes = judged(comb, asked, lambda kind: 3, 1, Meter(lambda *now: seen.append(now)))
    assert outcomes == {
        kind: [comb(kind, number) for number in range(seasons)] for kind, seasons in asked.items()
    }
    assert [done for done, _ in seen] == sorted({done for done, _ in seen})
    assert {to_do for _, to_do in seen} == {12}
    assert seen[-1] == (12, 12)


def test_work_that_is_stopped_answers_every_question_in_part():
    """Ctrl-C leaves outcomes of each kind, from the first season on."""

    def stop(done: int, to_do: int) -> None:
        if done >= 10:
            raise KeyboardInterrupt

    outcomes = judged(comb, {7: 8, 3: 8}, lambda kind: 2, 1, Meter(stop))
    assert all(0 < len(found) < 8 for found in outcomes.values())
    assert outcomes[7] == [comb(7, number) for number in range(len(outcomes[7]))]
