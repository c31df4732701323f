"""The marks of .ods sheets, from content.xml."""

from __future__ import annotations

from rodhours.logbook.files.marks import Marks
from rodhours.logbook.files.xml_events import Attributes, BadXml, read_events

_VALUES = {
    "float": "value",
    "percentage": "value",
    "currency": "value",
    "date": "date-value",
    "time": "time-value",
    "boolean": "boolean-value",
}
_CELLS = ("table-cell", "covered-table-cell")


def ods_marks(content: bytes) -> dict[str, Marks]:
    """The marks of each sheet by its name; BadXml where the XML is damaged."""
    found: dict[str, Marks] = {}
    marks = Marks()
    row = rows = column = columns = 0
    cell: Attributes = {}
    value: list[str] = []
    in_cell = False
    aside = 0  # inside a comment or another drawing on the cell

    def start(name: str, attributes: Attributes) -> None:
        nonlocal marks, row, rows, column, columns, cell, in_cell, aside
        if in_cell:
            if aside or name in ("annotation", "frame", "shapes"):
                aside += 1
        elif name in _CELLS:
            column += columns
            columns = _repeated(attributes, "number-columns-repeated")
            cell, in_cell = attributes, True
            value.clear()
        elif name == "table-row":
            row += rows
            rows = _repeated(attributes, "number-rows-repeated")
            column, columns = 1, 0
        elif name == "table":
            marks = found.setdefault(attributes.get("name", ""), Marks())
            row, rows = 1, 0

    def text(piece: str) -> None:
        if in_cell and not aside:
            value.append(piece)

    def end(name: str) -> None:
        nonlocal in_cell, aside
        if aside:
            aside -= 1
        elif in_cell and name in _CELLS:
            in_cell = False
            _mark(marks, cell, "".join(value).strip(), (row, rows), (column, columns))

    read_events(content, start, end, text)
    return found


def _repeated(attributes: Attributes, name: str) -> int:
    number = attributes.get(name, "1")
    if not (number.isascii() and number.isdigit() and 0 < len(number) <= 9):
        raise BadXml(f"{name} is {number[:20]}")
    return max(int(number), 1)


def _mark(
    marks: Marks, cell: Attributes, shown: str, row: tuple[int, int], column: tuple[int, int]
) -> None:
    kind = cell.get("value-type", "")
    needs = _VALUES.get(kind)
    saved = bool(shown or "string-value" in cell) if needs is None else needs in cell
    if "formula" in cell and not (kind and saved):
        marks.unsaved.append((row[0], column[0]))
    if not kind:
        return
    marks.reach(row[0] + row[1] - 1, column[0] + column[1] - 1)
    marks.text += len(shown) * row[1] * column[1]
    # Repeated cells are spelt out for what a sheet of this size can hold, no further.
    if kind == "percentage" or (shown.startswith(("#", "Err:")) and "formula" in cell):
        for across in range(column[0], min(column[0] + column[1], column[0] + 1000)):
            for down in range(row[0], min(row[0] + row[1], row[0] + 1000)):
                if kind == "percentage":
                    marks.percentages.add((down, across))
                else:
                    marks.errors[down, across] = shown
