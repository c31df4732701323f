"""Names that may be meant by one that is not there; labels that look alike."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches
from itertools import takewhile


def near_names(name: str, known: Iterable[str], most: int = 3, likeness: float = 0.6) -> list[str]:
    """Known names that may be meant, the nearest first; capitals and punctuation do not count.

    `likeness` is how alike they must be: twice the letters they share over all their letters.
    """
    by_plain = {_plain(other): other for other in sorted(known, reverse=True) if other}
    return [by_plain[match] for match in get_close_matches(_plain(name), by_plain, most, likeness)]


def is_slip(one: str, other: str) -> bool:
    """Whether two names differ in one letter of a longer word: one more, another, two swapped."""
    one, other = one.casefold(), other.casefold()
    begins = _alike_from_the_start(one, other)
    rest = one[begins:], other[begins:]
    ends = _alike_from_the_start(rest[0][::-1], rest[1][::-1])
    left, right = (text[: len(text) - ends] for text in rest)
    word = re.split(r"[\W\d_]", one[:begins])[-1] + re.split(r"[\W\d_]", rest[0])[0]
    near = max(len(left), len(right)) <= 1 or (len(left) == 2 and left == right[::-1])
    return near and (left + right).isalpha() and len(word) >= 4


def _alike_from_the_start(one: str, other: str) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def unknown_name(what: str, name: str, known: Iterable[str]) -> str:
    """What to say of a name that is not there: the nearest one, and all there are."""
    known = sorted(known)
    near = near_names(name, known, most=1)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    return f"There is no {what} '{name}'.{hint} Known: {', '.join(known) or 'none'}."


def _plain(name: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", name.casefold())) or name


def look_alikes(labels: Iterable[str], *, keep_punctuation: bool = False) -> list[list[str]]:
    """Groups of labels that differ in capitals, spaces or punctuation alone.

    `keep_punctuation` is for labels in which it carries meaning, as in dates. A point
    between digits always counts: 1.5 is not 15.
    """
    texts = list(set(labels))
    if keep_punctuation:
        # All at once, as a log may have very many labels of sessions.
        plain = "".join("\0".join(texts).casefold().split()).split("\0")
    else:
        plain = [_looks(text) for text in texts]
    if len(set(plain)) == len(plain):
        return []
    groups: dict[str, list[str]] = {}
    for text, looks in zip(texts, plain, strict=True):
        groups.setdefault(looks, []).append(text)
    return sorted(sorted(group) for group in groups.values() if len(group) > 1)


def _looks(text: str) -> str:
    text = text.casefold()
    text = re.sub(r"(?<=\d)[.,](?=\d)", "\0", text)
    # A sign before a number is not decoration: +5 and -5 stay apart.
    text = re.sub(r"(?<!\w)-(?=\d)", "\1", text)
    plain = "".join(char for char in text if char.isalnum() or char in "\0\1")
    return plain or text
