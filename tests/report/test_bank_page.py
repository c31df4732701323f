"""The page for the phone, driven in headless Chromium: what is tapped is what is imported."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from browser import find_browser, visit
from driven import Driven
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.planning.rotation import Rotation, plan_rotation
from rodhours.report.bank_page import bank_page

pytestmark = pytest.mark.skipif(find_browser() is None, reason="no Chromium here")
ROOT = Path(__file__).parents[2]
LONDON = ZoneInfo("Europe/London")
HOSTILE = "</script><script>document.title='run'</script>"
LONG = "a-name-of-eighty-letters-" * 3 + "-four"
SIZES = """
(() => {
  const small = [...document.querySelectorAll('button, input, select, summary')]
    .filter(one => one.getBoundingClientRect().height)
    .filter(one => { const box = one.getBoundingClientRect();
      return box.height < 56 || box.width < 56; }).map(one => one.id);
  return { small, wide: document.documentElement.scrollWidth, room: innerWidth };
})()
"""
NO_STORAGE = {
    "forbidden": "Object.defineProperty(window, 'localStorage', { get() { throw new Error(); } });",
    "full": "Storage.prototype.setItem = () => { throw new Error('QuotaExceededError'); };",
    "silent": "Storage.prototype.setItem = () => {};",
}


class Bank:
    """A page at the bank with a clock that is set by hand, its local time given."""

    def __init__(self, driven: Driven, page: Path, now: datetime) -> None:
        self.driven, self.page, self.now = driven, page, now
        driven.phone()
        self.open()

    def open(self) -> None:
        """Open the page, or reload it."""
        zone = getattr(self.now.tzinfo, "key", "UTC")
        self.driven.at_clock(round(self.now.timestamp() * 1000), zone)
        self.driven.open(self.page.as_uri())

    def wait(self, minutes: float) -> datetime:
        """Let real minutes pass, whatever the clocks do."""
        self.now = (self.now.astimezone(ZoneInfo("UTC")) + timedelta(minutes=minutes)).astimezone(
            self.now.tzinfo
        )
        self.driven.run(f"setClock({round(self.now.timestamp() * 1000)})")
        return self.now

    def tap(self, *names: str) -> None:
        for name in names:
            self.driven.run(f"document.getElementById({name!r}).click()")

    def write(self, name: str, text: str) -> None:
        self.driven.run(
            f"(one => {{ one.value = {text!r}; one.dispatchEvent(new Event('change')); }})"
            f"(document.getElementById({name!r}))"
        )

    @property
    def text(self) -> str:
        found = "(document.getElementById('text') || { value: '' }).value"
        return str(self.driven.run(found))


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    """One browser for all pages."""
    with Driven(find_browser(), tmp_path_factory.mktemp("browser")) as driven:
        yield driven


@pytest.fixture
def bank(browser, tmp_path):
    """A function that opens the page of a plan, with nothing kept of others."""

    def start(plan: Rotation | None, now: datetime, baits=(), before: str = "") -> Bank:
        browser.fresh()
        if before:
            browser.ask("Page.addScriptToEvaluateOnNewDocument", source=before)
        return Bank(browser, written(plan, baits, tmp_path), now)

    yield start
    assert browser.said == []


def written(plan: Rotation | None, baits: Sequence[str], folder: Path) -> Path:
    page = folder / "log.html"
    page.write_text(bank_page(plan, baits), encoding="utf-8")
    return page


def imported(text: str, folder: Path, zone: str = "Europe/London"):
    """Stints and catches of the notes, as the logbook has them."""
    notes, logbook = folder / "notes.txt", folder / "logbook.sqlite"
    notes.write_text(text, encoding="utf-8")
    result = import_paths([notes], logbook, zone=zone, sure=True)
    assert result.problems == (), result.problems
    with open_logbook(logbook) as book:
        labels = {row["id"]: row["session"] for row in book.sessions()}
        stints = [{**dict(row), "session": labels[row["session_id"]]} for row in book.stints()]
        return stints, [dict(row) for row in book.catches()], [dict(row) for row in book.sessions()]


def told(stints, *names):
    return sorted(tuple(row[name] for name in names) for row in stints)


def test_what_was_tapped_is_what_is_imported(bank, tmp_path):
    """Two trips over midnight with a reload between taps, a changed bait, fish, a lost one, a
    blank, a corrected time, an undone tap and hostile names give the stints that were tapped."""
    plan = plan_rotation(["plain", HOSTILE, LONG], 3, 2, name="TEST")
    first, second = (trip[0] for trip in plan.turns)
    at = bank(plan, datetime(2026, 4, 12, 18, 30, tzinfo=LONDON))
    at.tap("start")
    at.write("water", "Quernhollow Mere, far side")
    at.write("note", 'the "old" slip')
    for rod in range(3):
        at.wait(5)
        at.tap(f"rod{rod}in")
    at.wait(300)
    at.tap("rod0more", "rod0fish")
    at.write("stint0 0species", "carp")
    at.write("stint0 0weight", "22lb 4oz")
    at.tap("rod0fish", "undo")
    at.wait(120)
    at.open()
    at.tap("rod1lost", "rod0fish")
    at.wait(300)
    at.tap("rod2more")
    at.write("stint2 in", "2026-04-12T18:40")
    at.tap("rod0out", "rod1out", "rod2out", "rod1blank")
    assert at.driven.run("!!document.getElementById('rod2blank')")
    at.tap("rod2blank", "rod2bait", "rod2put0")
    at.wait(10)
    at.tap("rod2in")
    at.wait(60)
    at.tap("rod2fish", "rod2out")
    sizes = at.driven.run(SIZES)
    assert sizes["small"] == []
    assert sizes["wide"] <= sizes["room"] == 390
    at.wait(600)
    at.tap("start", "rod0unfished", "rod1in")
    at.wait(45)
    at.tap("rod1out", "rod1blank", "rod2unfished")
    assert at.driven.run("document.title") != "run"
    stints, catches, sessions = imported(at.text, tmp_path)
    other = next(one for one in ("plain", HOSTILE, LONG) if one != first[2])
    assert told(stints, "session", "rod", "variant", "cast_in", "cast_out", "fish") == sorted(
        [
            ("TEST-01", "1", first[0], "2026-04-12T18:35", "2026-04-13T06:45", 2),
            ("TEST-01", "2", first[1], "2026-04-12T18:40", "2026-04-13T06:45", 0),
            ("TEST-01", "3", first[2], "2026-04-12T18:40", "2026-04-13T06:45", 0),
            ("TEST-01", "3", other, "2026-04-13T06:55", "2026-04-13T07:55", 1),
            ("TEST-02", "2", second[1], "2026-04-13T17:55", "2026-04-13T18:40", 0),
        ]
    )
    planned = {json.loads(row["extra"])["planned"] for row in stints if row["rod"] == "3"}
    assert planned == {first[2]}
    assert sorted((row["rod"], row["outcome"] or "", row["time"]) for row in catches) == [
        ("1", "", "2026-04-12T23:45"),
        ("1", "", "2026-04-13T01:45"),
        ("2", "lost", "2026-04-13T01:45"),
        ("3", "", "2026-04-13T07:55"),
    ]
    weighed = [row for row in catches if row["weight"] is not None]
    # 22 lb 4 oz at 0.45359237 kg the pound (exact by definition).
    assert [row["weight"] for row in weighed] == [pytest.approx(22.25 * 0.45359237)]
    assert sessions[0]["venue"] == "Quernhollow Mere, far side"
    assert sessions[0]["notes"] == 'the "old" slip'


@pytest.mark.parametrize(
    "start",
    [
        datetime(2026, 10, 25, 1, 10),
        pytest.param(datetime(2026, 10, 24, 22, 15), marks=pytest.mark.full),
    ],
)
def test_a_night_in_which_the_clocks_go_back(bank, tmp_path, start):
    """In London they went back at 01:00 UTC on 25 October 2026: 2 hours of fishing from 01:10 in
    summer time to 02:10 in winter time are two hours, and no time is asked about."""
    at = bank(None, start.replace(tzinfo=LONDON), baits=["plain"])
    at.tap("start", "rod0in")
    at.wait(60)
    at.tap("rod0fish")
    at.wait(60)
    at.tap("rod0out", "rod1unfished", "rod2unfished")
    stints, catches, _ = imported(at.text, tmp_path)
    assert [row["hours"] for row in stints] == [pytest.approx(2)]
    assert len(catches) == 1


def test_three_hundred_taps_and_a_reload(bank, tmp_path):
    """Each of them is there after a reload; taken back one by one, nothing is left."""
    at = bank(None, datetime(2026, 6, 1, 20, 0, tzinfo=LONDON), baits=["plain"])
    at.tap("start", "rod0in")
    tap = "document.getElementById('rod0fish').click()"
    at.driven.run(f"for (let taps = 0; taps < 300; taps++) {tap}")
    text = at.text
    assert text.count("fish at") == 300
    at.wait(60)
    at.open()
    assert at.text == text
    at.tap("rod0out", "rod1unfished", "rod2unfished")
    stints, catches, _ = imported(at.text, tmp_path)
    assert [row["fish"] for row in stints] == [300]
    assert len(catches) == 300
    at.driven.run("while (document.getElementById('undo')) document.getElementById('undo').click()")
    assert at.text == ""


@pytest.mark.parametrize(
    "fault",
    ["forbidden", *(pytest.param(one, marks=pytest.mark.full) for one in ("full", "silent"))],
)
def test_where_the_browser_keeps_nothing_it_says_so(bank, tmp_path, fault):
    """At the start; it works all the same, counts the taps that are not copied, and a copy of
    the notes resets the count."""
    at = bank(None, datetime(2026, 6, 1, 20, tzinfo=LONDON), ["plain"], NO_STORAGE[fault])
    alert = "(document.querySelector('[role=alert]') || { textContent: '' }).textContent"
    assert "keeps nothing" in at.driven.run(alert)
    at.tap("start", "rod0in")
    at.wait(90)
    at.tap("rod0out", "rod0blank", "rod1unfished", "rod2unfished")
    assert "6 taps are not copied" in at.driven.run(alert)
    stints, _, _ = imported(at.text, tmp_path)
    assert told(stints, "cast_in", "cast_out", "fish") == [
        ("2026-06-01T20:00", "2026-06-01T21:30", 0)
    ]
    at.driven.ask("Browser.grantPermissions", permissions=["clipboardSanitizedWrite"])
    at.tap("copynow")
    time.sleep(0.3)
    assert "not copied" not in at.driven.run(alert)


def test_a_rod_that_was_not_finished_is_asked_about(bank, tmp_path):
    """Nothing is taken for a blank: a rod still in, and one of which no fish is said."""
    at = bank(plan_rotation(["plain", "pellet-20"], 2, 2, name="TEST"),
              datetime(2026, 6, 1, 20, tzinfo=LONDON))  # fmt: skip
    at.tap("start", "rod0in", "rod1in")
    at.wait(60)
    at.tap("rod0out")
    notes = tmp_path / "notes.txt"
    notes.write_text(at.text, encoding="utf-8")
    result = import_paths([notes], tmp_path / "logbook.sqlite", zone="Europe/London")
    assert result.rows_imported == 0
    assert {(one.row, one.says) for one in result.problems} >= {
        (2, "should be a rod with its fish: blank, or fish 2"),
        (3, "should be a rod with its times: in 18:30, out 6:15 (or hours 11.75)"),
    }


def test_keyboard_and_screen_reader(bank):
    """Each control has a name of its own; by keys alone a rod is cast, and the focus stays."""
    at = bank(plan_rotation(["plain", "pellet-20"], 2, 2, name="TEST"),
              datetime(2026, 6, 1, 20, tzinfo=LONDON))  # fmt: skip
    at.tap("start")
    # A part that is not there is no text of the page.
    assert "undefined" not in at.driven.run("document.body.innerText")
    at.driven.run("document.getElementById('rod0in').focus()")
    for kind in ("keyDown", "keyUp"):
        at.driven.ask("Input.dispatchKeyEvent", type=kind, key="Enter", code="Enter",
                      text="\r", windowsVirtualKeyCode=13)  # fmt: skip
    assert "in 20:00" in at.text
    assert at.driven.run("document.getElementById('said').textContent") == "Rod 1: cast in 20:00"
    at.tap("rod0fish")
    at.driven.run("document.getElementById('rod0fish').focus()")
    at.tap("rod0fish")
    assert at.driven.run("document.activeElement.id") == "rod0fish"
    tree = at.driven.ask("Accessibility.getFullAXTree")["nodes"]
    names = [
        one.get("name", {}).get("value", "")
        for one in tree
        if one.get("role", {}).get("value") in ("button", "textbox", "combobox")
    ]
    assert all(names)
    assert len(set(names)) == len(names)
    assert {"Cast out, rod 1", "Fish, rod 1", "Cast in, rod 2", "Copy"} <= set(names)


def test_the_page_asks_for_nothing(tmp_path):
    """No request, no line on the console, no script that its policy does not name; cautions."""
    page = tmp_path / "log.html"
    page.write_text(bank_page(plan_rotation(["plain", HOSTILE], 2, 4, name="TEST")), "utf-8")
    seen = visit(find_browser(), page, tmp_path)
    assert [one for one in seen.requests if not one.startswith(("file:", "data:"))] == []
    assert seen.console == []
    assert "Start the trip" in seen.dom
    for said in ("overhead power lines", "in the dark", "carbon monoxide", "Rod licence"):
        assert said in seen.dom


@pytest.mark.full
def test_a_browser_that_is_killed_loses_nothing_that_was_on_the_disk(tmp_path):
    """Six seconds after a tap (Chromium writes its storage down within five) it is there again."""
    page, now = written(None, ["plain"], tmp_path), datetime(2026, 6, 1, 20, tzinfo=LONDON)
    with Driven(find_browser(), tmp_path / "profile") as driven:
        at = Bank(driven, page, now)
        at.tap("start", "rod0in", "rod0fish")
        text = at.text
        time.sleep(6)
        driven.kill()
    with Driven(find_browser(), tmp_path / "profile") as driven:
        assert Bank(driven, at.page, at.now).text == text


@pytest.mark.full
def test_an_accessibility_audit_finds_nothing(bank):
    """axe-core finds no violation before the start, with all rods in and with everything open."""
    place = Path(
        os.environ.get("AXE_CORE", Path(__file__).parents[2] / "node_modules/axe-core/axe.min.js")
    )
    if not place.is_file():
        pytest.skip(f"axe-core is not at {place}: npm install axe-core, or AXE_CORE=FILE")
    at = bank(plan_rotation(["plain", HOSTILE, LONG], 3, 2, name="TEST"),
              datetime(2026, 6, 1, 20, tzinfo=LONDON))  # fmt: skip
    at.driven.run(place.read_text(encoding="utf-8") + ";0")
    for taps in ((), ("start", "rod0in", "rod1in"), ("rod0fish", "rod1out", "rod2bait")):
        at.tap(*taps)
        at.driven.run("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        time.sleep(0.3)
        found = at.driven.run(
            "axe.run(document).then(found => ({ rules: found.passes.length, violations: "
            "found.violations.map(one => [one.id, one.nodes[0].html]) }))"
        )
        assert found["rules"] > 20
        assert found["violations"] == []
