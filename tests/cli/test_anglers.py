"""Two people in one logbook: sessions by angler and trip, `--angler`, who contributed what."""

from __future__ import annotations

import json
import shutil

import numpy as np
import pandas as pd
import pytest

import rodhours
import simulated_seasons as seasons
from rodhours.log.importing import import_paths
from rodhours.report.tallies import NO_ANGLER, contributions
from simulated_seasons import Season


@pytest.fixture(scope="module")
def imported(tmp_path_factory):
    """Two anglers and one who did not say, all with the same trip labels, imported once."""
    parts = [
        seasons.both_on_every_trip(np.random.default_rng(seed), 1.5, Season(trips=trips, rate=rate))
        .assign(angler=angler)
        .astype({"session": str})
        for seed, (angler, trips, rate) in enumerate(
            [("Ida", 10, 0.06), ("Tam", 8, 0.02), (None, 5, 0.03)]
        )
    ]
    rows = pd.concat(parts, ignore_index=True)
    folder = tmp_path_factory.mktemp("anglers")
    rows.to_csv(folder / "log.csv", index=False)
    # Made with the same days and hours for all three, some of their trips are alike.
    import_paths([folder / "log.csv"], folder / "logbook.sqlite", as_new=True)
    return rows, folder / "logbook.sqlite"


@pytest.fixture
def log(imported, tmp_path):
    """The rows as imported; a copy of the logbook stands where the commands look for one."""
    shutil.copyfile(imported[1], tmp_path / "logbook.sqlite")
    return imported[0]


def close(ours: list[dict], theirs: list[dict]) -> bool:
    """Whether two machine forms agree, numbers to ten figures: rows may be in another order."""
    one, other = (
        pd.json_normalize(part).drop(columns="adjusted_for", errors="ignore")
        for part in (ours, theirs)
    )
    pd.testing.assert_frame_equal(one, other, rtol=1e-10, check_dtype=False)
    return len(one) > 0


def told_apart(rows: pd.DataFrame) -> pd.DataFrame:
    """The same rows with labels that no two anglers share, and no angler."""
    label = rows["angler"].fillna("nobody") + " " + rows["session"]
    return rows.assign(session=label).drop(columns="angler")


def test_sessions_are_by_angler_and_trip(command, log):
    """Same labels of two people are two sessions: as if the labels had been different."""
    machine = json.loads(command("compare", "pellet-20", "plain", "--json").out)
    alone = rodhours.compare(told_apart(log), "plain", "pellet-20").to_dict()
    assert close(machine["comparisons"], alone["comparisons"])
    assert close(machine["models"], alone["models"])
    assert machine["comparisons"][0]["sessions"] == 10 + 8 + 5
    mixed = rodhours.compare(log.drop(columns="angler"), "plain", "pellet-20").to_dict()
    assert mixed["comparisons"][0]["sessions"] == 10


def test_a_better_angler_makes_no_bait_look_better():
    """Ida catches three times as fast and fishes mostly one bait: the same-trip answer knows.

    The truth is a ratio of 1; the all-trips ratio is off by the angler.
    """
    rng = np.random.default_rng(2)
    rows = []
    for angler, rate, share in (("Ida", 0.3, 0.75), ("Tam", 0.1, 0.25)):
        for trip in range(60):
            for rod in range(4):
                favourite = rod < 4 * share
                rows.append(
                    {
                        "session": str(trip),
                        "angler": angler,
                        "rod": str(rod),
                        "variant": "pellet-20" if favourite else "plain",
                        "hours": 12.0,
                        "fish": int(rng.poisson(12 * rate)),
                    }
                )
    (one,) = rodhours.compare(pd.DataFrame(rows), "plain", "pellet-20").comparisons
    assert one.conf_low <= 1 <= one.conf_high
    assert (one.basis, one.sessions) == ("same trips", 120)
    assert 0.85 < one.rate_ratio < 1.15


def test_angler_chooses_rows(command, log):
    """--angler, several times, on summary and compare: those rows and no others."""
    names = ["Ida", "Tam"]
    options = [part for name in names for part in ("--angler", name)]
    kept = log[log["angler"].isin(names)]
    machine = json.loads(command("summary", *options, "--json").out)
    assert machine["total"]["stints"] == len(kept)
    assert machine["total"]["fish"] == kept["fish"].sum()
    machine = json.loads(command("compare", "pellet-20", "plain", *options, "--json").out)
    alone = rodhours.compare(kept, "plain", "pellet-20").to_dict()
    assert close(machine["comparisons"], alone["comparisons"])
    assert machine["filters"] == {"angler": names}


def test_who_contributed_what(log):
    """Trips, rod-hours and fish by angler; those without a name come last."""
    found = contributions(log).round(6).to_numpy().tolist()
    parts = log.fillna({"angler": NO_ANGLER}).groupby("angler")
    expected = [
        [name, part["session"].nunique(), round(part["hours"].sum(), 6), part["fish"].sum()]
        for name, part in parts
    ]
    assert found == sorted(expected, key=lambda row: row[0] == NO_ANGLER)


def test_an_angler_that_is_not_there(command, log, tmp_path):
    """Exit code 2 and the name that was meant; a log without one says that there is none."""
    done = command("summary", "--angler", "Idda")
    assert (done.code, done.out) == (2, "")
    assert "There is no angler 'Idda'. Did you mean 'Ida'?" in done.err
    (tmp_path / "log.csv").write_text("session,variant,hours,fish\nA,plain,5,1\n")
    at = ("--logbook", "nobody.sqlite")
    assert command("import", "log.csv", *at).code == 0
    done = command("summary", "--angler", "Ida", *at)
    assert (done.code, done.out) == (2, "")
    assert "There is no angler 'Ida'. Known: none." in done.err
    assert command("summary", "--by", "angler", *at).code == 2


def test_fish_of_two_anglers_stay_apart(command, tmp_path):
    """The same session, rod and bait of two people: each fish counts for its own angler."""
    (tmp_path / "stints.csv").write_text(
        "session,angler,rod,variant,hours,fish\n1,Ida,1,plain,5,1\n1,Tam,1,plain,7,1\n"
    )
    (tmp_path / "catches.csv").write_text(
        "session,angler,rod,species,weight\n1,Ida,1,carp,20lb\n1,Tam,1,tench,4lb\n"
    )
    done = command("import", "stints.csv", "catches.csv")
    assert done.code == 0, done.err
    machine = json.loads(command("summary", "--by", "angler", "--species", "carp", "--json").out)
    assert {row["group"]: row["fish"] for row in machine["rows"]} == {"Ida": 1, "Tam": 0}
    machine = json.loads(command("sizes", "--angler", "Tam", "--json").out)
    assert [(row["weighed"], row["biggest_kg"]) for row in machine["rows"]] == [
        (1, pytest.approx(1.81436948))
    ]


def test_import_says_whose_log_it_is(command, tmp_path):
    """The same label under two names is two trips; another name in the file is a refused row."""
    for name, hours in (("Ann", 5), ("Bob", 6)):
        (tmp_path / "log.csv").write_text(f"session,variant,hours,fish\n1,plain,{hours},0\n")
        done = command("import", "log.csv", "--angler", name)
        assert (done.code, "1 row imported (1 session)" in done.out) == (0, True)
    (tmp_path / "log.csv").write_text("session,angler,variant,hours,fish\n2,Cid,plain,5,0\n")
    done = command("import", "log.csv", "--angler", "Ann")
    assert done.code == 3
    assert "row 2, column angler: found 'Cid'; should be Ann or empty" in done.out
    assert command("import", "log.csv", "--angler", " ").code == 2


def test_a_trip_without_an_angler_can_be_named(command, tmp_path):
    """Trip 1 of nobody and of Ann: --angler takes an empty name for the one without."""
    log = tmp_path / "log.csv"
    log.write_text("session,variant,hours,fish\n1,plain,5,0\n")
    command("import", log)
    log.write_text("session,variant,hours,fish\n1,plain,6,0\n")
    command("import", log, "--angler", "Ann")
    asked = command("leave-out", "1", "--because", "x")
    assert asked.code == 2
    assert '--angler ""' in asked.err
    assert command("leave-out", "1", "--because", "x", "--angler", "").code == 0
    held = json.loads(command("summary", "--by", "angler", "--json").out)
    assert [one["group"] for one in held["rows"]] == ["Ann"]


def trips_of(name: str, baits: dict[str, int], trips: int = 3) -> str:
    """A person's log: fish a trip by bait, all trips alike."""
    rows = [
        f"{trip},2025-04-{trip:02},{rod},{bait},{6 + len(name)},{fish}"
        for trip in range(1, trips + 1)
        for rod, (bait, fish) in enumerate(baits.items())
    ]
    return "\n".join(["session,date,rod,variant,hours,fish", *rows])


@pytest.fixture
def club(command, tmp_path):
    """A folder with a folder for each of two people, imported in one go; Cid's came by itself."""
    for name, fish in (("Ann", 1), ("Bob", 2), ("Cid", 3)):
        (tmp_path / "club" / name).mkdir(parents=True)
        text = trips_of(name, {"plain": fish, "pellet": fish})
        (tmp_path / "club" / name / "log.csv").write_text(text)
    (tmp_path / "club" / "Cid").rename(tmp_path / "Cid")
    assert command("import", "club", "--angler-from-folder").code == 0
    assert command("import", "Cid/log.csv", "--angler", "Cid").code == 0
    return command


def fish_of(command) -> dict[str, int]:
    rows = json.loads(command("summary", "--by", "angler", "--json").out)["rows"]
    return {row["group"]: row["fish"] for row in rows}


def test_a_folder_for_each_angler(club, tmp_path):
    """Each person's trips under their name, an import each; history says whose."""
    assert fish_of(club) == {"Ann": 6, "Bob": 12, "Cid": 18}
    changes = json.loads(club("history", "--json").out)["changes"]
    assert [one["anglers"] for one in changes] == [["Cid"], ["Bob"], ["Ann"]]
    assert "import of Bob: 6 rows, 3 sessions" in club("history").out
    again = json.loads(club("import", "club", "--angler-from-folder", "--json").out)["imports"]
    assert [(one["angler"], one["rows_already_there"]) for one in again] == [("Ann", 6), ("Bob", 6)]
    (tmp_path / "club" / "stray.csv").write_text("x")
    for given in (["club"], ["Cid/log.csv"], ["Cid"], ["club", "--angler", "Ann"]):
        refused = club("import", *given, "--angler-from-folder")
        assert (refused.code, refused.err.count("\n")) == (2, 1), given


def test_undo_by_person_and_by_file(club):
    """What remains is what the others brought; a dry run writes nothing; unknown names are
    refused with what was meant."""
    assert "1 change" not in club("undo", "--angler", "Bob", "--dry-run").out
    assert fish_of(club) == {"Ann": 6, "Bob": 12, "Cid": 18}
    done = club("undo", "--angler", "Bob")
    assert "3 sessions taken out" in done.out
    assert fish_of(club) == {"Ann": 6, "Cid": 18}
    assert club("undo", "--angler", "Bob").code == 2
    refused = club("undo", "Cid/lgo.csv")
    assert (refused.code, "Did you mean log.csv?" in refused.err) == (2, True)
    # The same name in two folders: with its folder it is one, without it is both.
    assert len(json.loads(club("undo", "log.csv", "--dry-run", "--json").out)["changes"]) == 2
    assert club("undo", "Cid/log.csv").code == 0
    assert fish_of(club) == {"Ann": 6}
    assert club("undo", "club").code == 0
    assert club("summary").code == 2


def test_an_import_of_several_people_is_not_taken_back_for_one(command, tmp_path):
    """It is named with those whose trips would go too, and nothing is taken back."""
    (tmp_path / "log.csv").write_text(
        "session,angler,variant,hours,fish\n1,Ann,plain,5,0\n1,Bob,plain,6,1\n"
    )
    command("import", "log.csv")
    refused = command("undo", "--angler", "Ann")
    assert (refused.code, "brought trips of Bob" in refused.err) == (2, True)
    assert command("undo", "Bob").code == 2
    assert fish_of(command) == {"Ann": 0, "Bob": 1}


def test_check_says_where_one_person_carries_the_answer(command, tmp_path):
    """Ida caught 5 to 1 on pellet, the other two alike on both: without her there is no
    difference, and by hand the ratio is 1."""
    for name, fish in (("Ida", {"plain": 1, "pellet": 5}), ("Tam", {}), ("Ursula", {})):
        text = trips_of(name, fish or {"plain": 1, "pellet": 1}, trips=20)
        (tmp_path / "log.csv").write_text(text)
        assert command("import", "log.csv", "--angler", name, "--as-new").code == 0
    machine = json.loads(command("check", "--reference", "plain", "--json").out)
    (note,) = [one for one in machine["findings"] if one["code"] == "one_angler_carries"]
    assert note["numbers"]["angler"] == "Ida"
    assert note["numbers"]["rate_ratio_without"] == pytest.approx(1, abs=0.01)
    assert note["numbers"]["rate_ratio"] > 1.5
    assert "hangs on one angler: Ida" in " ".join(command("check").out.split())


@pytest.mark.usefixtures("few_looks")
def test_a_report_to_hand_on(command, tmp_path):
    """No name, swim, coordinate or note stands in it, in no form; the answer is the same."""
    secret = ["Zebedee", "Yolanda", "Hollow Point", "52.513", "-1.507", "a row with the bailiff"]
    lines = [
        "session,angler,date,rod,variant,fish,swim,latitude,longitude,notes,cast_in,cast_out",
        *(
            f"{angler} {day} Hollow Point,{angler},2025-04-{day:02},{rod},{bait},{(day * rod) % 3},"
            f"{'Hollow Point' if bait == 'plain' else 'Reeds'},52.513,-1.507,{secret[5]},"
            f"2025-04-{day:02} 18:00,2025-04-{day:02} 23:{place}0"
            for place, angler in enumerate(secret[:2])
            for day in range(1, 6)
            for rod, bait in enumerate(("plain", "pellet"), start=1)
        ),
    ]
    (tmp_path / "log.csv").write_text("\n".join(lines))
    assert command("import", "log.csv").code == 0
    command("leave-out", "Zebedee 3 Hollow Point", "--because", secret[5])
    asked = ("--angler", "Zebedee", "--angler", "Yolanda", "--at", "52.513,-1.507")
    ours = command("compare", *asked, "--json").out
    assert [word for word in secret[:2] + secret[5:] if word not in ours] == []
    done = command("report", *asked, "--share", "--out", "s.json")
    assert done.code == 0, done.err
    said = (tmp_path / "s.json").read_text(encoding="utf-8")
    assert [word for word in secret if word in said] == []
    theirs = json.loads(said)["compare"]
    assert json.loads(ours)["comparisons"] == theirs["comparisons"]
    assert theirs["filters"]["angler"] == ["angler 2", "angler 1"]


@pytest.mark.full
@pytest.mark.usefixtures("few_looks")
def test_a_page_to_hand_on(command, log, tmp_path):
    """No name stands in the page."""
    assert command("report", "--share", "--out", "s.html").code == 0
    page = (tmp_path / "s.html").read_text(encoding="utf-8")
    assert "Ida" not in page
    assert "angler 1" in page
