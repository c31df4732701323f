"""The page for the phone at the bank: taps to notes, in one file that asks for nothing.

Scope: what the page is given, and its policy; what it does is in `bank_page.js`.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from importlib.resources import files

from markupsafe import Markup

from rodhours.log.notes import grammar
from rodhours.planning.blind import KEY_COLUMN
from rodhours.planning.rotation import Rotation
from rodhours.report.templates import template
from rodhours.words import rotation as words

FREE_RODS = 3


def bank_page(plan: Rotation | None = None, baits: Sequence[str] = ()) -> str:
    """The page as HTML: it knows the trips of a plan, or is for free ones with these baits."""
    title = words.title(plan) if plan else words.NOTES_TITLE
    given = {
        "name": plan.name if plan else "free",
        "title": title,
        "key": f"{KEY_COLUMN}: {plan.key}" if plan and plan.key else "",
        "rods": plan.rods if plan else FREE_RODS,
        "baits": plan.variants if plan else baits,
        "trips": [
            {"label": words.trip_label(plan.name, number), "parts": parts}
            for number, parts in enumerate(plan.turns, 1)
        ]
        if plan
        else [],
        "words": {one.says: one.says for one in (*grammar.OF_TRIP, *grammar.OF_ROD)}
        | {"trip": grammar.TRIP, "unfished": grammar.NOT_FISHED.says},
        "says": {**words.PAGE_SAYS, "taps": words.PAGE_TAPS},
    }
    script = files("rodhours.report").joinpath("bank_page.js").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    page: str = template("bank_page.html.j2", {}).render(
        title=title,
        digest=digest,
        # In JSON, the signs by which a text could end its element are written by their numbers.
        given=Markup(json.dumps(given).replace("<", "\\u003c").replace("&", "\\u0026")),
        script=Markup(script),
        how=[words.HOW_TO_TAP, *([words.KEEP_TO_IT] if plan else []), *words.key_said(plan)],
        cautions=words.CAUTIONS,
        no_script=words.NO_SCRIPT,
    )
    return page
