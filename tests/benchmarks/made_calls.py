"""Many stored calls, written as the store writes them but thousands at a time."""

from __future__ import annotations

import random
from typing import Any

from sqlalchemy import Table, select

from consult.records.backup import integrity
from consult.records.kept import check_of, new_reference
from consult.records.rows import call_check, call_row
from consult.records.schema import answers, calls, health, name_words
from consult.records.search import words_of_name as name_words_of
from consult.records.store import Store
from tests.records.samples import append, begin, call_of

_FIRST = ("Ada", "Bo", "Cem", "Dina", "Edda", "Finn", "Gwen", "Hal", "Ines", "Jo", "Kai", "Zoë")
_ENDS = ("by", "ton", "worth", "ley", "ham", "well", "ford", "mere")
_AT_ONCE = 5_000


def fill(store: Store, count: int, first: int = 0) -> None:
    """One call kept by the store and told again of ``count`` callers, numbered from ``first``."""
    chance = random.Random(first + 1)
    call = call_of(("why", "1"), ("stature", "157 cm"), ("pain", "back"))
    model = begin(store, call)
    append(store, model, call, True, "Model")
    with store.database.reading() as connection:
        row = call_row(connection, model.id)
        assert row is not None
        told = {
            table: [dict(one) for one in connection.execute(own).mappings()]
            for table in (answers, health)
            for own in [select(table).where(table.c.call_id == model.id)]
        }
        taken = set(connection.scalars(select(calls.c.reference)))
    references: set[str] = set()
    while len(references) < count:
        references.add(new_reference())
        references -= taken
    free = iter(references)
    for start in range(first, first + count, _AT_ONCE):
        made: dict[Table, list[dict[str, Any]]] = {
            table: [] for table in (calls, answers, health, name_words)
        }
        for number in range(start, min(start + _AT_ONCE, first + count)):
            letters = "".join(chance.choice("abcdefghilmnoprstu") for _ in range(3))
            name = f"{chance.choice(_FIRST)} {letters.title()}{chance.choice(_ENDS)}"
            call_id = 1_000_000 + number
            one = row | {"id": call_id, "reference": next(free), "caller_name": name}
            one |= {"open_by": None, "status": "finished"}
            made[calls].append(one | {"check": call_check(one)})
            for table in (answers, health):
                for piece in told[table]:
                    copy = {name: v for name, v in piece.items() if name != "id"}
                    copy |= {"call_id": call_id}
                    copy["check"] = check_of(*[v for n, v in copy.items() if n != "check"])
                    made[table].append(copy)
            made[name_words] += [{"word": word, "call_id": call_id} for word in name_words_of(name)]
        with store.database.writing() as connection:
            for table, rows in made.items():
                if rows:
                    connection.execute(table.insert(), rows)
    problems = integrity(store) if count < 10_000 else ()
    assert not problems, problems[:3]
