"""What holds for every picture of the report, whatever it shows."""

import re
from html import unescape
from xml.etree import ElementTree

from rodhours.report.pictures import Picture
from rodhours.report.pictures.style import WIDTH
from rodhours.report.text_width import width

TEXT = re.compile(r'<text style="([^"]*)"[^>]* x="([^"]*)"[^>]*>([^<]*)</text>')


def sound(picture: Picture) -> None:
    """One <svg> of the common width that scales and names itself; text within its edges (widths
    are estimated on the wide side), every coordinate a number, and nothing asked for elsewhere."""
    svg = picture.svg
    root = ElementTree.fromstring(svg)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert (root.get("width"), root.get("height")) == ("100%", None)
    assert root.get("viewBox", "").startswith(f"0 0 {WIDTH:g} ")
    # What has parts that can have the focus is a group, and each part a picture with a name.
    parts = [one for one in root.iter() if one.get("class") == "trip"]
    assert root.get("role") == ("group" if parts else "img")
    assert all(one.get("role") == "img" and one.get("aria-label") for one in parts)
    assert root.get("aria-label") == picture.alt
    assert 30 < len(picture.alt) <= 300
    for places in re.findall(r' (?:d|x|y)="([^"]*)"', svg):
        assert not re.search(r"nan|inf", places)
    for style, x, text in TEXT.findall(svg):
        size = float(re.search(r"([\d.]+)px", style).group(1))
        wide = width(unescape(text), size)
        start = float(x) - wide * (0.5 if "middle" in style else "anchor: end" in style)
        assert -6 < start <= start + wide < WIDTH + 14, text
    # A shade too faint for 3:1 on paper has edges that are not.
    for shade in re.findall(r'<path d="([^"]*)"[^>]*fill: var\(--band', svg):
        for x in {x for x, _ in re.findall(r"[ML] (\S+) (\S+)", shade)}:
            edge = rf'<path d="M {x} \S+ L {x} [^"]*"[^>]*stroke: var\(--soft'
            assert re.search(edge, svg), shade
    asked = re.findall(r'(?:href|src)="([^"]*)"', svg) + re.findall(r"url\(([^)]*)\)", svg)
    assert all(place.startswith("#") for place in asked)
    assert not re.search(r"<(script|style|image|foreignObject|metadata)", svg)
    assert "http" not in svg.replace('xmlns="http://www.w3.org/2000/svg"', "")
