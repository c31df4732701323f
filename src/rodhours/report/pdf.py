"""The season page as a PDF: the same page, laid out for paper by a library that asks for nothing.

The library is an extra (`pip install 'rodhours[pdf]'`), since it needs the system's text layout
library Pango.
"""

from __future__ import annotations

import re
from typing import NoReturn

from rodhours.errors import UnusableFile
from rodhours.wording.pdf import NEEDS_LIBRARY

_COLOUR = re.compile(r"var\(--[\w-]+, (#[0-9a-f]{6})\)")


def page_as_pdf(page: str) -> bytes:
    """A self-contained HTML page as PDF bytes, one A4 page after the other.

    Raises UnusableFile where the library or Pango is missing.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError) as error:
        # OSError: the library is there, and the system's text layout library is not.
        raise UnusableFile(NEEDS_LIBRARY) from error
    # The library knows no variables inside SVG: the drawn colours, which are those for paper.
    printed: bytes = HTML(string=_COLOUR.sub(r"\1", page), url_fetcher=_refuse).write_pdf(
        pdf_tags=True
    )
    return printed


def _refuse(address: str, *_: object, **__: object) -> NoReturn:
    raise ValueError(f"a page asks for nothing, and so not for {address}")
