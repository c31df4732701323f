"""What `reports/` holds is what the example season gives today.

Where one of these fails after a change that is meant: `python reports/rebuild.py`. Pictures vary
with the fonts of a machine, so files are held to their words and their looks, not to their bytes.
"""

from __future__ import annotations

import importlib.util
import re
from html import unescape
from pathlib import Path
from types import ModuleType

import pypdf
import pytest
from PIL import Image

from rodhours.report.page import season_page
from rodhours.report.season import Season

FOLDER = Path(__file__).parents[2] / "reports"
KEPT = FOLDER / "season.html"
LONGEST_REPORT = 9
"""Pages of A4: what two people can print and read; seven when this was written."""


def without(page: str, *kinds: str) -> str:
    """A page without the elements of those kinds."""
    for kind in kinds:
        page = re.sub(rf"<{kind}.*?</{kind}>", "", page, flags=re.DOTALL)
    return page


def words_of(page: str) -> list[str]:
    """The words of a page, without styles and without what pictures hold."""
    text = without(page, "style", "svg")
    return unescape(re.sub(r"<[^>]+>", " ", text)).split()


def rebuild() -> ModuleType:
    """The script that makes the folder."""
    spec = importlib.util.spec_from_file_location("rebuild", FOLDER / "rebuild.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def fresh(example: Season) -> str:
    """The example season's page, made now, in the name of the day that the kept one has."""
    return season_page(example)


def test_the_kept_report_says_what_a_fresh_one_says(fresh: str) -> None:
    """Sentence by sentence and number by number."""
    kept = words_of(KEPT.read_text(encoding="utf-8"))
    assert len(kept) > 1000
    assert words_of(fresh) == kept


def test_the_report_is_short(fresh: str) -> None:
    """At most 1,900 words before anything is opened, those of the pictures aside."""
    page = without(fresh.partition("<main>")[2], "svg")
    shown = unescape(re.sub(r"<[^>]+>", " ", closed(page, r"<details\b[^>]*>")))
    assert 1000 < len(shown.split()) <= 1900


def closed(page: str, opening: str = "<details>") -> str:
    """A page with nothing of its folds but what opens them; `opening` is their tag."""
    inner = rf"{opening}\s*(<summary>(?:(?!</s).)*</summary>)(?:(?!<details\b).)*?</details>"
    while (shorter := re.sub(inner, r"\1", page, flags=re.DOTALL)) != page:
        page = shorter
    return page


def squeezed(html: str) -> str:
    """The text of a piece of HTML without its blanks."""
    return "".join(unescape(re.sub(r"<[^>]+>", "", html)).split())


@pytest.fixture(scope="module")
def sheets() -> list[str]:
    """The texts of the sheets of the kept PDF without blanks, and without title and number."""
    paper = pypdf.PdfReader(FOLDER / "season.pdf")
    texts = ["".join(sheet.extract_text().split()) for sheet in paper.pages]
    title = "".join(str(paper.metadata.title).split())
    feet = [f"{title}{i}/{len(texts)}" for i in range(1, len(texts) + 1)]
    assert all(foot in text for foot, text in zip(feet, texts, strict=True))
    return [text.replace(foot, "") for foot, text in zip(feet, texts, strict=True)]


def test_the_kept_paper_says_what_a_fresh_page_says(fresh: str, sheets: list[str]) -> None:
    """Every heading, sentence and open table of the page stands in the PDF, and it is short.

    A part that has nothing but folds under its heading is left out on paper.
    """
    page = closed(without(fresh, "style", "svg", "nav"))
    folds = r"(?:<summary>(?:(?!</s).)*</summary>\s*)+"
    page = re.sub(
        rf"<section\b[^>]*>\s*<h2\b(?:(?!</h2).)*</h2>\s*{folds}</section>", "", page, flags=re.S
    )
    page = re.sub(r'<p class="small download">.*?</p>', "", page)
    found = re.findall(r"<(h1|h2|h3|p|li|dt|dd|td|th|figcaption)\b[^>]*>(.*?)</\1>", page, re.S)
    said = "".join(sheets)
    assert len(found) > 100
    missing = [text for _, inner in found if (text := squeezed(inner)) not in said]
    assert missing == []
    assert 3 <= len(sheets) <= LONGEST_REPORT


def test_no_picture_of_the_kept_paper_is_cut(sheets: list[str]) -> None:
    """All labels of a picture stand on one sheet."""
    page = KEPT.read_text(encoding="utf-8")
    pictures = re.findall(r"<svg.*?</svg>", closed(page), re.DOTALL)
    assert len(pictures) >= 5
    for picture in pictures:
        shown = re.sub(r'<g visibility="hidden">.*?</g>', "", picture, flags=re.DOTALL)
        labels = [squeezed(text) for text in re.findall(r"<text\b[^>]*>(.*?)</text>", shown)]
        assert len(labels) > 5
        assert any(all(label in sheet for label in labels) for sheet in sheets), labels


def test_the_picture_is_that_of_the_first_screen(fresh: str) -> None:
    """Made from the words of today's first screen, as wide as the README shows it, sharp, and
    drawn on: light paper, dark letters, and the hues of the variants."""
    made_by = rebuild()
    with Image.open(FOLDER / "season.png") as picture:
        assert picture.text == {made_by.MADE_FROM: made_by.words_made_from(fresh)}
        assert picture.width == 1640
        assert 1200 < picture.height < 2400
        dots = picture.convert("RGB").getcolors(picture.width * picture.height)
    shares = {colour: count / (picture.width * picture.height) for count, colour in dots}
    assert 0.8 < shares[(255, 255, 255)] < 0.97
    assert sum(share for colour, share in shares.items() if max(colour) < 80) > 0.01
    coloured = [share for colour, share in shares.items() if max(colour) - min(colour) > 80]
    assert sum(coloured) > 0.002


def test_the_readme_shows_the_picture_and_says_what_it_shows() -> None:
    """Near its top, with an alt text that has the numbers of the answer."""
    text = (FOLDER.parent / "README.md").read_text(encoding="utf-8")
    found = re.search(r"!\[([^\]]*)\]\(reports/season\.png\)", text)
    assert found is not None
    assert text.index(found[0]) < text.index("## With your own log")
    said = KEPT.read_text(encoding="utf-8")
    answer = re.search(r'<section class="answer".*?</section>', said, re.DOTALL)
    assert answer is not None
    drawn = [text for text in re.findall(r"<text\b[^>]*>(.*?)</text>", answer[0]) if "(" in text]
    assert len(drawn) >= 3
    for label in drawn:
        ratio, limits = unescape(label).split(" (")
        assert ratio in found[1]
        assert f"({limits}" in found[1]
