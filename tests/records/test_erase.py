"""Erasing a caller everywhere, and calls by their age."""

from __future__ import annotations

import random
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from sqlalchemy import select

from consult.records.appending import append_in, begin_in
from consult.records.backup import integrity
from consult.records.call_snapshot import held_of
from consult.records.erase import BACKUPS, COPIES, erase, purge, take
from consult.records.errors import NOT_OWNER, NoSuchCall
from consult.records.rows import call_row, read_pieces, rewrite_call
from consult.records.schema import audit, calls, metadata
from consult.records.store import Store, open_store
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, call_of, keep, on_disk

CALL = call_of(("a", "mystature"), ("pain", "backsecret"))
CALL = replace(CALL, answers=(replace(CALL.answers[0], note="noted"), CALL.answers[1]))
CALL = CALL.handle("plain", lifted="liftedbecause", at=NOW)


def kept_with_file(store: Store, path: Path, name: str = "Quillfeather") -> str:
    """A call with everything personal in it, and a file written about it; its reference."""
    opened = keep(store, CALL, True, name)
    path.write_text("summary")
    store.note_summary(opened.id, path, NOW)
    store.finish(opened, NOW)
    return opened.reference


def audited(store: Store) -> list[tuple[str, int]]:
    """The lines of the audit."""
    with store.database.reading() as connection:
        query = select(audit.c.what, audit.c.count).order_by(audit.c.id)
        return [(what, count) for what, count in connection.execute(query)]


def test_an_erased_caller_leaves_nothing(store: Store, tmp_path: Path) -> None:
    """No row, no file and no recovery file remains; the audit tells that, not whose."""
    path = tmp_path / "sumfile.txt"
    reference = kept_with_file(store, path)
    other = kept_with_file(store, tmp_path / "other.txt", "Bo")
    done = erase(store, reference, NOW)
    assert [(one.path, one.left) for one in done.files] == [(path, "")]
    assert BACKUPS in done.told
    assert not path.exists()
    with pytest.raises(NoSuchCall):
        store.read(reference)
    assert store.find("quill") == ()
    assert store.read(other).call == CALL
    assert audited(store) == [("calls erased on request", 1)]
    with store.database.reading() as connection:
        rows = [str(connection.execute(select(table)).all()) for table in metadata.sorted_tables]
    assert "Quillfeather" not in str(rows)
    assert reference not in str(rows)
    assert path.name not in str(rows)
    assert integrity(store) == ()


@pytest.mark.parametrize("seed", range(2))
def test_no_byte_of_an_erased_caller_is_left(tmp_path: Path, seed: int) -> None:
    """Of calls erased among many, nothing is in a single byte of the file; of the others, all.

    Without writing the file anew this fails: SQLite leaves copies of rows it has moved together.
    """
    chance = random.Random(seed)
    store = open_store(tmp_path / "r.db")
    live: dict[str, list[str]] = {}
    gone: list[str] = []
    with store.database.writing() as connection:
        for number in range(300):
            signs = [f"<plain-{number}>", f"namely{number}x", f"<health-{number}>"]
            said = [(f"q{n}", signs[0] * chance.choice([1, 2, 9, 40])) for n in range(3)]
            call = call_of(*said, ("pain", signs[2] * chance.choice([1, 2, 9, 40])))
            reference = f"<ref-{number}>"
            held = held_of(call, True, signs[1], PRIVATE)
            opened = begin_in(connection, call, VERSIONS, "Ann", NOW, reference)
            row = call_row(connection, opened.id)
            assert row is not None
            kept = read_pieces(connection, row, store.seal)
            append_in(connection, row, kept, held, NOW, store.seal, "")
            live[reference] = [*signs, reference]
            if number % 7 == 6:
                for _ in range(3):
                    taken = chance.choice(list(live))
                    gone += live.pop(taken)
                    number_of = calls.c.reference == taken
                    found = connection.scalar(select(calls.c.id).where(number_of))
                    assert found is not None
                    take(connection, [(found, taken)])
    store.database.scrub()
    data = on_disk(tmp_path)
    assert not [sign for sign in gone if sign.encode() in data]
    assert all(sign.encode() in data for signs in live.values() for sign in signs)


def test_a_file_that_is_gone_or_stays_is_listed(file_store: Store, tmp_path: Path) -> None:
    """One removed already is no trouble; one that cannot be removed, or is another's, is told."""
    opened = keep(file_store, CALL, True, "Ada")
    (tmp_path / "folder").mkdir()
    for name in ("gone.txt", "folder", "shared.txt"):
        file_store.note_summary(opened.id, tmp_path / name, NOW)
    other = keep(file_store, CALL, True, "Bo")
    (tmp_path / "shared.txt").write_text("of the other call")
    file_store.note_summary(other.id, tmp_path / "shared.txt", NOW)
    gone, folder, shared = erase(file_store, opened.id, NOW).files
    assert gone.left == ""
    assert folder.left
    assert "another call" in shared.left
    assert (tmp_path / "shared.txt").exists()
    assert erase(file_store, other.reference, NOW).files[0].left == ""
    assert not (tmp_path / "shared.txt").exists()


def test_a_reader_in_the_way_is_told(tmp_path: Path) -> None:
    """Where the file cannot be written anew just now, it is said."""
    store = open_store(tmp_path / "r.db", wait=0.2)
    opened = keep(store, CALL, True)
    with store.database.raw() as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM calls").fetchall()
        assert COPIES in erase(store, opened.id, NOW).told


def test_a_user_who_does_not_own_the_tables_is_told(shared: str) -> None:
    """A server cleans them for their owner alone, and leaves them out without an error."""
    import psycopg

    with closing(open_store(shared)) as owner:
        first, second = keep(owner, CALL, True), keep(owner, CALL, True)
    parts = urlsplit(shared)
    name = f"helper_{parts.path[1:]}"
    with psycopg.connect(shared, autocommit=True) as admin:
        admin.execute(f"CREATE ROLE {name} LOGIN".encode())
        for what in ("TABLES", "SEQUENCES"):
            granted = f"GRANT ALL ON ALL {what} IN SCHEMA public TO {name}"
            admin.execute(granted.encode())
    address = shared.replace("postgres@", f"{name}@")
    with closing(open_store(address)) as helper:
        assert NOT_OWNER in erase(helper, first.id, NOW).told
        taken = helper.take_over(second.id, "Ann", NOW, anyway=True)
        assert append(helper, taken, CALL, False) == (NOT_OWNER,)
        # Said once; nobody in a call can do anything about it.
        assert append(helper, taken, CALL, False) == ()
    with closing(open_store(shared)) as owner:
        assert not owner.copies_remain
        assert erase(owner, second.id, NOW).told == (BACKUPS,)


def test_nobody_to_erase(store: Store) -> None:
    """A reference nobody has is said so, and nothing is noted."""
    for which in ("ZZZ-ZZZ", "what?", 12):
        with pytest.raises(NoSuchCall):
            erase(store, which, NOW)
    assert audited(store) == []


def test_old_calls_go_and_old_health_sooner(store: Store, tmp_path: Path) -> None:
    """A dry run says what would go; then exactly that goes, and a day younger stays."""
    made = {}
    for days in (0, 89, 91, 364, 366):
        at = NOW - timedelta(days=days)
        opened = keep(store, call_of())
        with store.database.writing() as connection:
            row = call_row(connection, opened.id)
            assert row is not None
            rewrite_call(connection, row, updated_at=(at - timedelta(days=1)).isoformat())
        append(store, opened, CALL, True, f"Name{days}", at)
        with store.database.writing() as connection:
            row = call_row(connection, opened.id)
            assert row is not None
            rewrite_call(connection, row, updated_at=at.isoformat(timespec="microseconds"))
        made[days] = opened.reference
        (tmp_path / f"{days}.txt").write_text("x")
        store.note_summary(opened.id, tmp_path / f"{days}.txt", at)
        store.finish(opened, at)
    dry = purge(store, NOW, dry_run=True)
    assert (dry.calls, dry.health) == (1, 2)
    assert [one.path.name for one in dry.files] == ["366.txt"]
    assert (tmp_path / "366.txt").exists()
    assert len(store.latest()) == 5
    done = purge(store, NOW)
    assert (done.calls, done.health) == (dry.calls, dry.health)
    assert not (tmp_path / "366.txt").exists()
    for days in (0, 89):
        assert store.read(made[days]).call == CALL
    for days in (91, 364):
        assert store.read(made[days]).call == replace(
            CALL,
            answers=CALL.answers[:1],
            handled=(replace(CALL.handled[0], after=1),),
        )
    with pytest.raises(NoSuchCall):
        store.read(made[366])
    assert audited(store) == [("calls erased by age", 1), ("health answers erased by age", 2)]
    assert purge(store, NOW).calls == 0
    assert integrity(store) == ()


def test_consent_taken_back_is_noted(store: Store) -> None:
    """The audit counts the health answers that went."""
    opened = keep(store, CALL, True)
    append(store, opened, CALL, False)
    assert audited(store) == [("health answers erased, consent taken back", 1)]
