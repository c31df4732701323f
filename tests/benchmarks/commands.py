"""Whole commands as a user starts them, against the imports that they cannot do without."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from timing import ratio, seconds

EXAMPLE = Path(__file__).parents[2] / "example_data"


def started(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)


def run() -> Iterator[str]:
    """Help against typer; compare against pandas and statsmodels; the demo end to end."""

    def rodhours(*arguments: str) -> None:
        started("-m", "rodhours", *arguments)

    yield str(
        ratio(
            "rodhours --help against 'import typer'",
            lambda: rodhours("--help"),
            lambda: started("-c", "import typer"),
            2.0,
            pairs=15,
        )
    )
    with tempfile.TemporaryDirectory() as folder:
        logbook = str(Path(folder) / "logbook.sqlite")
        files = [str(EXAMPLE / f"{name}.csv") for name in ("stints", "sessions", "variants")]
        rodhours("import", *files, str(EXAMPLE / "catches.csv"), "--logbook", logbook)
        yield str(
            ratio(
                "rodhours compare against 'import pandas, statsmodels.api'",
                lambda: rodhours("compare", "pellet-20", "plain", "--logbook", logbook),
                lambda: started("-c", "import pandas, statsmodels.api"),
                1.25,
            )
        )
        demo = str(Path(folder) / "demo")
        whole = min(seconds(lambda: rodhours("demo", "--dir", demo)) for _ in range(3))
        needed = "typer, pandas, jinja2, seaborn, statsmodels.genmod.api"
        loading = min(seconds(lambda: started("-c", f"import {needed}")) for _ in range(3))
        yield (
            f"rodhours demo end to end: {whole:.2f} s here, of which {loading:.2f} s "
            f"({100 * loading / whole:.0f} %) is importing libraries"
        )
