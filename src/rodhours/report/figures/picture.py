"""What every picture is when it is done: a frozen value, free of the library that drew it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd


@dataclass(frozen=True)
class Picture:
    """A picture with everything that a reader who cannot see it needs.

    `svg` is one `<svg>` element and `narrow` the same picture laid out for a phone, empty where
    there is one drawing for all widths; `table` holds the numbers drawn, ready to be shown.
    """

    svg: str
    alt: str
    caption: str
    table: pd.DataFrame
    narrow: str = ""
