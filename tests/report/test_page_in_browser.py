"""Reports of long and odd seasons in a browser: nothing too wide, no error, no request.

One start of the browser looks at several pages at all widths: each page in frames of its own,
in a page that measures them. CI sees one season; all of them are seen with the marker `full`.
"""

from __future__ import annotations

import io
import json
import os
import re
from html import unescape
from pathlib import Path

import pypdf
import pytest

from browser import find_browser, visit
from odd_seasons import HOSTILE, SEASONS, write
from report_tables import saved, section
from rodhours.report.pdf import page_as_pdf

WIDTHS = (390, 820, 1440)
FEW = ("a script tag",)
ROOT = Path(__file__).parents[2]
OPTIONS = ("--allow-file-access-from-files", "--hide-scrollbars")
MEASURE = """
window.onload = () => {
  const found = [...document.querySelectorAll('iframe')].map(frame => {
    const inside = frame.contentDocument, all = [...inside.querySelectorAll('body *')];
    all.filter(one => one.tagName == 'DETAILS').forEach(one => { one.open = true; });
    const shown = all.filter(one => one.tagName == 'svg' && one.getBoundingClientRect().width);
    const words = [...inside.querySelectorAll('svg text')].filter(one =>
      one.getBoundingClientRect().width);
    const letters = words.map(one => {
      const picture = one.ownerSVGElement, size = parseFloat(getComputedStyle(one).fontSize);
      return size * picture.getBoundingClientRect().width / picture.viewBox.baseVal.width;
    });
    const past = words.filter(one => {
      const own = one.getBoundingClientRect(), box = one.ownerSVGElement.getBoundingClientRect();
      return own.right > box.right + 3 || own.left < box.left - 3;
    });
    return { name: frame.title, wide: inside.documentElement.scrollWidth,
      room: frame.contentWindow.innerWidth, pictures: shown.length,
      figures: inside.querySelectorAll('figure').length, least: Math.min(...letters),
      past: past.map(one => one.textContent) };
  });
  const said = document.createElement('pre');
  said.textContent = JSON.stringify(found);
  document.body.append(said);
};
"""


@pytest.fixture
def browser() -> str:
    found = find_browser()
    if found is None:
        pytest.skip("no Chromium here, so the report cannot be opened in it")
    return found


@pytest.fixture
def pages(command, tmp_path):
    """A function that makes the reports of some odd seasons, through files and logbook."""

    def made(names):
        found = {}
        for i, name in enumerate(names):
            folder = tmp_path / f"season-{i}"
            folder.mkdir()
            logbook = folder / "logbook.sqlite"
            done = command("import", *write(name, folder), "--logbook", logbook, "--sure")
            assert done.code == 0, done.err
            found[name] = folder / "season.html"
            done = command("report", "--out", found[name], "--logbook", logbook)
            assert done.code == 0, done.err
        return found

    return made


def framed(pages: dict[str, Path], folder: Path) -> Path:
    """A page with all the pages in frames of all widths, which writes down what it measures."""
    frames = "".join(
        f'<iframe title="{name}, {width}" src="{page.as_uri()}" width="{width}" height="900" '
        'style="border: 0; flex: none"></iframe>'
        for name, page in pages.items()
        for width in WIDTHS
    )
    outer = folder / "frames.html"
    outer.write_text(
        f'<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,">'
        f"<body>{frames}<script>{MEASURE}</script>",
        encoding="utf-8",
    )
    return outer


def look(browser: str, pages: dict[str, Path], folder: Path) -> None:
    seen = visit(browser, framed(pages, folder), folder, *OPTIONS)
    assert seen.console == []
    assert seen.requests == []
    found = json.loads(unescape(re.search(r"<pre>(.*)</pre>", seen.dom, re.DOTALL).group(1)))
    assert len(found) == len(pages) * len(WIDTHS)
    for one in found:
        assert one["room"] in WIDTHS
        assert one["wide"] <= one["room"], one
        # Each picture is shown, its letters large enough to be read.
        assert one["pictures"] == one["figures"] > 0, one
        assert one["least"] >= 10.5, one
        assert one["past"] == [], one


@pytest.mark.usefixtures("few_looks")
def test_odd_seasons_stay_readable(browser, pages, tmp_path):
    """At 390, 820 and 1440 px nothing is wider than the window, letters in pictures stay within
    them and are at least 10.5 px tall; no line on the console, no request. A script tag as the
    name of a bait, a water, an angler and a session, and in the notes, is read as text, in alt
    texts and files too, and no script is on the page."""
    made = pages(FEW)
    page = made["a script tag"].read_text(encoding="utf-8")
    assert "<script" not in page
    assert page.count("&lt;script&gt;") > 10
    for label in re.findall(r'aria-label="([^"]*)"', page):
        assert "<" not in label
    for part in ("answer", "growth", "hours", "fish", "next"):
        assert HOSTILE in unescape(section(page, part)), part
    for file in ("anglers.csv", "growth.csv", "next.csv"):
        assert HOSTILE in {cell for row in saved(page, file) for cell in row.values()}, file
    look(browser, made, tmp_path)


@pytest.mark.full
def test_all_odd_seasons_stay_readable(browser, pages, tmp_path):
    """The same of every odd season."""
    look(browser, pages(SEASONS), tmp_path)


@pytest.mark.full
@pytest.mark.parametrize("name", SEASONS)
def test_every_odd_season_can_be_printed(browser, pages, tmp_path, name):
    """The browser makes a PDF of it without a line on the console."""
    sheet = tmp_path / "season.pdf"
    seen = visit(browser, pages([name])[name], tmp_path, f"--print-to-pdf={sheet}")
    assert seen.console == []
    assert sheet.read_bytes().startswith(b"%PDF")


@pytest.mark.full
@pytest.mark.parametrize("name", SEASONS)
def test_no_word_of_an_odd_season_is_past_the_edge_of_its_paper(pages, name):
    """In the PDF no text begins in the margin of 20 mm at the right, or above or below the page."""
    page = pages([name])[name].read_text(encoding="utf-8")
    right = (210 - 20) / 25.4 * 72

    def look_at(text, outer, inner, *_):
        across = inner[4] * outer[0] + inner[5] * outer[2] + outer[4]
        up = inner[4] * outer[1] + inner[5] * outer[3] + outer[5]
        if text.strip():
            assert 0 < up < 297 / 25.4 * 72, text
            assert across < right, text

    for sheet in pypdf.PdfReader(io.BytesIO(page_as_pdf(page))).pages:
        assert sheet.extract_text(visitor_text=look_at)


def axe_file() -> Path:
    """The file of axe-core: where AXE_CORE says, or in node_modules of the checkout."""
    named = os.environ.get("AXE_CORE")
    place = Path(named) if named else ROOT / "node_modules" / "axe-core" / "axe.min.js"
    if not place.is_file():
        pytest.skip(f"axe-core is not at {place}: npm install axe-core, or AXE_CORE=FILE")
    return place


AUDIT = """
window.addEventListener('load', () => {
  document.querySelectorAll('details').forEach(one => { one.open = true; });
  axe.run(document, { resultTypes: ['violations'] }).then(found => {
    const said = document.createElement('pre');
    said.id = 'audit';
    said.textContent = JSON.stringify({
      dark: matchMedia('(prefers-color-scheme: dark)').matches, rules: found.passes.length,
      violations: found.violations.map(one => [one.id, one.nodes[0].html]) });
    document.body.append(said);
  });
});
"""


@pytest.mark.full
@pytest.mark.parametrize("dark", [False, True])
def test_an_accessibility_audit_finds_nothing(browser, pages, tmp_path, dark):
    """axe-core finds no violation on any odd season's report, in light and in dark."""
    axe = axe_file().read_text(encoding="utf-8")
    scheme = f"--blink-settings=preferredColorScheme={0 if dark else 1}"
    for name, page in pages(SEASONS).items():
        text, without_policy = re.subn(
            r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", page.read_text("utf-8")
        )
        assert without_policy == 1
        copy = page.with_name("audited.html")
        copy.write_text(f"{text}<script>{axe}</script><script>{AUDIT}</script>", encoding="utf-8")
        seen = visit(browser, copy, page.parent, scheme, "--virtual-time-budget=60000")
        said = re.search(r'<pre id="audit">(.*?)</pre>', seen.dom, re.DOTALL)
        assert said is not None, name
        audit = json.loads(unescape(said.group(1)))
        assert audit["dark"] is dark
        assert audit["rules"] > 20
        assert audit["violations"] == [], name
