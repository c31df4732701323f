"""The season page as a PDF: the same page, laid out for paper by a library that asks for nothing.

The library is an extra (`pip install 'rodhours[pdf]'`), since it needs the system's text layout
library Pango.
"""

from __future__ import annotations

import io
import logging
import re
from contextlib import redirect_stderr, redirect_stdout
from typing import Any, NoReturn

from rodhours.errors import UnusableFile
from rodhours.words.report import PDF_NEEDS_LIBRARY

_COLOUR = re.compile(r"var\(--[\w-]+, (#[0-9a-f]{6})\)")
_PICTURE = re.compile(
    r'<svg\b([^>]*viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]* aria-label="([^"]*)"[^>]*)>(.*?)</svg>',
    re.DOTALL,
)
_JOINED = re.compile(
    r'<text style="([^"]*)font-size: ([\d.]+)px; text-anchor: start; fill: (#\w+)" '
    r'x="([\d.]+)" y="([\d.]+)">([^<]*[\u0590-\u1cff][^<]*)</text>'
)
"""Words with letters from Hebrew to Khmer: they join, stack or run from right to left."""
WIDEST_CM, TALLEST_CM = 9.6, 24.5
"""How large a picture is on paper, as the page's own style says."""


def pdf_library() -> Any:
    """The library. Raises UnusableFile where it or Pango is missing."""
    try:
        # Without Pango it prints a page about itself before it raises.
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            import weasyprint
    except (ImportError, OSError) as error:
        # OSError: the library is there, and the system's text layout library is not.
        raise UnusableFile(PDF_NEEDS_LIBRARY) from error
    # What it does not know of a style sheet that is made for browsers is no news to a reader.
    logging.getLogger("weasyprint").propagate = False
    return weasyprint


def page_as_pdf(page: str) -> bytes:
    """A self-contained HTML page as tagged PDF bytes, one A4 page after the other.

    The same page gives the same bytes, with the same versions and fonts. Raises UnusableFile where
    the library or Pango is missing.
    """
    # The library knows no variables inside SVG: the drawn colours, which are those for paper.
    html = _PICTURE.sub(_placed, _COLOUR.sub(r"\1", page))
    library = pdf_library()
    printed: bytes = library.HTML(string=html, url_fetcher=_refuse).write_pdf(pdf_tags=True)
    return printed


def _placed(picture: re.Match[str]) -> str:
    """A picture for the library: what it shows in a title inside, and its joined letters over it.

    Inside of pictures the library draws letter by letter.
    """
    attributes, wide, tall, alt, inside = picture.groups()
    a_point = min(WIDEST_CM / float(wide), TALLEST_CM / float(tall))
    words = "".join(
        f'<span style="position: absolute; white-space: nowrap; font-family: sans-serif; {weight}'
        f"line-height: 1; font-size: {float(size) * a_point:.4f}cm; color: {colour}; "
        f"left: {float(x) * a_point:.3f}cm; "
        f'top: {(float(y) - 0.85 * float(size)) * a_point:.3f}cm">{text}</span>'
        for weight, size, colour, x, y, text in _JOINED.findall(inside)
    )
    svg = f"<svg{attributes}><title>{alt}</title>{_JOINED.sub('', inside)}</svg>"
    if not words:
        return svg
    return (
        f'<div style="position: relative; width: {float(wide) * a_point:.3f}cm">{svg}{words}</div>'
    )


def _refuse(address: str, *_: object, **__: object) -> NoReturn:
    raise ValueError(f"a page asks for nothing, and so not for {address}")
