"""The forms that a season's report is written in: which one is meant, and a season written so."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.report.contents import Season


class Form(StrEnum):
    """The form of a report."""

    HTML = "html"
    PDF = "pdf"
    JSON = "json"


WRITTEN = {
    Form.HTML: "The season is on one page; open it in a browser:",
    Form.PDF: "The season as a PDF, made for A4:",
    Form.JSON: "The season’s results, for machines:",
}
"""What is said of a report that was written, before its path."""


def form_and_place(form: Form | None, out: Path | None) -> tuple[Form, Path]:
    """The form that is meant, by what was asked for or else by the name of the file, and the file.

    HTML where nothing says otherwise. UsageError where form and name contradict each other, for
    Markdown, and for a folder.
    """
    if out is None:
        form = form or Form.HTML
        return form, Path("reports") / f"season.{form}"
    ending = out.suffix.lower().removeprefix(".")
    if ending == "md":
        raise UsageError(f"A report is written as {', '.join(Form)}, not as Markdown: {out}.")
    named = Form(ending) if ending in set(Form) else None
    meant = form or named or Form.HTML
    if out.is_dir():
        raise UsageError(
            f"{out} is a folder: give the name of a file, such as {out / f'season.{meant}'}."
        )
    if named not in (None, meant):
        raise UsageError(
            f"Which is meant? {out} ends in {out.suffix}, --format asks for {meant}. "
            f"Leave --format out, or name the file {out.with_suffix(f'.{meant}')}."
        )
    return meant, out


def require(form: Form) -> None:
    """Raise UnusableFile where a form needs a library that is not there: before the work."""
    if form is Form.PDF:
        from rodhours.report.pdf import pdf_library

        pdf_library()


def in_form(season: Season, form: Form) -> str | bytes:
    """The season in that form, text or bytes."""
    if form is Form.JSON:
        from rodhours.cli.output import json_text
        from rodhours.report.machine import season_machine

        return json_text(season_machine(season)) + "\n"
    from rodhours.report.season import season_page

    page = season_page(season)
    if form is Form.PDF:
        from rodhours.report.pdf import page_as_pdf

        return page_as_pdf(page)
    return page
