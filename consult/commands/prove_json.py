"""Proofs as JSON, for editors and CI."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.content.prove.model import Caller, Proofs, Property, Witness
    from consult.problems import Where


def proofs_json(proofs: Proofs) -> dict[str, object]:
    """Everything found out about one tree, every caller with all that was said."""
    return {
        "tree": proofs.tree,
        "not_proven": proofs.not_proven,
        "promises": [_property_json(one) for one in proofs.properties],
        "callers": [_witness_json(one) for one in proofs.witnesses],
    }


def _property_json(one: Property) -> dict[str, object]:
    return {
        "name": one.name,
        **_place(one.where),
        "standing": one.standing,
        "reason": one.reason,
        "caller": _caller_json(one.caller),
    }


def _witness_json(one: Witness) -> dict[str, object]:
    return {
        "part": one.part,
        "name": one.name,
        **_place(one.where),
        "found": one.found,
        "caller": _caller_json(one.caller),
    }


def _place(where: Where) -> dict[str, object]:
    return {"file": where.file, "line": where.line, "column": where.column}


def _caller_json(caller: Caller | None) -> dict[str, object] | None:
    if caller is None:
        return None
    return {
        "says": caller.says,
        "answers": [{"question": each.question, "said": each.said} for each in caller.answers],
        "lifted": list(caller.lifted),
    }
