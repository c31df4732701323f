"""The words of the notation, declared once: reader, writer, README and the phone's page agree.

A line a trip and a line a rod and bait; the parts of a line stand between commas, each begins with
its word. A text in quotation marks is taken to the letter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

TRIP, REMARK = "trip", "#"


@dataclass(frozen=True)
class Word:
    """One word: the column that its value is of, other words for it, and how it is written."""

    says: str
    column: str
    example: str
    holds: str
    also: tuple[str, ...] = ()


BLANK = Word("blank", "fish", "", "no fish", ("blanked", "no fish", "nothing"))
NOT_FISHED = Word("not fished", "", "", "the rod stayed out", ("unfished",))
FISH = Word(
    "fish",
    "fish",
    "carp 22lb 4oz at 3:10",
    "each fish by itself, with what you know of it; or their number: `fish 2`",
    ("caught", "landed"),
)
LOST = Word("lost", "lost", "1", "fish hooked and lost: a number, or each like a fish", ())

OF_TRIP = (
    Word("water", "venue", "Quernhollow Mere", "the water", ("venue", "lake")),
    Word("swim", "swim", "Point", "the swim", ("peg", "pitch")),
    Word("till", "end", "13 Apr 12:00", "when it ended", ("until", "end")),
    Word("angler", "angler", "Ann", "who fished", ()),
    Word("note", "notes", '"wind, rain"', "anything else", ()),
)
OF_ROD = (
    Word("planned", "planned", "", "the bait that was planned: this one, or the one named"),
    Word("in", "cast_in", "18:30", "when the bait went in", ("cast in",)),
    Word("out", "cast_out", "6:15", "when it came out for good", ("cast out",)),
    Word("hours", "hours", "11.75", "instead of in and out", ()),
    FISH,
    BLANK,
    LOST,
    NOT_FISHED,
    Word("batch", "batch", "PL-2", "the code on the bag", ("bag",)),
    Word("spot", "spot", "gravel bar", "the spot"),
    Word("rig", "rig", "hair", "the rig"),
    Word("hook", "hook_size", "4", "the hook's size"),
    Word("depth", "depth_m", "3.5", "metres"),
    Word("range", "range_m", "60", "metres"),
    Word("part", "part_of_trip", "2", "the part of a trip with swaps"),
)
COUNTED = re.compile(r"(\d[\d.]*)\s*(fish|landed|caught|lost|hours)", re.IGNORECASE)
"""`2 fish` is understood as well as `fish 2`."""
_NUMBER_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
NUMBERS = {word: number for number, word in enumerate(_NUMBER_WORDS, start=1)} | dict.fromkeys(
    ("blank", "none", "no", "nil", "nothing", "-"), 0
)
"""Counts that a phone's owner writes in words: none of these is a species."""
UNITS = re.compile(r"(?:lbs?|pounds?|ozs?|ounces?|kgs?|kilos?|gr?|grams?)\.?", re.IGNORECASE)
"""Words of a weight: the others of a fish are its species."""
_DASHES = re.compile("[\u2010-\u2015\u2212]")
_SINGLE = re.compile("[\u2018\u2019\u201a\u2032]")
_QUOTED = (
    r'(?<![^\s,:=])(?:"(?:[^"]|"")*"|[\u201c\u201d\u201e\u00ab][^"\u201c\u201d\u00bb]*'
    r'["\u201c\u201d\u00bb])'
)
"""A text in quotation marks, straight (a mark within is doubled) or as phones curl them."""
_JOINT = re.compile(r"\s+(?=(?:in|out|hours|fish|lost)\s+\d|(?:blank|not fished)$)", re.IGNORECASE)
"""Where a comma is meant, though none stands there."""
SIGN = re.compile(r"^[-\u2013\u2014:.)]\s+")
"""What may stand between a rod and its bait."""
_PART = re.compile(rf"(?:{_QUOTED}|[^,])+")
_FIRST = re.compile(rf"({_QUOTED}|\S+)\s*(.*)", re.DOTALL)
OPENS = '"\u201c\u201d\u201e\u00ab'
_MARKS = frozenset('",#=:\u201c\u201d\u201e\u00ab\u00bb')


def plain(text: str) -> str:
    """An unquoted text as it was meant: spaces, dashes and apostrophes as a phone changes them."""
    return _SINGLE.sub("'", _DASHES.sub("-", " ".join(text.split())))


def find(text: str, words: tuple[Word, ...]) -> tuple[Word, str] | None:
    """The word with which a part begins, and its value; capitals do not matter."""
    told = [(one, says) for one in words for says in (one.says, *one.also)]
    for word, says in sorted(told, key=lambda one: -len(one[1])):
        found = re.match(rf"{says}(?![\w'-])[:=]?\s*", text, re.IGNORECASE)
        if found:
            return word, text[found.end() :].strip()
    return None


def split(line: str) -> list[str]:
    """The parts of a line; commas between quotation marks divide nothing, empty parts are none."""
    return [part.strip() for part in _PART.findall(line) if part.strip()]


def split_rod(line: str) -> list[str]:
    """The parts of a rod's line, where a comma was forgotten before a word and its figure too."""
    parts = split(line)
    return [one for part in parts for one in ([part] if '"' in part else _JOINT.split(part))]


def is_quoted(text: str) -> bool:
    """Whether all of a text stands in quotation marks."""
    return re.fullmatch(_QUOTED, text) is not None


def value(text: str) -> str:
    """A text without its quotation marks, a doubled one as one; unquoted, in plain letters."""
    return text[1:-1].replace('""', '"') if is_quoted(text) else plain(text)


def quoted(text: str, always: bool = False) -> str:
    """A text so that it is read back as it is: in quotation marks where it needs them."""
    easy = text and plain(text) == text and not _MARKS & set(text)
    joined = _JOINT.search(text) or SIGN.match(text) or find(text, (*OF_TRIP, *OF_ROD))
    if easy and not always and not joined:
        return text
    return '"' + text.replace('"', '""').replace("\r", " ").replace("\n", " ") + '"'


def first_text(text: str) -> tuple[str, str]:
    """The first text of a part and what follows it: a word, or all between quotation marks."""
    found = _FIRST.match(text)
    return (found[1], found[2].strip()) if found else ("", "")
