"""Makes this folder again from the example season: the page, the paper, the README's picture.

Run `python reports/rebuild.py` after a change that is meant, and commit what it writes. Needs the
extra `pdf` (the extra `test` has it) and a Chromium for the picture, which is the first screen of
the page and knows the words that it was made from.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from html import unescape
from pathlib import Path

from PIL import Image, ImageChops, PngImagePlugin

from rodhours.cli.demo import REFERENCE, TABLES, example_season
from rodhours.cli.import_ import import_files
from rodhours.cli.report import Form, report
from rodhours.whole_files import write_whole

HERE = Path(__file__).resolve().parent
PAGE, PAPER, PICTURE = (HERE / f"season.{ending}" for ending in ("html", "pdf", "png"))
WIDTH, SCALE, TALLEST = 820, 2, 1600
"""The window of the picture in CSS pixels, and how many dots each of them has."""
MADE_ON = "1764547200"
"""The day that the report names, 2025-12-01, in seconds since 1970 as SOURCE_DATE_EPOCH has it."""
MADE_FROM = "Made from words of SHA-256"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
_ANSWER = re.compile(r'<section class="answer".*?</section>', re.DOTALL)


def first_screen(page: str) -> str:
    """The page with nothing on it but its answer."""
    head, _, rest = page.partition("<main>")
    found = _ANSWER.search(rest)
    assert found is not None
    return f"{head}<main>{found[0]}</main></body></html>"


def words_made_from(page: str) -> str:
    """SHA-256 of the words of the first screen, what its picture shows among them."""
    answer = first_screen(page).partition("<main>")[2]
    shown = re.sub(r'<svg[^>]*aria-label="([^"]*)".*?</svg>', r" \1 ", answer, flags=re.DOTALL)
    words = " ".join(unescape(re.sub(r"<[^>]+>", "", shown)).split())
    return hashlib.sha256(words.encode("utf-8")).hexdigest()


def photographed(page: str, browser: str) -> bytes:
    """The first screen of the page as PNG, with no empty paper beneath it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        alone, shot = folder / "page.html", folder / "page.png"
        alone.write_text(first_screen(page), encoding="utf-8")
        subprocess.run(
            [
                browser,
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--host-resolver-rules=MAP * ~NOTFOUND",
                "--hide-scrollbars",
                f"--force-device-scale-factor={SCALE}",
                f"--window-size={WIDTH},{TALLEST}",
                f"--user-data-dir={folder / 'profile'}",
                f"--screenshot={shot}",
                alone.as_uri(),
            ],
            capture_output=True,
            timeout=120,
            check=True,
        )
        whole = Image.open(shot).convert("RGB")
    paper = Image.new("RGB", whole.size, whole.getpixel((0, 0)))
    drawn = ImageChops.difference(whole, paper).getbbox()
    assert drawn is not None, "the picture is empty"
    beneath = min(drawn[3] + drawn[1], whole.height)  # as much paper as above
    kept = PngImagePlugin.PngInfo()
    kept.add_text(MADE_FROM, words_made_from(page))
    stream = io.BytesIO()
    few = whole.crop((0, 0, whole.width, beneath)).quantize(128, dither=Image.Dither.NONE)
    few.save(stream, "PNG", optimize=True, pnginfo=kept)
    return stream.getvalue()


def rebuild() -> None:
    """Write the three files, the picture only where a Chromium is."""
    os.environ["SOURCE_DATE_EPOCH"] = MADE_ON
    with tempfile.TemporaryDirectory() as name:
        logbook = Path(name) / "logbook.sqlite"
        import_files([example_season() / table for table in TABLES], logbook=logbook)
        for place, form in ((PAGE, Form.HTML), (PAPER, Form.PDF)):
            report(out=place, form=form, logbook=logbook, reference=REFERENCE, force=True)
    browser = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if browser is None:
        sys.exit(f"{PICTURE} was left as it is: there is no Chromium here to draw it")
    write_whole(PICTURE, photographed(PAGE.read_text(encoding="utf-8"), browser))
    print(PICTURE)


if __name__ == "__main__":
    rebuild()
