"""Makes a drawn SVG fit to stand inside a page: unique ids, page colours, page font, no address.

Works on the text of the drawing alone; knows nothing of what is drawn.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape

FONT = "system-ui, sans-serif"
_MARKS = re.compile(r"<g([^>]*)>\n((?:<use [^>]*/>\n)+)</g>")
_STYLE = re.compile(r' style="([^"]*)"')
_LONG_NUMBER = re.compile(r"(?<![\w#.])-?\d+\.\d{3,}")


def for_page(drawing: str, name: str, alt: str, colours: Mapping[str, str]) -> str:
    """The `<svg>` element alone, as wide as its column, with `alt` as its accessible name.

    `name` goes before every id, so that several pictures can share a page. `colours` maps a
    colour of the drawing (`#1c1b19`) to the name of the page's colour (`ink`), which then follows
    light, dark and print; a picture that stands alone keeps the drawn colour. Places are rounded
    to a hundredth.
    """

    def clean(match: re.Match[str]) -> str:
        tag = match.group(0).replace("xlink:href=", "href=")
        if tag.startswith("<g "):
            tag = re.sub(r' id="[^"]*"', "", tag)
        tag = re.sub(r'\bid="', f'id="{name}-', tag)
        tag = tag.replace('href="#', f'href="#{name}-').replace("url(#", f"url(#{name}-")
        tag = re.sub(r"\bfont: ([^;\"]*?)([\d.]+px)[^;\"]*", _font, tag)
        tag = re.sub(r"; font-family: [^;\"]*", "", tag)
        tag = re.sub(r' transform="rotate\(-?0 [^"]*"', "", tag)
        tag = re.sub(r'(?<= [dxy]=")[^"]*', lambda given: _rounded(given.group(0)), tag)
        for drawn, called in colours.items():
            tag = tag.replace(drawn, f"var(--{called}, {drawn})")
        return tag

    body = drawing[drawing.index("<svg") :]
    for unwanted in (r"<metadata>.*?</metadata>", r"<style.*?</style>", r"<!--.*?-->"):
        body = re.sub(unwanted, "", body, flags=re.DOTALL)
    # Only tags are changed: a label may look like markup, and stays as it is.
    body = re.sub(r"<[^>]+>", clean, body)
    head, rest = body.split(">", 1)
    box = re.search(r'viewBox="([^"]*)"', head)
    if box is None:
        raise ValueError("the drawing has no viewBox")
    rest = _MARKS.sub(_styled_once, re.sub(r"\n\s*", "\n", rest).strip())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box.group(1)}" width="100%" '
        f'role="img" aria-label="{escape(alt)}" style="font-family: {FONT}">{rest}'
    )


def _font(match: re.Match[str]) -> str:
    weight = re.search(r"\b(?:bold|[1-9]00)\b", match.group(1))
    kept = f"; font-weight: {weight.group(0)}" if weight else ""
    return f"font-size: {match.group(2)}{kept}"


def _rounded(places: str) -> str:
    """Coordinates of one attribute in one line, to a hundredth of a point."""
    short = _LONG_NUMBER.sub(lambda found: f"{float(found.group(0)):.2f}", places)
    return " ".join(short.split())


def _styled_once(match: re.Match[str]) -> str:
    """A group of marks with their style said once, where it is the same for all."""
    styles = set(_STYLE.findall(match.group(2)))
    if len(styles) != 1 or "style=" in match.group(1):
        return match.group(0)
    marks = _STYLE.sub("", match.group(2))
    return f'<g{match.group(1)} style="{styles.pop()}">\n{marks}</g>'
