"""What the results of a row may show; they go to the buyer of the chairs.

Nothing that follows from an answer about health, whatever the person consented to: the consent is
for choosing the chair, not for showing it to an employer. Only the parts, and that a call was
stopped, can depend on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from consult.call.batch import to_ask
from consult.summary.privacy import cautions_to_keep, tells, withheld_questions
from consult.summary.specification import NO_CHAIR, lines_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.call.basis import Basis
    from consult.call.batch import Worked
    from consult.call.state import State

Json = dict[str, Any]

STOPPED_ROW = "This row was stopped for safety. Speak to this person before you choose a chair."
NOT_HEARD = (
    "Nobody has read this person the list of warning signs. Read it to them before you order."
)
SETTINGS = ("seat_height", "seat_depth", "armrest_height", "footrest_height", "desk_height")


def told(basis: Basis, worked: Worked) -> Json:
    """One row of the results: lengths in mm, shares from 0 to 1, lists where there are several."""
    row: Json = {
        "line": worked.line,
        "reference": worked.reference,
        "status": "bad",
        "why": "",
        "units": worked.system,
        "settings": {},
        "p_fits": None,
        "parts": [],
        "price": None,
        "lead_days": None,
        "cautions": [],
        "ask_next": list(to_ask(basis, worked)),
        "not_used": list(worked.not_used),
        "note": worked.note,
        "bad": [
            {"column": one.place + 1, "heading": one.heading, "say": one.say} for one in worked.bad
        ],
    }
    now, shown = worked.state, worked.told
    if now is None or shown is None:
        row["why"] = " ".join(f"{one.heading}: {one.say}" for one in worked.bad)
        return row
    withheld = withheld_questions(basis.tree, consent=None)
    raised = cautions_to_keep(withheld, (shown if now.stopped is None else now).cautions)
    row["cautions"] = [one.name for one in raised if one.name is not None]
    if now.stopped is not None:
        # A stop is told before anything else; others beside it would hint at what it was.
        hidden = tells(withheld, now.stopped.when, now.stopped.say)
        row["status"], row["why"] = "stopped", STOPPED_ROW
        if not hidden:
            told_why = (one.say for one in raised if one.name == now.stopped.name)
            row["why"] = next(told_why, STOPPED_ROW)
        row["cautions"] = [] if hidden else row["cautions"]
        return row
    found = row | _chair(now, withheld)
    if not _heard_signs(now):
        found["why"] = f"{NOT_HEARD} {found['why']}".strip()
    return found


def _heard_signs(now: State) -> bool:
    """Whether the warning signs were answered; true where the tree asks for none."""
    lists = [step for step in now.steps if step.question.signs]
    return all(step.status == "answered" for step in lists)


def sent_elsewhere(basis: Basis, worked: Worked) -> bool:
    """Whether a referral applies that the results may not show."""
    if worked.state is None:
        return False
    withheld = withheld_questions(basis.tree, consent=None)
    return any(
        one.caution.level != "note" and tells(withheld, one.caution.when, one.caution.say)
        for one in worked.state.cautions
    )


def _chair(now: State, withheld: frozenset[str]) -> Json:
    """The chair, its settings and shortfalls; without a chair, the settings it would need."""
    system = now.call.system
    picked, fit, chosen = now.picked, now.fit, now.chosen
    assert picked is not None
    assert fit is not None
    assert chosen is not None
    wanted = {name: one.target for name, one in fit.requirements.items()}
    set_to: Mapping[str, float] = picked.settings if picked.parts else wanted
    settings = {**set_to, **{n: mm for n, mm in wanted.items() if n == "desk_height"}}
    short = " ".join(one.say.text(system) for one in picked.shortfalls)
    found: Json = {
        "status": "done" if picked.parts else "no chair",
        "why": short,
        "settings": {name: round(settings[name], 1) for name in SETTINGS if name in settings},
    }
    if not picked.parts:
        secret = any(tells(withheld, one.when, one.because) for one in now.needs)
        return found | {"why": NO_CHAIR.text(system) if secret else short}
    best = chosen.choice.best
    return found | {
        "p_fits": round(best.p_fits, 4) if best else None,
        "parts": [
            {"kind": part.kind, "code": part.code, "name": part.name, "within": part.within}
            for part in lines_of(chosen.chosen_for.range, picked)
        ],
        "price": picked.price,
        "lead_days": picked.lead_days,
    }
