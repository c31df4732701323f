"""Texts as Markdown: read by markdown-it-py, a CommonMark parser, they are the same texts again.

With tables and strike-through switched on, as common readers of Markdown have them.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from rodhours.report.markdown_text import WIDTH, escaped, heading, paragraph, pipe_table

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
PLAIN = {"text", "softbreak"}
HOSTILE = (
    '<script>alert("x")</script>',
    "**bold** and _soft_ and __both__ and `code` and ~~gone~~",
    "[link](http://pit.example) ![picture](x.png) <http://pit.example> www.pit.example",
    "pipe | in | a name",
    "# heading",
    "ends in #",
    "- a list\n- of two",
    "1. first",
    "2) second",
    "> said",
    "two\n\nparagraphs\n---\nand a rule",
    "title\n===",
    "```\nfence\n```",
    "~~~",
    "    four blanks",
    "trailing blanks  \nand a backslash\\\nthen more",
    "\\* \\\\ \\",
    "&lt;b&gt; &amp; &copy; &#42; & alone",
    "a_b_c _d_ e__f",
    "[ref]: http://pit.example",
    "<!-- gone -->",
    "-----",
    "小麦粉 *と* ペレット",
    "tab\tand \x1b[31mred\x00",
    "a - b + c = d: 1. 2) #3 > 4 " * 8,
)
PIECES = [*"ab1 *_`<>|#[]()!~&;:-+=.\\@/\n\t$\"'", "www.", "://", "&amp;", " 1. ", " - ", "\n\n"]


def as_shown(text: str) -> str:
    """What a page in HTML shows of a text: one blank for each run of them; no controls."""
    one = " ".join(text.split())
    return "".join("\ufffd" if ord(letter) < 32 or letter == "\x7f" else letter for letter in one)


def blocks(text: str) -> list[str]:
    return [token.type for token in READER.parse(text)]


def inline(text: str) -> str:
    """The text of the one inline part, which has nothing but text in it."""
    (part,) = [token for token in READER.parse(text) if token.type == "inline"]
    assert {child.type for child in part.children or ()} <= PLAIN
    return "".join(
        " " if child.type == "softbreak" else child.content for child in part.children or ()
    )


def comes_back(text: str) -> None:
    said = paragraph(escaped(text))
    assert blocks(said) == ["paragraph_open", "inline", "paragraph_close"]
    assert inline(said) == as_shown(text)
    item = paragraph(f"*Caution.* {escaped(text)}", "- ", "  ")
    assert blocks(item)[:3] == ["bullet_list_open", "list_item_open", "paragraph_open"]
    assert blocks(item).count("inline") == 1
    named = heading(2, text)
    assert blocks(named) == ["heading_open", "inline", "heading_close"]
    assert inline(named) == as_shown(text)
    table = pipe_table(["name", text], [[text, "1"], ["", text]])
    cells = [token for token in READER.parse(table) if token.type == "inline"]
    assert len(cells) == 6
    for cell, meant in zip(cells, ["name", text, text, "1", "", text], strict=True):
        assert {child.type for child in cell.children or ()} <= {"text"}
        assert "".join(child.content for child in cell.children or ()) == as_shown(meant)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_takes_effect(text):
    """In a paragraph, a list, a heading and a table a text stays itself, letter by letter."""
    comes_back(text)


@settings(max_examples=120)
@given(st.lists(st.sampled_from(PIECES), min_size=1, max_size=40).map("".join))
def test_no_mix_of_marks_takes_effect(text):
    """The same for any mix of the letters that Markdown, HTML and terminals could obey."""
    if as_shown(text):
        comes_back(text)


def test_ordinary_texts_stay_readable():
    """Names, numbers and options have no backslash in them."""
    for text in ("pellet-20", "attractor_ml_per_egg", "p < 0.001 & 95 %", "--adjust rod", "(1.5)"):
        assert escaped(text) == text


def test_addresses_are_no_links_either():
    """Readers that make links of bare addresses find none: the marks they look for are escaped."""
    for text in ("http://pit.example", "www.pit.example", "ann@pit.example"):
        assert text not in escaped(text)
        assert escaped(text).replace("\\", "") == text


def test_sentences_are_wrapped_and_tables_line_up():
    """No line of prose is wider than stated; the bars of a table stand under each other."""
    lines = paragraph(escaped("one word after the other " * 30), "- ", "  ").splitlines()
    assert len(lines) > 5
    assert max(map(len, lines)) <= WIDTH
    rows = pipe_table(["bait", "fish"], [["plain", "3"], ["a|b", "12"]]).splitlines()
    assert len({len(row) for row in rows}) == 1
