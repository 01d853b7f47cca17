"""Why the question asked now is next, in a few words: what its answer could change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.state import request_of
from consult.fit.range_model import FEATURES
from consult.fit.ranking import weigh
from consult.fit.worth import could_change
from consult.tree.model import DECIDING

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.fit.request import FitRequest
    from consult.tree.model import Question, Tree

MOST = 80
"""Characters, so that it stands on one line."""
_PARTS = {
    "gas_lift": "the gas lift",
    "seat": "the seat",
    "back": "the back",
    "lumbar": "the lumbar support",
    "arms": "the armrests",
    "castors": "the castors",
    "rating": "what it must carry",
}


def why_next(basis: Basis, now: State) -> str:
    """What the answer to the question asked now could change; '' where no pool asks it.

    Such as "desk height: could change the gas lift and add a footrest".
    """
    asked = now.current
    if asked is None or asked.pool is None or basis.range is None or now.fit is None:
        return ""
    request = request_of(basis.range, now)
    key = asked.measures or asked.sets or ""
    changed = could_change(request, key)
    needed = _called_for(basis.tree, asked)
    parts = [_PARTS[one] for one in changed if one != "footrest"]
    parts += [_PARTS[one] for one in needed if one not in changed]
    if not changed and parts and set(needed.values()) == {"must"}:
        return _one_line(asked, ["decides", *parts])
    if "footrest" in changed:
        rest = "leave out the footrest" if _has_footrest(request) else "add a footrest"
        if not parts:
            return _one_line(asked, ["could", rest])
        parts.append(rest)
    if parts:
        return _one_line(asked, ["could change", *parts])
    told = asked.measures is not None or asked.sets in DECIDING
    return _one_line(asked, ["makes it surer that", "the chair fits"]) if told else ""


def _called_for(tree: Tree, asked: Question) -> dict[str, str]:
    """Part -> how much a feature of it may be called for, by this answer or one it leads to."""
    pool = [one for one in tree.questions.values() if one.pool == asked.pool]
    opened = [one for one in pool if any(asked.name in when.names for when in one.asked_if)]
    names = {asked.name, *(one.name for one in opened)}
    found: dict[str, str] = {}
    for need in tree.needs:
        if names & need.when.names:
            kinds = FEATURES.get(need.feature, ())
            part = kinds[0] if len(kinds) == 1 else "rating"
            found[part] = "must" if found.get(part) == "must" else need.strength
    return found


def _has_footrest(request: FitRequest) -> bool:
    weighed = weigh(request)
    return bool(len(weighed.rows) and weighed.rest[weighed.set_of[weighed.ranking()[0][0]]])


def _one_line(asked: Question, words: list[str]) -> str:
    """As many of the parts as there is room for, the first of them first."""
    label, verb, *parts = asked.name.replace("_", " "), *words
    while len(f"{label}: {verb} {_joined(parts)}") > MOST and len(parts) > 1:
        parts.pop()
    over = len(f"{label}: {verb} {_joined(parts)}") - MOST
    if over > 0:
        label = f"{label[: -over - 1]}\N{HORIZONTAL ELLIPSIS}"
    return f"{label}: {verb} {_joined(parts)}"


def _joined(parts: list[str]) -> str:
    """ "the gas lift, the seat and add a footrest": a footrest has a verb of its own."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
