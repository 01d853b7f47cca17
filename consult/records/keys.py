"""Whether health answers of the records are encrypted, and with this key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import insert, select

from consult.records.exact import check_of
from consult.records.schema import health, meta
from consult.records.sealing import PLAIN, WRONG, Seal
from consult.records.trouble import NoKey

if TYPE_CHECKING:
    from consult.records.engine import Database

_PROOF = "key_proof"
_KNOWN = b"these records"


def settle_key(database: Database, seal: Seal) -> bool:
    """Whether these records are encrypted; a key given first encrypts what is there already.

    ``NoKey`` where a key is given that is another one: to write with it would split the records.
    """
    with database.reading() as connection:
        proof = connection.scalar(select(meta.c.value).where(meta.c.name == _PROOF))
    if seal.key is None:
        return proof is not None
    if proof is not None:
        if seal.open(proof.encode("ascii")) != _KNOWN:
            raise NoKey(WRONG)
        return True
    with database.writing() as connection:
        closed = seal.close(_KNOWN).decode("ascii")
        connection.execute(insert(meta).values(name=_PROOF, value=closed))
        changed = 0
        for one in connection.execute(select(health)).all():
            if one.body[:1] == PLAIN:
                body = seal.close(seal.open(one.body))
                check = check_of(one.call_id, one.kind, one.seq, body)
                own = health.c.id == one.id
                connection.execute(health.update().where(own).values(body=body, check=check))
                changed += 1
    if changed:
        database.scrub()
    return True
