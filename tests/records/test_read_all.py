"""All calls read many at a time: the same as one by one, whatever is damaged."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from sqlalchemy import event, update

from consult.records.backup import integrity
from consult.records.errors import Damaged
from consult.records.schema import answers
from consult.records.search import read_all, read_without_health
from consult.records.store import Store, open_store
from tests.records.samples import NOW, append, begin, call_of, keep
from tests.records.test_damage import PAGE, damaged

CALL = call_of(("a", "1"), ("pain", "back"), ("b", "2")).handle("back_stop", at=NOW)


def test_the_same_as_one_by_one(store: Store, tmp_path: Path) -> None:
    """With health and without, the oldest first, files written about them named."""
    made = [keep(store, CALL, number % 2 == 0, f"Ada {number}") for number in range(7)]
    store.note_summary(made[3].id, tmp_path / "s.txt", NOW)
    read = list(read_all(store))
    assert [reference for reference, _ in read] == [one.reference for one in made]
    assert [kept for _, kept in read] == [store.read(one.id) for one in made]
    bare = [kept for _, kept in read_all(store, health=False)]
    assert bare == [read_without_health(store, one.reference) for one in made]


def test_many_calls_take_few_questions_to_the_database(store: Store) -> None:
    """Five a lot of 500, not several a call."""
    for _ in range(30):
        append(store, begin(store), CALL, True)
    asked = []
    event.listen(store.database.engine, "before_cursor_execute", lambda *_: asked.append(1))
    assert len(list(read_all(store))) == 30
    assert integrity(store) == ()
    assert len(asked) < 25


def test_one_damaged_call_hides_no_other(store: Store) -> None:
    """It is named, the others are read."""
    made = [keep(store, CALL, True) for _ in range(3)]
    with store.database.writing() as connection:
        own = answers.c.call_id == made[1].id
        connection.execute(update(answers).where(own).values(said="other"))
    assert [kept is None for _, kept in read_all(store)] == [False, True, False]
    assert integrity(store) == (f"Call {made[1].reference} is damaged.",)


@pytest.mark.parametrize("how", ["inverted", "emptied"])
def test_a_damaged_page_hides_no_call_that_can_be_read(tmp_path: Path, how: str) -> None:
    """What can be read alone is read among all, too."""
    path = tmp_path / "r.db"
    store = open_store(path)
    long = call_of(*((f"q{n}", "said " * 40) for n in range(9)))
    made = [keep(store, long) for _ in range(8)]
    store.close()
    whole = path.read_bytes()
    partly = 0
    for page in range(1, len(whole) // PAGE):
        store.close()
        path.write_bytes(damaged(whole, page, how, random.Random(1)))
        alone = {}
        for one in made:
            try:
                alone[one.reference] = store.read(one.id)
            except Damaged:
                continue
        try:
            found = dict(read_all(store))
        except Damaged:
            continue
        assert {name: kept for name, kept in found.items() if kept} == alone
        partly += 0 < len(alone) < len(made)
    assert partly
