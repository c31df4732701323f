"""`rodhours undo`: take back the last import, and put back what it replaced.

Says what it did; nothing to take back is an answer too.
"""

from __future__ import annotations

from rodhours.cli.options import DEFAULT_LOGBOOK, LogbookOption
from rodhours.cli.output import answer


def undo(logbook: LogbookOption = DEFAULT_LOGBOOK) -> None:
    """Take back the last import into the logbook, and put back what it replaced."""
    from rodhours.logbook.store import open_logbook
    from rodhours.wording.numbers import tallied

    with open_logbook(logbook) as book:
        undone = book.undo()
        if undone is None:
            answer(f"Nothing to take back: {logbook} holds no import.")
            return
        counts = book.counts()
    parts = [tallied(undone.sessions_removed, "session") + " taken out"]
    if undone.sessions_restored:
        parts.append(tallied(undone.sessions_restored, "session") + " put back as before")
    if undone.variants_removed:
        parts.append(tallied(undone.variants_removed, "variant row") + " taken out")
    if undone.variants_restored:
        parts.append(tallied(undone.variants_restored, "variant row") + " put back as before")
    answer(f"Took back the import of {', '.join(undone.files)}: {', '.join(parts)}.")
    answer(f"{logbook} now holds {tallied(counts.sessions, 'session')}.")
