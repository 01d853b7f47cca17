"""Proofs kept in a folder, so that a tree that did not change is not proven again.

A proof is known by the digest of all it rests on: the files of the tree, the contacts and the range
beside it, and the program itself. What cannot be read is proven anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.call.call import Answer
from consult.content.library.files import LibraryTrouble, with_version
from consult.content.prove import prove
from consult.content.prove.model import Caller, Proofs, Property, Witness
from consult.durable import write_whole
from consult.problems import Problem, Where
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.folder import FITTING_FILE, RANGE_FILE
from consult.tree.settings import FILE as SETTINGS_FILE

if TYPE_CHECKING:
    from consult.call.basis import Basis

_PACKAGE = Path(__file__).parents[2]
_BESIDE = (CONTACTS_FILE, RANGE_FILE, FITTING_FILE, SETTINGS_FILE)
_RESTS_ON = ("hearing", "tree", "call", "fit", "body", "content/prove")
"""Parts of the program that a proof rests on."""
MOST = 40
"""Proofs kept; the oldest go."""


def proofs_of(
    basis: Basis,
    kept: Path,
    said: Callable[[int, int], None] | None = None,
    *,
    witnesses: bool = True,
) -> Proofs:
    """What is proven of a tree: as it was kept, else found out now and kept.

    Kept are names of files, so that the same tree in another folder is known. ``said`` hears how
    many of how many pieces are done. Without ``witnesses``, proofs that have them serve as well.
    """
    folder = Path(basis.tree.files[0]).parent
    digest = _digest(basis.tree.name, _rests_on(basis, folder))
    whole, bare = kept / f"{digest}.json", kept / f"{digest}-bare.json"
    for each in (whole,) if witnesses else (whole, bare):
        with suppress(OSError, ValueError, KeyError, TypeError):
            return _read(json.loads(each.read_text("utf-8")), folder, basis)
    proofs = prove(basis.tree, basis, said, witnesses=witnesses)
    with suppress(OSError):
        kept.mkdir(parents=True, exist_ok=True)
        write_whole(whole if witnesses else bare, json.dumps(_written(proofs)).encode())
        for old in sorted(kept.glob("*.json"), key=lambda each: -each.stat().st_mtime)[MOST:]:
            old.unlink(missing_ok=True)
    return proofs


def _rests_on(basis: Basis, folder: Path) -> Mapping[str, bytes]:
    """The files of the tree and those beside it that it reads, without versions."""
    names = dict.fromkeys((*(Path(each).name for each in basis.tree.files), *_BESIDE))
    found = {name: folder / name for name in names}
    there = {name: path.read_bytes() for name, path in found.items() if path.is_file()}
    with suppress(LibraryTrouble):
        there = with_version(there, "")
    return there


def _digest(tree: str, files: Mapping[str, bytes]) -> str:
    # What could not be proven for want of the solver can be once it is installed.
    solver = find_spec("z3") is not None
    whole = hashlib.sha256(f"{_program()} {tree} {solver}".encode())
    for name in sorted(files):
        whole.update(hashlib.sha256(name.encode()).digest())
        whole.update(hashlib.sha256(files[name]).digest())
    return whole.hexdigest()


def _written(proofs: Proofs) -> dict[str, Any]:
    return {
        "problems": [{**asdict(each), "where": _place(each.where)} for each in proofs.problems],
        "properties": [
            {
                "name": each.name,
                "where": _place(each.where),
                "standing": each.standing,
                "reason": each.reason,
                "caller": _caller(each.caller),
            }
            for each in proofs.properties
        ],
        "witnesses": [
            {
                "part": each.part,
                "name": each.name,
                "where": _place(each.where),
                "found": each.found,
                "caller": _caller(each.caller),
            }
            for each in proofs.witnesses
        ],
        "not_proven": proofs.not_proven,
    }


def _place(where: Where) -> list[Any]:
    return [Path(where.file).name, where.line, where.column]


def _caller(caller: Caller | None) -> dict[str, Any] | None:
    if caller is None:
        return None
    answers = [(each.question, each.said) for each in caller.answers]
    return {"answers": answers, "telling": caller.telling, "lifted": caller.lifted}


def _read(found: dict[str, Any], folder: Path, basis: Basis) -> Proofs:
    def there(place: list[Any]) -> Where:
        name, line, column = place
        return Where(str(folder / name), line, column)

    def caller(kept: dict[str, Any] | None) -> Caller | None:
        if kept is None:
            return None
        answers = tuple(Answer(question, said) for question, said in kept["answers"])
        telling = None if kept["telling"] is None else tuple(kept["telling"])
        return Caller(answers, telling, tuple(kept["lifted"]))

    def again(each: dict[str, Any]) -> dict[str, Any]:
        return {**each, "where": there(each["where"]), "caller": caller(each["caller"])}

    return Proofs(
        basis.tree.name,
        basis.tree.files,
        tuple(Problem(**{**each, "where": there(each["where"])}) for each in found["problems"]),
        tuple(Witness(**again(each)) for each in found["witnesses"]),
        tuple(Property(**again(each)) for each in found["properties"]),
        found["not_proven"],
    )


@cache
def _program() -> str:
    """The program as it is; another line in it may prove something else."""
    whole = hashlib.sha256()
    for part in _RESTS_ON:
        for path in sorted((_PACKAGE / part).rglob("*.[pyj][yas]*")):
            if path.is_file() and path.suffix in (".py", ".yaml", ".json"):
                whole.update(path.read_bytes())
    return whole.hexdigest()
