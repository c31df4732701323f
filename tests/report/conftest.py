"""The example season's report, gathered once for all tests of this folder."""

from __future__ import annotations

import pytest

from rodhours.cli import report as command
from rodhours.cli.demo import REFERENCE, TABLES, example_season
from rodhours.cli.import_ import import_files
from rodhours.report.season import Season

MADE_ON = "1764547200"
"""The day that the kept report names, as `reports/rebuild.py` has it."""


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Season:
    """What the report of the example season is made from, today."""
    folder, gathered = tmp_path_factory.mktemp("example"), []
    logbook = folder / "logbook.sqlite"
    import_files([example_season() / name for name in TABLES], logbook=logbook)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", MADE_ON)
        patch.setattr(command, "_in_form", lambda season, _: gathered.append(season) or "")
        command.report(out=folder / "season.html", logbook=logbook, reference=REFERENCE)
    return gathered[0]
