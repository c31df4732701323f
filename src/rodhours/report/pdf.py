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
from rodhours.words.pdf import NEEDS_LIBRARY

_COLOUR = re.compile(r"var\(--[\w-]+, (#[0-9a-f]{6})\)")
_PICTURE = re.compile(r'<svg\b([^>]* aria-label="([^"]*)"[^>]*)>')


def pdf_library() -> Any:
    """The library. Raises UnusableFile where it or Pango is missing."""
    try:
        # Without Pango it prints a page about itself before it raises.
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            import weasyprint
    except (ImportError, OSError) as error:
        # OSError: the library is there, and the system's text layout library is not.
        raise UnusableFile(NEEDS_LIBRARY) from error
    # What it does not know of a style sheet that is made for browsers is no news to a reader.
    logging.getLogger("weasyprint").propagate = False
    return weasyprint


def page_as_pdf(page: str) -> bytes:
    """A self-contained HTML page as tagged PDF bytes, one A4 page after the other.

    The same page gives the same bytes, with the same versions and fonts. Raises UnusableFile where
    the library or Pango is missing.
    """
    # The library knows no variables inside SVG: the drawn colours, which are those for paper.
    drawn = _COLOUR.sub(r"\1", page)
    # What a picture shows it takes from a title inside.
    named = _PICTURE.sub(r"<svg\1><title>\2</title>", drawn)
    document = pdf_library().HTML(string=named, url_fetcher=_refuse)
    printed: bytes = document.write_pdf(pdf_tags=True)
    return printed


def _refuse(address: str, *_: object, **__: object) -> NoReturn:
    raise ValueError(f"a page asks for nothing, and so not for {address}")
