"""How a result shows in a notebook: its sentences, then its tidy frame; texts escaped."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import pandas as pd


def shown(sentences: Iterable[str], frame: pd.DataFrame) -> str:
    """The rich form of a result: a paragraph for each sentence, and the frame as a table."""
    paragraphs = "".join(f"<p>{escape(one)}</p>" for one in sentences)
    table = frame.to_html(index=False, na_rep="–", float_format=lambda value: f"{value:.4g}")
    return f"{paragraphs}{table}"
