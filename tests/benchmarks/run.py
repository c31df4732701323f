"""All benchmarks, or those named on the command line; prints one line a ratio."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

BENCHMARKS = ("commands", "comparisons", "imports", "reports")

if __name__ == "__main__":
    for chosen in sys.argv[1:] or BENCHMARKS:
        print(f"{chosen}:", flush=True)
        for line in importlib.import_module(chosen).run():
            print(f"  {line}", flush=True)
