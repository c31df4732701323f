"""Makes a drawn SVG fit to stand inside a page: unique ids, page colours, page font, no address.

Works on the text of the drawing alone; knows nothing of what is drawn.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape

FONT = "system-ui, sans-serif"


def for_page(drawing: str, name: str, alt: str, colours: Mapping[str, str]) -> str:
    """The `<svg>` element alone, as wide as its column, with `alt` as its accessible name.

    `name` goes before every id, so that several pictures can share a page. `colours` maps a
    colour of the drawing (`#1c1b19`) to the name of the page's colour (`ink`), which then follows
    light, dark and print; a picture that stands alone keeps the drawn colour.
    """

    def clean(match: re.Match[str]) -> str:
        tag = match.group(0).replace("xlink:href=", "href=")
        tag = re.sub(r'\bid="', f'id="{name}-', tag)
        tag = tag.replace('href="#', f'href="#{name}-').replace("url(#", f"url(#{name}-")
        tag = re.sub(r"\bfont: ([^;\"]*?[\d.]+px)[^;\"]*", rf"font: \1 {FONT}", tag)
        tag = re.sub(r"\bfont-family: [^;\"]*", f"font-family: {FONT}", tag)
        tag = re.sub(r' transform="rotate\(-?0 [^"]*"', "", tag)
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
    rest = re.sub(r"\n\s*\n+", "\n", rest).strip()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box.group(1)}" width="100%" '
        f'role="img" aria-label="{escape(alt)}">{rest}'
    )
