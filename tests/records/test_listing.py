"""Questions about the records as a whole, in a file and in a shared database."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from consult.call.call import UNTOLD
from consult.records.errors import NoSuchCall
from consult.records.recovery_file import files_in
from consult.records.schema import SCHEMA_VERSION
from consult.records.search import count, files_of_call, listed_calls, read_without_health, version
from consult.records.store import Store, open_store
from tests.commands.runs import ran
from tests.records.samples import NOW, VERSIONS, call_of, keep, words

HOUR = timedelta(hours=1)


def test_calls_of_a_time_and_a_status(store: Store) -> None:
    """From the first moment to before the last, the newest first, as many as asked for."""
    made = [store.begin(call_of(), VERSIONS, "Ann", NOW + n * HOUR) for n in range(4)]
    store.hold(made[1], NOW)
    names = [one.reference for one in made]

    def found(**asked: object) -> list[str]:
        return [one.reference for one in listed_calls(store, **asked)]  # type: ignore[arg-type]

    assert found() == names[::-1]
    assert found(since=NOW + HOUR, until=NOW + 3 * HOUR) == [names[2], names[1]]
    assert found(status="held") == [names[1]]
    assert found(limit=1) == [names[3]]
    assert (count(store), version(store)) == (4, str(SCHEMA_VERSION))


def test_a_call_without_its_health(store: Store) -> None:
    """As if consent had never been given: order, and what came before a caution, are right."""
    call = call_of(("a", "1"), ("pain", "back"), ("b", "2"))
    call = call.handle("back_stop", lifted="r", at=NOW).handle("back_note", at=NOW)
    opened = keep(store, call.handle("plain", at=NOW), True)
    store.note_summary(opened.id, Path("/s.txt"), NOW)
    bare = read_without_health(store, opened.reference.lower())
    assert words(bare.call.answers) == [("a", "1"), ("b", "2")]
    assert [(one.caution, one.after, one.lifted) for one in bare.call.handled] == [
        ("", 2, UNTOLD),
        ("plain", 2, ""),
    ]
    assert bare.summaries == ()
    assert [path.name for path in files_of_call(store, opened.reference)] == ["s.txt"]
    assert store.read(opened.id).call.answers == call.answers
    for nobody in ("ZZZ-ZZZ", "what?"):
        with pytest.raises(NoSuchCall):
            read_without_health(store, nobody)


def test_recovery_files_that_wait(tmp_path: Path) -> None:
    """Only recovery files count; a folder that is not there has none."""
    (tmp_path / "a.recovery").write_text('{"call": {"reference": "7K3-M2Q"}}\n')
    (tmp_path / "b.merging").write_text("torn")
    (tmp_path / "c.txt").touch()
    folders = (tmp_path, tmp_path / "none")
    assert [path.name for path in files_in(folders)] == ["a.recovery", "b.merging"]


def test_a_shared_database_is_told_without_its_password(
    shared: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its address is shown, the password in it is not."""
    place = shared.replace("postgres@", "postgres:hushhush@")
    open_store(place).close()
    monkeypatch.setenv("CONSULT_RECORDS", place)
    done = ran(("records", "where"), capsys.readouterr)
    assert done.code == 0
    assert "postgres:***@" in done.out
    assert "hushhush" not in done.out
