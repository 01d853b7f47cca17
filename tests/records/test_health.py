"""Health answers: only with consent, gone without a trace, closed to whoever has no key."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from consult.call.call import UNTOLD, private_of, without_health
from consult.records.encryption import MISSING
from consult.records.rows import erase_health
from consult.records.schema import health
from consult.records.store import BLOCKED, Store, open_store
from tests.call.calls import seating
from tests.records.samples import NOW, append, begin, call_of, keep, on_disk, words

BACK = "lumbagosecret"
CALL = call_of(("a", "1"), ("pain", BACK), ("b", "2"), ("since", BACK + "days"))
KEY = Fernet.generate_key().decode()


@pytest.mark.parametrize("consent", [None, False])
def test_without_consent_nothing_reaches_the_disk(
    file_store: Store, tmp_path: Path, consent: bool | None
) -> None:
    """Neither an answer about health nor the caution it raised nor why a stop was lifted."""
    call = CALL.handle("back_stop", lifted=BACK, at=NOW).handle("back_note", at=NOW)
    opened = keep(file_store, call, consent)
    data = on_disk(tmp_path)
    assert BACK.encode() not in data
    assert b"back_stop" not in data
    assert b"back_note" not in data
    kept = file_store.read(opened.id).call
    assert [(one.caution, one.lifted) for one in kept.handled] == [("", UNTOLD)]


def test_consent_later_keeps_what_was_said_before(store: Store) -> None:
    """Answers held in memory are written with the first answer after consent, at their places."""
    opened = begin(store)
    append(store, opened, CALL, None)
    assert words(store.read(opened.id).call.answers) == [("a", "1"), ("b", "2")]
    more = CALL.add(call_of(("consent", "yes")).answers[0])
    append(store, opened, more, True)
    assert store.read(opened.id).call == more
    assert store.read(opened.id).consent is True


@pytest.mark.parametrize("closed", [False, True], ids=["open", "encrypted"])
def test_consent_taken_back_leaves_no_copy(tmp_path: Path, closed: bool) -> None:
    """Every byte of the file, its log and its index is free of what was erased."""
    store = open_store(tmp_path / "r.db", KEY if closed else None)
    call = CALL.handle("back_stop", lifted=BACK, at=NOW)
    opened = keep(store, call, True)
    bodies = _bodies(store)
    assert bodies
    assert (BACK.encode() not in on_disk(tmp_path)) is closed
    assert append(store, opened, call, False) == ()
    data = on_disk(tmp_path)
    assert BACK.encode() not in data
    assert not any(body in data for body in bodies)
    assert store.read(opened.id).call.answers == (call.answers[0], call.answers[2])
    append(store, opened, call, True)
    assert store.read(opened.id).call == call


def _bodies(store: Store) -> list[bytes]:
    with store.database.raw() as connection:
        return [row[0] for row in connection.execute("SELECT body FROM health")]


@pytest.mark.parametrize("seed", [6, 9])
def test_no_copy_remains_whatever_was_moved(tmp_path: Path, seed: int) -> None:
    """Many calls grow and shrink beside each other: no erased answer is left, no other is lost.

    Removing the rows fails this: SQLite leaves copies of rows it has moved together.
    """
    chance = random.Random(seed)
    store = open_store(tmp_path / "r.db")
    made = [begin(store).id for _ in range(40)]
    live: dict[int, list[str]] = {call_id: [] for call_id in made}
    gone: list[str] = []
    for start in range(0, 700, 100):
        with store.database.writing() as connection:
            for step in range(start, start + 100):
                call_id, said = chance.choice(made), f"<secret-{step}>"
                body = f"p{said * chance.choice([1, 2, 5, 30, 400])}".encode()
                row = {"call_id": call_id, "kind": "answer", "seq": step, "body": body}
                connection.execute(health.insert().values({**row, "check": said}))
                live[call_id].append(said)
                if chance.random() < 0.1:
                    call_id = chance.choice(made)
                    assert erase_health(connection, [call_id]) == len(live[call_id])
                    gone += live[call_id]
                    live[call_id] = []
    store.database.settle()
    data = on_disk(tmp_path)
    assert len(gone) > 100
    assert not [said for said in gone if said.encode() in data]
    assert all(said.encode() in data for told in live.values() for said in told)


def test_a_reader_in_the_way_is_told(tmp_path: Path) -> None:
    """While somebody reads, the log stays; it is said, and emptied with the next answer."""
    store = open_store(tmp_path / "r.db", wait=0.2)
    opened = keep(store, CALL, True)
    with store.database.raw() as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM health").fetchall()
        assert append(store, opened, CALL, False) == (BLOCKED,)
        reader.execute("COMMIT")
    assert append(store, opened, CALL, False) == ()
    assert BACK.encode() not in on_disk(tmp_path)


def test_nothing_readable_with_a_key(tmp_path: Path) -> None:
    """With a key no word about health is in the file, and it comes back with the key."""
    store = open_store(tmp_path / "r.db", KEY)
    opened = keep(store, CALL, True)
    assert BACK.encode() not in on_disk(tmp_path)
    assert open_store(tmp_path / "r.db", KEY).read(opened.id).call == CALL


def test_a_missing_key_is_said_and_the_rest_is_read(place: str) -> None:
    """Without the key the plain answers are there, more can be kept, and nothing is lost."""
    store = open_store(place, KEY)
    opened = keep(store, CALL, True)
    bare = open_store(place)
    kept = bare.read(opened.id)
    assert kept.trouble == MISSING
    assert words(kept.call.answers) == [("a", "1"), ("b", "2")]
    mine = bare.take_over(opened.id, "Bea", NOW, anyway=True)
    more = kept.call.add(call_of(("pain", "worse")).answers[0]).add(call_of(("c", "3")).answers[0])
    assert append(bare, mine, more, True) == (MISSING,)
    everything = words(store.read(opened.id).call.answers)
    assert everything == [*words(CALL.answers), ("c", "3")]
    assert append(bare, mine, more, False) == ()
    assert words(store.read(opened.id).call.answers) == [("a", "1"), ("b", "2"), ("c", "3")]
    store.close()
    bare.close()


def test_a_key_given_later_closes_what_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first start with a key, here from its file, leaves no open health answer behind."""
    opened = keep(open_store(tmp_path / "d" / "r.db"), CALL, True)
    (tmp_path / "key").write_text(KEY + "\n", "ascii")
    monkeypatch.setenv("CONSULT_KEY_FILE", str(tmp_path / "key"))
    assert open_store(tmp_path / "d" / "r.db").read(opened.id).call == CALL
    assert BACK.encode() not in on_disk(tmp_path / "d")


def test_the_tree_says_what_is_private() -> None:
    """The same answers and cautions are private here as in a call file."""
    tree = seating().tree
    private = private_of(tree)
    telling = sorted(private.telling)
    call = call_of(*((name, "x") for name in tree.questions))
    for name in [*telling, *sorted({one.name for one in tree.cautions} - private.telling)]:
        call = call.handle(name, lifted="because", at=NOW)
    bare = without_health(tree, call)
    asked = set(tree.questions) - (private.questions - private.always_asked)
    assert {one.question for one in bare.answers} == asked
    shown = [one.caution for one in bare.handled if one.caution]
    assert not set(shown) & private.telling
    # That it was stopped, and lifted, is told once, however many stops there were.
    assert [one.lifted for one in bare.handled if not one.caution] == [UNTOLD]
