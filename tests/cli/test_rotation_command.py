"""`rodhours plan rotation` and `plan unblind` as a user meets them."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import re
import zlib
from pathlib import Path

import pytest

from browser import find_browser, visit
from driven import Driven

NAMES = ("plain", "pellet-20", "pellet-30")
ASKED = ("plan", "rotation", "--variants", ",".join(NAMES), "--rods", "3")


def rows_of(path):
    return list(csv.DictReader(io.StringIO(Path(path).read_text(encoding="utf-8"))))


def write_rows(path: str, rows: list[dict[str, str]]) -> None:
    stream = io.StringIO()
    writer = csv.DictWriter(stream, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    Path(path).write_text(stream.getvalue(), encoding="utf-8")


def fill_in(path, trips, fish=lambda number: number % 3):
    """Write hours and fish into the first trips of a plan's CSV, a date into their first rows."""
    rows = rows_of(path)
    labels = list(dict.fromkeys(row["session"] for row in rows))[:trips]
    for number, row in enumerate(rows):
        if row["session"] in labels:
            row["hours"], row["fish"] = "12", str(fish(number))
            if row["rod"] == "1":
                row["date"] = f"2026-04-{labels.index(row['session']) + 1:02d}"
    write_rows(path, rows)
    return rows


def test_json_has_its_schema(command):
    """Every turn, the balance with its bound, the same for the same seed."""
    done = command(*ASKED, "--trips", "6", "--json")
    assert done.code == 0, done.err
    found = json.loads(done.out)
    assert found["schema"] == 1
    assert found["variants"] == list(NAMES)
    assert len(found["turns"]) == 18
    assert list(found["turns"][0]) == ["trip", "part", "rod", "variant"]
    assert {one["measure"] for one in found["balance"]} == {
        "turns", "rods", "trips_shared", "order", "stays",
    }  # fmt: skip
    assert command(*ASKED, "--trips", "6", "--json").out == done.out


def test_the_same_plan_in_another_season_has_another_name(command):
    """Trips are labelled by the plan, so that a plan made again once trips of it are in gets a
    new name, and says so; a name that was asked for is kept, with a warning."""
    asked = ("--variants", "plain,pellet-20", "--rods", "2", "--trips", "3")
    first = command("plan", "rotation", *asked, "--json", "--csv", "plan.csv")
    name = json.loads(first.out)["plan"]
    assert "already" not in first.err
    fill_in("plan.csv", 2)
    assert command("import", "plan.csv").code == 0
    again = command("plan", "rotation", *asked, "--json")
    assert json.loads(again.out)["plan"] == f"{name}2"
    assert f"--name {name}" in again.err
    once_more = command("plan", "rotation", *asked, "--json", "--name", name)
    assert json.loads(once_more.out) == json.loads(first.out)
    assert "taken for the same trip" in once_more.err


def test_text_shows_plan_balance_and_cautions(command):
    """The table, the balance beside its bound, power lines, dark water, licence, rules."""
    done = command(*ASKED, "--trips", "6")
    assert done.code == 0, done.err
    for said in (
        "trip", "rod 1", "least by counting", "as even as counting allows",
        "overhead power lines", "water's edge in the dark", "Rod licence and the rules",
    ):  # fmt: skip
        assert said in done.out, said


def test_swaps(command):
    """A trip of 24 h with a swap every 12 h has two parts; 7 h does not fit and is refused."""
    done = command(*ASKED, "--trips", "6", "--swap-every", "12h", "--trip-hours", "24", "--json")
    found = json.loads(done.out)
    assert (found["parts"], found["part_hours"], len(found["turns"])) == (2, 12, 36)
    refused = command(*ASKED, "--swap-every", "7h", "--trip-hours", "24")
    assert refused.code == 2
    assert "12h" in refused.err


def test_reference_on_every_trip_or_not(command):
    """With more variants than rods a reference is on every trip, unless --even."""
    asked = ("plan", "rotation", "--variants", "a,b,c", "--rods", "2", "--trips", "3",
             "--reference", "b", "--json")  # fmt: skip
    found = json.loads(command(*asked).out)
    assert sum(one["variant"] == "b" for one in found["turns"]) == 3
    even = json.loads(command(*asked, "--even").out)
    assert sum(one["variant"] == "b" for one in even["turns"]) == 2
    said = command(*asked[:-1]).out
    assert "The reference, b, is on every trip" in said


@pytest.mark.parametrize(
    "given",
    [
        [],
        ["--variants", "plain"],
        ["--variants", "plain,plain"],
        ["--variants", "a,b", "--rods", "9"],
        ["--variants", "a,b", "--trips", "0"],
        ["--variants", "a,b", "--reference", "c"],
        ["--variants", "a,b", "--swap-every", "often"],
        ["--variants", "a,b", "--packing-list", "list.txt"],
        ["--variants", "a,b", "--name", "a name with spaces"],
        ["--variants", "a,b", "--sheet", "."],
    ],
)
def test_what_makes_no_sense_is_usage(command, given):
    """Exit code 2, a sentence, no plan."""
    done = command("plan", "rotation", *given)
    assert done.code == 2, done.out
    assert done.err.strip()
    assert "Traceback" not in done.err
    assert done.out == ""


def test_the_filled_in_csv_is_a_trip_log(command):
    """Trips that were fished are imported, the others counted; later they follow."""
    assert command(*ASKED, "--trips", "6", "--csv", "plan.csv", "--name", "spring").code == 0
    empty = command("import", "plan.csv")
    assert empty.code == 4
    assert "nothing is filled in yet" in empty.err
    rows = fill_in("plan.csv", 4)
    done = command("import", "plan.csv")
    assert done.code == 0, done.err
    assert "12 rows imported (4 sessions)" in done.out
    assert "6 planned rows" in done.err
    found = {one["group"]: one for one in json.loads(command("summary", "--json").out)["rows"]}
    for name in NAMES:
        fished = [row for row in rows[:12] if row["variant"] == name]
        assert found[name]["fish"] == sum(int(row["fish"]) for row in fished)
    fill_in("plan.csv", 6)
    again = command("import", "plan.csv")
    assert again.code == 0, again.err
    assert "6 rows imported (2 sessions)" in again.out
    assert "12 rows already there" in again.out


def test_a_half_filled_row_is_no_unfished_one(command):
    """Hours without fish are still refused: a blank is written 0. So is any row of another log."""
    assert command(*ASKED, "--trips", "2", "--csv", "plan.csv").code == 0
    fill_in("plan.csv", 2, fish=lambda number: "" if number == 4 else 0)
    done = command("import", "plan.csv")
    assert done.code == 3
    assert "a blank is written 0" in done.out + done.err
    Path("log.csv").write_text("session,variant,hours,fish\nA,plain,5,0\nB,plain,,\n")
    assert command("import", "log.csv", "--logbook", "other.sqlite").code == 3


def blind(command, *more):
    done = command(*ASKED, "--trips", "6", "--blind", "--csv", "blind.csv", "--sheet", "blind.html",
                   "--packing-list", "list.txt", "--json", *more)  # fmt: skip
    assert done.code == 0, done.err
    (key,) = Path().glob("rotation-*.sealed")
    packed = dict(re.findall(r"^bag (\w+): ([\w-]+) ", Path("list.txt").read_text(), re.MULTILINE))
    return done, key, packed


def test_blind_says_nothing(command):
    """No variant's name on stdout, in JSON, sheet, CSV or key: on the packing list alone."""
    done, key, packed = blind(command)
    assert sorted(packed.values()) == sorted(NAMES)
    assert json.loads(done.out)["variants"] == sorted(packed)
    text = command(*ASKED, "--trips", "6", "--blind", "--reference", "plain").out
    for said in (done.out, text, *(Path(one).read_text(encoding="utf-8")
                                   for one in ("blind.csv", "blind.html", key))):  # fmt: skip
        for name in NAMES:
            assert not re.search(rf"(?<![\w-]){name}(?![\w-])", said), name
    assert json.loads(command(*ASKED, "--blind", "--reference", "plain", "--json").out)[
        "reference"
    ] is None  # fmt: skip


def test_unblinded_is_as_if_never_blind(command):
    """Codes imported, compared, then opened give the answer of the same log written with names."""
    _, key, packed = blind(command)
    code_of = {name: code for code, name in packed.items()}
    fill_in("blind.csv", 4)
    assert command("import", "blind.csv").code == 0
    coded = json.loads(
        command("compare", code_of["pellet-20"], code_of["plain"], "--json").out
    )["comparisons"][0]  # fmt: skip

    text = Path("blind.csv").read_text(encoding="utf-8")
    for code, name in packed.items():
        text = re.sub(rf"\b{code}\b", name, text)
    Path("named.csv").write_text(text, encoding="utf-8")
    assert command("import", "named.csv", "--logbook", "named.sqlite").code == 0
    named = command("compare", "pellet-20", "plain", "--json", "--logbook", "named.sqlite")
    truth = json.loads(named.out)["comparisons"][0]

    opened = command("plan", "unblind", key)
    assert opened.code == 0, opened.err
    assert "4 of 6 planned trips" in opened.out
    assert "That was early" in opened.out
    for code, name in packed.items():
        assert re.search(rf"^{code} +{name}$", opened.out, re.MULTILINE)
    for asked in (("pellet-20", "plain"), (code_of["pellet-20"], code_of["plain"])):
        after = json.loads(command("compare", *asked, "--json").out)["comparisons"][0]
        assert after == truth
    # Codes sort otherwise than names, and a fit in another order is as exact as its limits: 1e-6.
    assert coded["rate_ratio"] == pytest.approx(truth["rate_ratio"], rel=1e-6)

    fill_in("blind.csv", 6)
    assert command("import", "blind.csv").code == 0
    late = json.loads(command("compare", "pellet-20", "plain", "--json").out)["notes"]
    (note,) = [one for one in late if one["code"] == "opened_early"]
    assert {name: note["numbers"][name] for name in ("blind", "planned", "after")} == {
        "blind": 4,
        "planned": 6,
        "after": 2,
    }
    (note,) = [one for one in late if one["code"] == "blind_alone"]
    assert note["numbers"]["trips"] == 4
    assert note["numbers"]["rate_ratio"] == pytest.approx(truth["rate_ratio"], rel=1e-6)
    groups = {one["group"] for one in json.loads(command("summary", "--json").out)["rows"]}
    assert set(NAMES) <= groups
    assert not set(packed) & groups
    again = json.loads(command("plan", "unblind", key, "--json").out)
    assert (again["opened_before"], again["trips_in"], again["codes"]) == (True, 4, packed)


def test_another_key_is_refused(command):
    """Sheet, page, notes and CSV bear the fingerprint of their key: the first 40 bits of what is
    sealed, by hashlib; once trips of the plan are in, a key of the same name with another one
    opens nothing, the right one does."""
    done, key, _ = blind(command, "--name", "KADE", "--page", "page.html", "--notes", "notes.txt")
    body = Path(key).read_text().split("sealed key 1\n")[1].split("\nchecksum")[0]
    sealed = zlib.decompress(base64.b64decode(body.replace("\n", "")))
    mark = base64.b32encode(hashlib.sha256(sealed).digest()[:5]).decode()
    assert json.loads(done.out)["key"] == mark
    for written in ("blind.csv", "blind.html", "page.html", "notes.txt"):
        assert mark in Path(written).read_text(encoding="utf-8"), written
    fill_in("blind.csv", 3)
    assert command("import", "blind.csv").code == 0
    other = command(*ASKED, "--blind", "--name", "KADE", "--key", "other.sealed", "--json")
    refused = command("plan", "unblind", "other.sealed")
    assert refused.code == 4
    assert mark in refused.err
    assert json.loads(other.out)["key"] in refused.err
    assert command("plan", "unblind", key).code == 0


def test_unblinding_what_is_no_key(command):
    """Nothing given, nothing there, or another file: words and the right exit code."""
    assert command("plan", "unblind").code == 2
    assert command("plan", "unblind", "none.sealed").code == 4
    Path("log.csv").write_text("session,variant\n")
    done = command("plan", "unblind", "log.csv")
    assert done.code == 4
    assert "no sealed key" in done.err
    assert not Path("logbook.sqlite").exists()


def test_unblinding_before_the_first_import(command):
    """The note needs a logbook: one is begun, that is said, and an import goes on from there."""
    _, key, packed = blind(command)
    done = command("plan", "unblind", key)
    assert done.code == 0, done.err
    assert "0 of 6 planned trips" in done.out
    assert "no logbook" in done.err
    fill_in("blind.csv", 2)
    assert command("import", "blind.csv").code == 0
    rows = json.loads(command("summary", "--json").out)["rows"]
    assert {one["group"] for one in rows} == set(packed.values())


def test_opened_codes_are_their_variants_on_the_first_page_and_in_the_ledger(command):
    """Three baits logged by code and by name are three; a code's batch is one of its recipe."""
    _, key, packed = blind(command)
    fill_in("blind.csv", 2)
    assert command("import", "blind.csv").code == 0
    assert command("plan", "unblind", key).code == 0
    Path("named.csv").write_text(
        "session,variant,hours,fish\n" + "".join(f"named,{name},12,0\n" for name in NAMES)
    )
    assert command("import", "named.csv").code == 0
    assert "It knows 3 variants" in command().out
    code, name = next(iter(packed.items()))
    added = command("batch", "add", code, "--code", "BAG-1")
    assert added.code == 0
    assert name in added.out
    assert "no variant of the logbook" not in added.err
    for label in (code, name):
        Path("bag.csv").write_text(
            f"session,variant,hours,fish,batch\n{label} again,{label},12,0,BAG-1\n"
        )
        assert "is a batch of" not in command("import", "bag.csv").err
    assert "is a batch of" not in command("batch", "list", "--variant", code).err


def test_a_key_is_never_written_over(command):
    """A sealed key that is there stays."""
    Path("key.sealed").write_text("old")
    done = command(*ASKED, "--blind", "--trips", "3", "--key", "key.sealed")
    assert done.code == 2
    assert command(*ASKED, "--blind", "--trips", "3", "--key", "mine.sealed").code == 0
    assert "plan unblind mine.sealed" in Path("mine.sealed").read_text()
    assert Path("key.sealed").read_text() == "old"


NAMES_ON_PAPER = """
[...document.querySelectorAll('.bait')].map(one => {
  const range = document.createRange();
  range.selectNodeContents(one);
  const text = range.getBoundingClientRect(), box = one.getBoundingClientRect();
  return [one.textContent, parseFloat(getComputedStyle(one).fontSize) * 72 / 96,
    range.getClientRects().length, box.left <= text.left && text.right <= box.right];
})
"""


@pytest.mark.skipif(find_browser() is None, reason="no Chromium here")
@pytest.mark.parametrize(
    ("rods", "sides"),
    [("3", (210, 297)), pytest.param("6", (297, 210), marks=pytest.mark.full)],
)
def test_the_sheet_on_paper_and_on_a_phone(command, tmp_path, rods, sides):
    """Two A4 pages for 24 trips of three rods; names at 8 pt or more, on one line, in their box;
    boxes for all that is asked; at 390 px nothing is wider than the window; no request."""
    names = ["plain", "crushed-hemp-3", "MWMWM-20", "a-name-that-is-longer-than-any-box-of-any-rod"]
    done = command("plan", "rotation", "--variants", ",".join(names), "--rods", rods, "--trips",
                   "24", "--name", "a-long-name1", "--sheet", "sheet.html")  # fmt: skip
    assert done.code == 0, done.err
    page = tmp_path / "sheet.html"
    seen = visit(find_browser(), page, tmp_path)
    assert [one for one in seen.requests if not one.startswith(("file:", "data:"))] == []
    assert seen.console == []
    for said in (
        "overhead power lines", "in the dark", "Rod licence", "carbon monoxide", ">in<", ">out<",
        ">fish<", ">lost<", ">weights<", ">date<", ">water<", ">swim<", ">notes<",
    ):  # fmt: skip
        assert said in seen.dom, said
    with Driven(find_browser(), tmp_path / "driven") as driven:
        driven.phone()
        driven.open(page.as_uri())
        assert driven.run("document.documentElement.scrollWidth") <= 390
        content = base64.b64decode(driven.ask("Page.printToPDF", preferCSSPageSize=True)["data"])
        # The width of A4 paper without its margins of 19 mm in all, at 96 px an inch.
        driven.phone(round((sides[0] - 19) / 25.4 * 96))
        driven.ask("Emulation.setEmulatedMedia", media="print")
        found = driven.run(NAMES_ON_PAPER)
    assert {name for name, *_ in found} >= {"plain", "bait 4"}
    for name, points, lines, inside in found:
        assert (points >= 8, lines, inside) == (True, 1, True), (name, points, lines, inside)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", content)
    assert len(boxes) == (2 if rods == "3" else 3)
    for box in boxes:
        # A4 is 210 x 297 mm (ISO 216); a point is 25.4/72 mm.
        assert [float(side) * 25.4 / 72 for side in box] == pytest.approx(sides, abs=0.6)


def test_a_trip_with_a_rod_of_which_nothing_is_said_waits(command):
    """It waits and is counted by the bait planned, until the rod says that it was not fished;
    later it grows by the stint after all, without a conflict."""
    assert command(*ASKED, "--trips", "8", "--csv", "plan.csv", "--name", "spring").code == 0
    rows = fill_in("plan.csv", 7)
    left = next(row for row in rows if row["session"] == "spring-03" and row["rod"] == "2")
    kept = {name: left[name] for name in ("hours", "fish")}
    left |= dict.fromkeys(kept, "")
    write_rows("plan.csv", rows)
    done = command("import", "plan.csv")
    assert done.code == 3
    assert "(6 sessions)" in done.out
    assert f"nothing is said of the rod planned with {left['planned']}" in done.out + done.err
    assert "spring-03" in command("waiting").out

    def unfished() -> dict:
        found = json.loads(command("check", "--json").out)["findings"]
        return next(one for one in found if one["code"] == "rods_unfished")["numbers"]

    assert unfished()["empty"] == {left["planned"]: 1}
    left["hours"] = "Not fished"
    write_rows("plan.csv", rows)
    done = command("import", "plan.csv")
    assert done.code == 0, done.out
    assert "Nothing waits" in command("waiting").out
    assert (unfished()["empty"], unfished()["unfished"]) == ({}, {left["planned"]: 1})
    left |= kept
    write_rows("plan.csv", rows)
    done = command("import", "plan.csv")
    assert done.code == 0, done.out
    found = json.loads(command("check", "--json").out)["findings"]
    assert "rods_unfished" not in {one["code"] for one in found}
    summary = json.loads(command("summary", "--json").out)["total"]
    assert (summary["sessions"], summary["stints"]) == (7, 21)
    rows[0]["fish"] = "9"
    write_rows("plan.csv", rows)
    assert command("import", "plan.csv").code == 3


def test_times_go_in_as_the_sheet_asks_for_them(command):
    """A date in a trip's first row, 18:30 and 6:15 in each: 11 h 45 min over midnight; with swaps
    the second part is of the next day."""
    assert command(*ASKED, "--trips", "2", "--csv", "plan.csv", "--swap-every", "12h").code == 0
    rows = rows_of("plan.csv")
    assert {"venue", "swim", "notes", "date", "cast_in", "cast_out"} <= set(rows[0])
    for number, row in enumerate(rows[:6]):
        times = ("18:30", "6:15") if row["part_of_trip"] == "1" else ("6.30", "1830")
        row["cast_in"], row["cast_out"] = times
        row["fish"], row["date"] = "0", "" if number else "2026-04-12"
    write_rows("plan.csv", rows)
    done = command("import", "plan.csv", "--zone", "Europe/London")
    assert done.code == 0, done.out
    assert command("export", "out").code == 0
    stints = rows_of(Path("out", "stints.csv"))
    found = sorted((row["cast_in"], row["cast_out"], float(row["hours"])) for row in stints)
    evening = ("2026-04-12T18:30", "2026-04-13T06:15", 11.75)
    assert found == [*[evening] * 3, *[("2026-04-13T06:30", "2026-04-13T18:30", 12)] * 3]


def test_notes_and_page_of_a_plan(command):
    """Both are written; the notes know each rod's bait, and import once they are filled in; a
    rod of a trip that was fished and of which nothing is said is named."""
    done = command(*ASKED, "--trips", "2", "--notes", "plan.txt", "--page", "log.html",
                   "--name", "spring")  # fmt: skip
    assert done.code == 0, done.err
    assert "spring-02" in Path("log.html").read_text(encoding="utf-8")
    empty = command("import", "plan.txt")
    assert empty.code == 4
    assert "nothing is filled in yet" in empty.err
    text = Path("plan.txt").read_text(encoding="utf-8")
    for said in ("overhead power lines", "in the dark", "carbon", "Rod licence", "spring-01"):
        assert said in text.replace("\n# ", " "), said
    trip, rest = text.split("trip spring-02")
    trip = trip.replace("day ", "day 12 Apr ").replace("in ,", "in 18:30,")
    trip = trip.replace("out ,", "out 6:15,").replace("fish ,", "fish none,")
    Path("plan.txt").write_text(f"{trip}trip spring-02{rest}", encoding="utf-8")
    done = command("import", "plan.txt", "--zone", "Europe/London")
    assert done.code == 0, done.out
    assert "3 planned rows with nothing filled in" in done.err


def test_a_blind_plan_takes_a_name_whose_key_is_not_there(command, monkeypatch):
    """Names are drawn by chance, so one may come up twice: the key of the first is left alone."""

    drawn = iter(["KADE", "KADE", "MOTU"])
    monkeypatch.setattr("rodhours.planning.rotation.new_plan_name", lambda: next(drawn))
    for name in ("KADE", "MOTU"):
        done = command(*ASKED, "--trips", "6", "--blind")
        assert done.code == 0, done.err
        assert f"rotation-{name}.sealed" in done.err
