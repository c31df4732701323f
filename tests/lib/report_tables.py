"""The tables of a report as rows of text, and whether a number as shown is a value."""

from __future__ import annotations

import base64
import csv
import io
import re
from html import unescape

NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


def text_of(html: str) -> str:
    html = re.sub(r"<svg.*?</svg>|<table.*?</table>", " ", html, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]*>", "", html)).replace("\u00a0", " ")


def section(page: str, name: str) -> str:
    return re.search(rf'<section[^>]* id="{name}">.*?</section>', page, re.DOTALL).group(0)


def table(html: str) -> list[dict[str, str]]:
    """The first table as rows by heading."""
    inside = re.search(r"<table.*?</table>", html, re.DOTALL).group(0)
    rows = [
        [text_of(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", inside, re.DOTALL)
    ]
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def agrees(shown: str, value: float) -> bool:
    """Whether a number as shown is the value, rounded to the digits that are shown."""
    digits = len(shown.partition(".")[2])
    return abs(float(shown.replace(",", "")) - value) <= 0.5 * 10**-digits * (1 + 1e-9)


def same_numbers(cell: str, *values: float) -> None:
    shown = NUMBER.findall(cell)
    assert len(shown) == len(values), (cell, values)
    for one, value in zip(shown, values, strict=True):
        assert agrees(one, value), (cell, values)


def same_rates(row: dict[str, str], one: dict[str, float]) -> None:
    """A row of catch rates on the page has the numbers of one in the machine form of a summary."""
    same_numbers(row["Fish"], one["fish"])
    same_numbers(row["Blanks"], one["blanks"])
    same_numbers(row["Rod-hours"], one["rod_hours"])
    same_numbers(row["Per 100 rod-hours"], one["per_100_rod_hours"])


def saved(html: str, file: str) -> list[dict[str, str]]:
    """The file of that name that can be saved from the page, as rows by heading."""
    data = re.search(rf'base64,([^"]*)" download="{re.escape(file)}"', html).group(1)
    text = base64.b64decode(data).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))
