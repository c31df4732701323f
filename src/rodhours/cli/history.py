"""`rodhours history`: every change of the logbook, the newest first."""

from __future__ import annotations

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk


def history(logbook: LogbookOption = DEFAULT_LOGBOOK, as_json: JsonOption = False) -> None:
    """Every change of the logbook, the newest first: imports, renames, sessions left out.

    Each with its files and the SHA-256 of their bytes, the time zone, what it brought, and
    whether it was taken back. With --json the list is the same, the newest first too.
    """
    from rodhours.log import change_texts as words
    from rodhours.log.logbook import open_logbook
    from rodhours.log.logbook_file import not_as_written

    with open_logbook(logbook, unsound=True) as book:
        changes, wrong = book.changes()[::-1], book.unsound()
        anglers = {} if wrong else book.anglers_of_imports()
    whose = {number: sorted(filter(None, names)) for number, names in anglers.items()}
    if wrong:
        talk(f"{logbook}: {not_as_written(wrong)}")
    if as_json:
        listed = [one.to_dict() | {"anglers": whose.get(one.id, [])} for one in changes]
        answer_json(
            {"schema": 1, "logbook": str(logbook), "unsound": sorted(wrong), "changes": listed}
        )
        return
    if not changes:
        answer(words.EMPTY_HISTORY)
        return
    lines = [words.HISTORY_HEAD.format(logbook)]
    for one in changes:
        lines += words.change_lines(one, whose.get(one.id, []))
    if any(one.undone_at is None for one in changes):
        lines.append(words.HISTORY_FOOT)
    answer("\n".join(lines))
