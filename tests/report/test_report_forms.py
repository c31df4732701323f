"""The other forms of the report say what the page says: Markdown, read by markdown-it-py, and PDF,
read by pypdf."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pypdf
import pytest
from markdown_it import MarkdownIt
from seasons import HOSTILE, a_comparison, a_result, a_season, a_summary

from rodhours.cli.report_forms import Form, form_and_place
from rodhours.errors import UnusableFile, UsageError
from rodhours.evidence.result import Note
from rodhours.report import parts
from rodhours.report.contents import Season, season_content
from rodhours.report.markdown import season_markdown
from rodhours.report.pdf import page_as_pdf
from rodhours.report.season import season_page
from rodhours.wording import report as words

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
CUT = 18
NAME = "*bait* `two` | _x_ # <b>"


@pytest.fixture(scope="module")
def season() -> Iterator[Season]:
    """Names that could be markup, in every place where the log has one; tables cut early.

    Drawn once for page and text: that drawing is the same each time others hold.
    """
    stints = a_season(("plain", NAME), venues=(HOSTILE, "Pit"), trips=12)
    notes = [Note("column_not_used", None, "caution", {"column": HOSTILE, "reason": HOSTILE})]
    result = a_result([a_comparison(NAME)], notes, filters={"venue": [HOSTILE]})
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(parts, "MOST_TABLE_ROWS", CUT)
        season = Season(stints, result, a_summary(stints))
        content = season_content(season)
        for form in ("season", "markdown"):
            patched.setattr(f"rodhours.report.{form}.season_content", lambda _: content)
        yield season


@pytest.fixture(scope="module")
def page(season: Season) -> str:
    return season_page(season)


@pytest.fixture(scope="module")
def text(season: Season) -> str:
    return season_markdown(season)


def shown(html: str) -> str:
    """The text of a piece of HTML; blanks are of no account."""
    return "".join(unescape(re.sub(r"<[^>]+>", "", html)).split())


def pieces(html: str, tags: str) -> list[str]:
    """The texts of elements that hold no others of their kind, in order."""
    html = re.sub(r"<style.*?</style>|<svg.*?</svg>", "", html, flags=re.DOTALL)
    found = re.findall(rf"<({tags})\b[^>]*>(.*?)</\1>", html, re.DOTALL)
    return [shown(inner) for _, inner in found]


def test_the_text_has_the_words_of_the_page(page, text):
    """Headings in the same order, every sentence, every table and what each picture shows; the
    answer is among the first lines."""
    read = READER.render(text)
    named = pieces(page, "h1|h2|h3")
    assert [one for one in pieces(read, "h1|h2|h3") if one in named][: len(named)] == named
    said = shown(read)
    without_links = re.sub(
        r'<p class="small download">.*?</p>|<a .*?</a>\.?|<p class="small">\d+ further.*?</p>',
        "",
        page,
    )
    sentences = pieces(without_links, "p|li|dt|dd|figcaption")
    assert len(sentences) > 30
    for sentence in sentences:
        assert sentence in said, sentence
    for alt in re.findall(r'<svg[^>]*aria-label="([^"]*)"', page):
        assert shown(alt) in said
    cells = set(pieces(page, "td|th"))
    assert len(cells) > 40
    # Facts are a list in the text, whose names end in a colon.
    assert {cell for cell in cells if cell not in said} == set()
    assert "**Not settled:" in text.split("\n## ")[0]


def test_no_name_takes_effect_in_the_text(text):
    """Read as Markdown, there is no element beside those that the report makes itself; every
    table has as many cells in each row as in its head."""
    tokens = READER.parse(text)
    kinds = {token.type.removesuffix("_open") for token in tokens if token.type.endswith("_open")}
    assert kinds <= {
        *("heading", "paragraph", "bullet_list", "list_item"),
        *("table", "thead", "tbody", "tr", "th", "td"),
    }
    inside = {
        child.type for token in tokens for child in token.children or () if token.type == "inline"
    }
    assert inside <= {"text", "softbreak", "em_open", "em_close", "strong_open", "strong_close"}
    assert not {token.type for token in tokens} & {"html_block", "code_block", "fence"}
    # Names are never what is emphasised; of NAME only its own letters are seen.
    assert shown(READER.render(text)).count("".join(NAME.split())) > 10
    bold = re.findall(r"<(?:strong|em)>(.*?)</", READER.render(text), re.DOTALL)
    assert not {"bait", "x"} & {shown(one) for one in bold}


def test_a_long_table_stands_at_the_end_and_a_cut_one_says_so(page, text):
    """Between the sentences no table has more than 16 rows; where the page cuts one, the text has
    as many rows, and both say how many are left out."""
    answer, _, end = text.partition(f"\n## {words.FIXED['numbers_at_the_end']}\n")
    tables = re.findall(r"(?:^\|.*\n)+", answer, re.MULTILINE)
    assert len(tables) > 3
    assert max(table.count("\n") - 2 for table in tables) <= 16
    left_out = re.findall(r">(\d+) further rows are left out", page)
    assert left_out
    assert re.findall(r"^(\d+) further rows are left out", end, re.MULTILINE) == left_out
    assert max(table.count("\n") - 2 for table in re.findall(r"(?:^\|.*\n)+", end, re.M)) == CUT


def alternatives(tree: pypdf.generic.PdfObject) -> list[str | None]:
    """What stands in the place of each figure for a reader who cannot see it."""
    one = tree.get_object()
    if isinstance(one, list):
        return [alt for part in one for alt in alternatives(part)]
    if not isinstance(one, dict):
        return []
    own = [one.get("/Alt")] if one.get("/S") == "/Figure" else []
    return own + (alternatives(one["/K"]) if "/K" in one else [])


def test_the_paper_is_the_page(page):
    """A4, tagged, with title and language, what each picture shows as its alternative text,
    numbered sheets and every sentence; the same page gives
    the same bytes. (Sentence by sentence the kept report is looked at in the test of its folder.)
    """
    head, _, rest = page.partition("<main>")
    answer = rest.partition('<section id="rates">')[0]
    short = f"{head}<main>{answer}</main></body></html>"
    made = page_as_pdf(short)
    assert page_as_pdf(short) == made
    paper = pypdf.PdfReader(io.BytesIO(made))
    assert paper.metadata.title == unescape(re.search(r"<title>(.*?)</title>", page)[1])
    root = paper.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    (alt,) = re.findall(r'<svg[^>]*aria-label="([^"]*)"', short)
    assert alternatives(root["/StructTreeRoot"]) == [unescape(alt)]
    sheets = ["".join(sheet.extract_text().split()) for sheet in paper.pages]
    for i, sheet in enumerate(paper.pages):
        # ISO 216: A4 is 210 mm by 297 mm, in points of 1/72 inch.
        assert float(sheet.mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
        assert float(sheet.mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)
        assert f"{i + 1}/{len(sheets)}" in sheets[i]
    sentences = pieces(short, "h1|p|figcaption")
    assert len(sentences) > 5
    for sentence in sentences:
        assert sentence in "".join(sheets) or "Save" in sentence, sentence


@pytest.mark.parametrize("raised", ["ImportError", "OSError"])
def test_without_the_library_one_line_says_what_to_do(command, tmp_path, monkeypatch, raised):
    """Library or Pango missing: exit code 4 before any work, the way out, no file, nothing of the
    library's own words."""
    (tmp_path / "fake").mkdir()
    fake = tmp_path / "fake" / "weasyprint.py"
    fake.write_text(f"print('a page about itself')\nraise {raised}('libpango')\n")
    monkeypatch.syspath_prepend(fake.parent)
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    done = command("report", "--out", "season.pdf")
    assert done.code == UnusableFile.exit_code
    assert done.out == ""
    assert "pip install 'rodhours[pdf]'" in done.err
    assert "itself" not in done.err
    assert not (tmp_path / "season.pdf").exists()


@pytest.mark.parametrize(
    ("form", "out", "meant"),
    [
        (None, None, ("html", "reports/season.html")),
        ("pdf", None, ("pdf", "reports/season.pdf")),
        (None, "a.md", ("md", "a.md")),
        (None, "a.JSON", ("json", "a.JSON")),
        (None, "a.txt", ("html", "a.txt")),
        ("md", "a.txt", ("md", "a.txt")),
        ("html", "a.html", ("html", "a.html")),
        ("pdf", "a", ("pdf", "a")),
    ],
)
def test_the_ending_says_the_form(tmp_path, monkeypatch, form, out, meant):
    """`--format` goes before the ending where that says nothing; HTML where neither does."""
    monkeypatch.chdir(tmp_path)
    place = None if out is None else Path(out)
    found = form_and_place(None if form is None else Form(form), place)
    assert found == (Form(meant[0]), Path(meant[1]))


def test_a_form_against_the_ending_is_asked_about(tmp_path):
    """Neither is guessed; the message names both, and a name that would do."""
    with pytest.raises(UsageError, match=r"ends in \.pdf, --format asks for md.*season\.md"):
        form_and_place(Form.MD, tmp_path / "season.pdf")
    with pytest.raises(UsageError, match=r"is a folder.*season\.pdf"):
        form_and_place(Form.PDF, tmp_path)
