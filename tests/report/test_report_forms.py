"""The other forms of the report: the PDF, read by pypdf, says what the page says."""

from __future__ import annotations

import io
import re
import sys
from html import unescape
from pathlib import Path

import pypdf
import pytest
from seasons import HOSTILE, a_comparison, a_result, a_season, a_summary

from rodhours.cli.report import Form, form_and_place
from rodhours.errors import UnusableFile, UsageError
from rodhours.evidence.result import Note
from rodhours.report.page import season_page
from rodhours.report.pdf import page_as_pdf
from rodhours.report.season import Season
from rodhours.words import report as words

NAME = "*bait* `two` | _x_ # <b>"


@pytest.fixture(scope="module")
def page() -> str:
    """Names that could be markup, in every place where the log has one."""
    stints = a_season(("plain", NAME), venues=(HOSTILE, "Pit"), trips=12)
    notes = [Note("column_not_used", None, "caution", {"column": HOSTILE, "reason": HOSTILE})]
    result = a_result([a_comparison(NAME)], notes, filters={"venue": [HOSTILE]})
    return season_page(Season(stints, result, a_summary(stints)))


def shown(html: str) -> str:
    """The text of a piece of HTML; blanks are of no account."""
    return "".join(unescape(re.sub(r"<[^>]+>", "", html)).split())


def pieces(html: str, tags: str) -> list[str]:
    """The texts of elements that hold no others of their kind, in order."""
    html = re.sub(r"<style.*?</style>|<svg.*?</svg>", "", html, flags=re.DOTALL)
    found = re.findall(rf"<({tags})\b[^>]*>(.*?)</\1>", html, re.DOTALL)
    return [shown(inner) for _, inner in found]


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
    answer = rest.partition('<section id="limits">')[0]
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
    assert len(sentences) >= 5
    for sentence in sentences:
        assert sentence in "".join(sheets) or "Save" in sentence, sentence


def test_no_last_page_holds_next_to_nothing(page):
    """Where the foot alone would not fit any more, the last sheet holds the whole glossary too."""
    end = page[page.index('<div class="end">') :]
    filled = f'{page.partition("<main>")[0]}<main><div style="height: 215mm"></div>{end}'
    sheets = pypdf.PdfReader(io.BytesIO(page_as_pdf(filled))).pages
    last = "".join(sheets[-1].extract_text().split())
    assert len(sheets) == 2
    assert shown(words.CAUTIONS) in last
    for said in pieces(end, "dt|dd"):
        assert said in last


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
        (None, "a.JSON", ("json", "a.JSON")),
        (None, "a.txt", ("html", "a.txt")),
        ("json", "a.txt", ("json", "a.txt")),
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
    with pytest.raises(UsageError, match=r"ends in \.pdf, --format asks for json.*season\.json"):
        form_and_place(Form.JSON, tmp_path / "season.pdf")


def test_a_folder_is_no_report(command, tmp_path):
    """Refused in a line before any work."""
    (tmp_path / "pages").mkdir()
    done = command("report", "--out", "pages")
    assert (done.code, done.out) == (UsageError.exit_code, "")
    assert "is a folder" in done.err


def test_markdown_is_refused(command, tmp_path):
    """In one line that names the forms there are; nothing is written."""
    done = command("report", "--out", "season.md")
    assert (done.code, done.out) == (UsageError.exit_code, "")
    assert len(done.err.splitlines()) == 1
    assert "html, pdf, json" in done.err
    assert list(tmp_path.iterdir()) == []
