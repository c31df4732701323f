"""Notes: each code has one text, in whole plain sentences, and several baits are said at once."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from note_examples import EXAMPLES, note
from rodhours import evidence
from rodhours.evidence.result import Note
from rodhours.words.notes import (
    NO_ALL_CLEAR,
    RESPONSE_TEXTS,
    TEXTS,
    TOGETHER,
    gathered,
    heading,
    parts,
    says,
)

PACKAGE = Path(evidence.__file__).parents[1]


@pytest.mark.parametrize(("example", "pieces"), EXAMPLES, ids=lambda one: getattr(one, "code", ""))
def test_a_note_is_told_in_whole_plain_sentences(example: Note, pieces: tuple[str, ...]) -> None:
    """What was found, how much it matters, what to do: with the turn that the figures ask for."""
    text = says(example)
    for piece in pieces:
        assert piece in text
    for part in parts(example):
        assert not part or part.endswith(".")
        assert not part or part[0].isupper() or part[0].isdigit() or part.startswith("pellet-20")
    assert not re.search(r"signific|prove|None|nan|\{|as slow|\(\)|  ", text)


def test_every_code_has_an_example_and_every_note_made_has_a_text() -> None:
    """A note without words must not reach a reader: the codes are read from the source."""
    assert {one.code for one, _ in EXAMPLES} == set(TEXTS)
    made = set()
    for path in [*PACKAGE.glob("evidence/**/*.py"), *PACKAGE.glob("kitchen/*.py")]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "id", getattr(node.func, "attr", "")) in ("Note", "_add")
                and isinstance(node.args[0], ast.Constant)
            ):
                made.add(node.args[0].value)
    assert len(made) > 20
    assert made <= {*TEXTS, *RESPONSE_TEXTS}


def test_an_unknown_code_is_an_error() -> None:
    """It raises rather than saying nothing."""
    with pytest.raises(KeyError):
        says(note("all_is_well"))


@pytest.mark.parametrize(
    ("code", "numbers", "pieces"),
    [
        ("few_fish", {"fish": 3, "reference_fish": 9}, ["3 on a against 9", "3 on b"]),
        (
            "no_fish",
            {"rod_hours": 88.0},
            ["a in 88 rod-hours and b in 88 rod-hours", "before you drop them"],
        ),
        (
            "not_same_trips",
            {"shared_sessions": 0, "reason": "unlinked"},
            ["a (no trips with both) and b", "are answered"],
        ),
        ("one_batch_each", {"batches": 1, "reference_batches": 1}, ["a, b and the reference."]),
        (
            "rods_not_rotated",
            {"by": "rod", "level": "2", "share": 0.9, "reference_share": 0.1, "level_ratio": None}
            | {"mix_ratio": None},
            ["a 90 % on rod 2 (the reference 10 %) and b 90 % on rod 2"],
        ),
        (
            "recipes_differ",
            {"columns": [{"column": "boil_s", "variant": 120.0, "reference": 90.0}]},
            ["a in boil_s (120 against 90) and b in boil_s"],
        ),
    ],
)
def test_what_holds_for_several_baits_is_said_once(code, numbers, pieces) -> None:
    """One text for both baits, with other notes between them, and each bait named."""
    between = note("rods_not_logged", None)
    found = gathered([note(code, "a", **numbers), between, note(code, "b", **numbers)])
    assert [severity for severity, _ in found] == ["caution", "caution"]
    assert found[1][1] == says(between)
    for piece in pieces:
        assert piece in found[0][1]
    assert code in TOGETHER


def test_notes_of_different_weight_or_reason_stay_apart() -> None:
    """A serious note is not hidden in a caution, nor one reason in another."""
    notes = [
        note("few_fish", "a", "serious", fish=1, reference_fish=1),
        note("few_fish", "b", "caution", fish=3, reference_fish=30),
        note("not_same_trips", "a", shared_sessions=0, reason="unlinked"),
        note("not_same_trips", "b", shared_sessions=2, reason="few_sessions"),
    ]
    assert gathered(notes) == [(one.severity, says(one)) for one in notes]


def test_equal_texts_are_said_once() -> None:
    """A text that names no bait is not repeated for each."""
    twice = [note("no_fish_on_reference", name, rod_hours=88.0) for name in ("a", "b")]
    assert len(gathered(twice)) == 1


@pytest.mark.parametrize(
    ("severities", "text"),
    [
        ([], "Against plain: nothing found."),
        (["caution"], "Against plain: one caution."),
        (
            ["serious", "serious", "caution", "information"],
            "Against plain: two serious things, one caution and one thing worth knowing.",
        ),
        (["information"] * 12, "Against plain: 12 things worth knowing."),
    ],
)
def test_the_heading_counts_by_weight(severities, text) -> None:
    """Worst first, in words up to nine; and no note is not an all-clear."""
    assert heading(severities, "plain") == text
    assert NO_ALL_CLEAR.startswith("No note is not an all-clear")
