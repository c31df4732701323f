"""A logbook that is not what its changes wrote gives no answer, and says which changes are sound.

Flipped bytes and bits, edited rows, triggers and views put in with SQLite itself.
"""

import json
import random
import sqlite3

import pytest

from rodhours.choice import read_log
from rodhours.errors import UnusableLogbook
from rodhours.log.logbook import open_logbook

ROWS = "session,variant,hours,fish,rod\na,plain,20,1,1\na,pellet,20,0,2\nb,plain,20,0,1\n"
MORE = "session,variant,hours,fish,rod\nc,plain,21,2,1\nc,pellet,21,3,2\n"


@pytest.fixture
def logbook(command, tmp_path):
    """A logbook of two imports and a rename, with a reference that it remembers."""
    for name, text in (("one.csv", ROWS), ("two.csv", MORE)):
        (tmp_path / name).write_text(text)
        assert command("import", name).code == 0
    command("rename", "pellet", "pellet-20")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        book.set_reference("plain")
    return tmp_path / "logbook.sqlite"


def edited(logbook, *statements):
    with sqlite3.connect(logbook) as run:
        for statement in statements:
            run.execute(statement)
    run.close()


EDITS = {
    "a count": ("UPDATE stints SET fish = 9 WHERE id = 5", [2]),
    "a label": ("UPDATE sessions SET session = 'z' WHERE id = 1", [1]),
    "an undoing": ("UPDATE changes SET undone_at = '2025' WHERE id = 3", [3]),
    "a row gone": ("DELETE FROM stints WHERE id = 1", [1]),
    "a row more": ("INSERT INTO stints (session_id, variant, hours, fish) VALUES (1,'x',1,1)", [1]),
    "the reference": ("UPDATE changes SET details = replace(details, 'plain', 'pellet-20')", [4]),
    "a setting": ("INSERT INTO settings VALUES ('weight_unit', 'kg')", [0]),
    "a trigger": ("CREATE TRIGGER t AFTER INSERT ON stints BEGIN DELETE FROM stints; END", [0]),
    "a view": ("CREATE VIEW v AS SELECT load_extension('x')", [0]),
    "a column": ("ALTER TABLE stints RENAME COLUMN fish TO fisch", [0]),
    "a text": ("UPDATE stints SET variant = CAST(x'ff' AS TEXT)", [0]),
}


@pytest.mark.parametrize("edit", EDITS)
def test_an_edited_logbook_answers_nothing(command, logbook, edit):
    """Exit 4 in one line, for a question and for a change; history names what is not sound."""
    statement, wrong = EDITS[edit]
    edited(logbook, statement)
    for done in (command("summary"), command("undo"), command("import", "one.csv")):
        assert (done.code, done.out, done.err.count("\n")) == (4, "", 1)
        assert "damaged" in done.err
    if edit not in ("a text", "a column"):
        done = command("history", "--json")
        assert json.loads(done.out)["unsound"] == wrong


def test_every_change_keeps_it_sound(command, logbook):
    """Undone, renamed, batches added: what the program itself writes is never called damaged."""
    for given in (
        ("undo", "1"),
        ("rename", "plain", "base"),
        ("batch", "add", "base", "--baits", "30"),
        ("leave-out", "c", "--because", "a friend's"),
        ("import", "one.csv"),
    ):
        command(*given)
        assert command("waiting").code == 0, given


def flips(size: int, many: int) -> list[tuple[int, int]]:
    """Places in the file and bits to flip there: single bits and whole bytes in turn."""
    chance = random.Random(20261130)
    return [(chance.randrange(size), (1 << chance.randrange(8), 255)[n % 2]) for n in range(many)]


def said(logbook):
    """All that an answer can rest on."""
    log = read_log(logbook)
    frames = (log.everything, log.catches, log.recipes, log.batches)
    return [frame.to_csv() for frame in frames], log.reference, log.left_out, log.sha256


def damaged(logbook, many):
    """Each flip is refused, or changes nothing that an answer rests on."""
    sound = logbook.read_bytes()
    before = said(logbook)
    refused = 0
    for place, bits in flips(len(sound), many):
        content = bytearray(sound)
        content[place] ^= bits
        logbook.write_bytes(content)
        try:
            assert said(logbook) == before, (place, bits)
        except UnusableLogbook:
            refused += 1
    return refused


def test_a_flipped_bit_is_refused_or_changes_nothing(logbook):
    """Twelve places by a seed."""
    assert damaged(logbook, 12) > 0


def test_a_letter_of_a_label_that_flips_is_refused(logbook):
    """SQLite itself finds nothing wrong with pmain for plain: the digest alone does."""
    sound = logbook.read_bytes()
    places = [at for at in range(len(sound)) if sound.startswith(b"plain", at)]
    assert len(places) > 3
    for place in places[::3]:
        content = bytearray(sound)
        content[place + 1] ^= 1
        logbook.write_bytes(content)
        with pytest.raises(UnusableLogbook):
            open_logbook(logbook)


@pytest.mark.full
def test_a_flipped_bit_at_full_size(logbook):
    """A thousand places by a seed."""
    assert damaged(logbook, 1000) > 0
