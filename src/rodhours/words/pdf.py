"""The words about the PDF form of the season page."""

from __future__ import annotations

NEEDS_LIBRARY = (
    "A PDF needs a further library: pip install 'rodhours[pdf]' (it uses the system's text layout "
    "library Pango, such as Debian's libpango-1.0-0 and libpangoft2-1.0-0). Or open the HTML page "
    "in a browser and print it: it is made for A4."
)
