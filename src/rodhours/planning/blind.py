"""Blind bags: a code for each variant, and the key to the codes in a sealed file.

Scope: codes, and the sealed text written and read; when it was opened is kept by the logbook.
The seal keeps eyes off, no more: it is compressed and encoded, not encrypted.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import secrets
import textwrap
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rodhours.errors import UnusableFile, UsageError

CONSONANTS = "DFHJKMPRTW"
VOWELS = "AE"
"""No letter that handwriting turns into a figure or into another of these."""
FIRST_LINE = "rodhours sealed key 1"
LONGEST_SEAL = 1_000_000
KEY_COLUMN = "plan_key"
"""The column of a plan's CSV with the fingerprint of its key."""


@dataclass(frozen=True)
class BagKey:
    """The key of one plan: which code stands for which variant, and what was planned."""

    plan: str
    codes: tuple[tuple[str, str], ...]
    trips: int
    """Trips planned."""

    @property
    def variant_of(self) -> dict[str, str]:
        """Code to variant."""
        return dict(self.codes)

    @property
    def fingerprint(self) -> str:
        """Eight letters and figures by which a plan knows its key: the SHA-256 of what is sealed,
        its first 40 bits in base 32 (RFC 4648)."""
        return base64.b32encode(hashlib.sha256(self.content).digest()[:5]).decode("ascii")

    @property
    def content(self) -> bytes:
        """What is sealed."""
        told = {"plan": self.plan, "trips": self.trips, "codes": self.variant_of}
        return json.dumps(told, ensure_ascii=False).encode()


def new_plan_name() -> str:
    """A name of four letters for a plan, such as KADE, drawn so that nobody can draw it again."""
    return "".join(secrets.choice(letters) for letters in (CONSONANTS, VOWELS) * 2)


def draw_codes(variants: Sequence[str], taken: Iterable[str] = ()) -> dict[str, str]:
    """A code of three letters for each variant, drawn by the machine's own secret chance.

    No seed leads back to them. Two codes differ in two letters at least, so that one letter
    misread makes no other bag; none is like a label in `taken`.
    """
    known = {one.casefold() for one in (*taken, *variants)}
    chance = secrets.SystemRandom()
    every = [a + b + c for a in CONSONANTS for b in VOWELS for c in CONSONANTS]
    for _ in range(100):
        codes: list[str] = []
        for code in chance.sample(every, len(every)):
            if code.casefold() in known:
                continue
            if all(sum(x != y for x, y in zip(code, one, strict=True)) > 1 for one in codes):
                codes.append(code)
            if len(codes) == len(variants):
                return dict(zip(variants, codes, strict=True))
    raise UsageError(
        f"There are not enough free bag codes for {len(variants)} variants: the logbook knows "
        "too many already. Begin a new logbook for the season, or name fewer variants."
    )


def sealed(key: BagKey, heading: Sequence[str]) -> str:
    """The text of a sealed file: lines that say what it is, then the key as nobody reads it by
    eye."""
    packed = zlib.compress(key.content, 9)
    body = textwrap.fill(base64.b64encode(packed).decode("ascii"), 64)
    return "\n".join([*heading, "", FIRST_LINE, body, f"checksum {_checksum(packed)}", ""])


def opened(text: str, name: str) -> BagKey:
    """The key in a sealed text; UnusableFile, naming the file, where it is none or was changed."""
    _, found, rest = text.partition(f"{FIRST_LINE}\n")
    body, _, checksum = rest.partition("checksum ")
    if not found or not checksum.strip():
        raise UnusableFile(
            f"{name} is no sealed key: it should be the file ending in .sealed that "
            "rodhours plan rotation --blind wrote."
        )
    try:
        packed = base64.b64decode("".join(body.split()), validate=True)
        if _checksum(packed) != checksum.split()[0]:
            raise ValueError("changed")
        unpacked = zlib.decompressobj().decompress(packed, LONGEST_SEAL)
        content = json.loads(unpacked.decode())
        codes = tuple((str(code), str(variant)) for code, variant in content["codes"].items())
        return BagKey(str(content["plan"]), codes, int(content["trips"]))
    except (
        binascii.Error, zlib.error, ValueError, KeyError, AttributeError, TypeError,
        OverflowError, RecursionError,
    ):  # fmt: skip
        raise UnusableFile(
            f"{name} was changed or cut off since it was written, so its key cannot be trusted. "
            "Take another copy of the file."
        ) from None


def _checksum(packed: bytes) -> str:
    return hashlib.sha256(packed).hexdigest()[:16]
