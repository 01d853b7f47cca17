"""Who may see what of a call: the caller, the employer, the order team, the adviser's own file.

One table says it for every field of the summary; what a reader may not see is emptied before any
form is written, so no template and no export can let it through.

The employer sees the parts, their price, and workplace needs that follow from answers about the
workplace alone (``workplace``). Nothing that is worked out from a body is in it: no seat, armrest,
desk or screen height to set, no band, no shortfall and no feature, for each of them is a measure of
the body under another name. The figures stand on the person's own set-up card. The order team sees
the parts, where they go, and whether the order is on hold, never why. Two callers who differ in
health and body alone and get the same parts therefore have the same document.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Literal, get_args

from consult.call.call import UNTOLD
from consult.sentence import CHAIR
from consult.summary.lines import CautionLine
from consult.tree.placeholders import names_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.call.raised import Raised
    from consult.call.state import State
    from consult.summary.model import Summary
    from consult.tree.condition import Condition
    from consult.tree.model import Tree

Reader = Literal["caller", "employer", "order", "file"]
READERS: tuple[Reader, ...] = get_args(Reader)
HEALTHLESS: frozenset[Reader] = frozenset(["employer", "order"])
"""Readers for whom a summary is made as if the caller had not consented to health being kept."""

_SEEN_BY: Mapping[tuple[Reader, ...], str] = {
    READERS: "version title made_with sender disclaimer healthless "
    "call.date call.caller call.units call.country call.reference call.adviser "
    "specification.parts specification.pieces specification.agreed.chair "
    "specification.price specification.total specification.currency specification.vat "
    "specification.delivery specification.delivery_open specification.fabric_open "
    "specification.lead_days specification.ready specification.arrives",
    ("employer", "file"): "workplace",
    ("caller", "order", "file"): "hold delivery order_answers specification.agreed.other",
    ("caller", "file"): "call.finished call.stopped follow_up stored then_and_now "
    "fit missing notes plausibility measured estimated labels "
    "cautions advice needs setup_steps remedies "
    "specification.settings specification.shortfalls specification.p_fits "
    "specification.agreed.because specification.agreed.suggested specification.tied "
    "specification.compromises specification.why_not specification.ask_next "
    "specification.settled specification.other_populations",
    ("file",): "body answers route specification.se",
}
MAY_SEE: Mapping[str, frozenset[Reader]] = {
    name: frozenset(readers) for readers, names in _SEEN_BY.items() for name in names.split()
}
"""Field -> who may see it; a field inside another is written with a point."""


def for_reader(summary: Summary, reader: Reader) -> Summary:
    """The summary with every field emptied that the reader may not see."""
    kept: Summary = _cut(summary, reader, "")
    return kept


def _cut(value: Any, reader: Reader, path: str) -> Any:
    changed: dict[str, Any] = {}
    for field in fields(value):
        name = f"{path}{field.name}"
        inner = getattr(value, field.name)
        if name in MAY_SEE:
            if reader not in MAY_SEE[name]:
                changed[field.name] = empty(inner, field.type)
        elif is_dataclass(inner):
            changed[field.name] = _cut(inner, reader, f"{name}.")
        elif inner is not None:
            raise LookupError(f"nobody said who may see {name}")
    return replace(value, **changed)


def empty(value: Any, declared: Any) -> Any:
    """Nothing, of the same kind; None wherever the field may be None.

    So an empty field is the same whatever stood in it.
    """
    if "None" in str(declared):
        return None
    if isinstance(value, Mapping):
        return {}
    return type(value)() if isinstance(value, (str, tuple, int)) else None


# -- what of a call may be kept: nothing about health unless the caller said yes to it ------------

WITHHELD_STOP = "safety"
"""Stands for the name of a stop that would tell about health."""

URGENT = frozenset(["emergency", "doubt", "urgent", "maternity"])
"""Contacts that are to be rung today; keys of the contacts file."""

STOPPED_NOTE = "This call was stopped for safety. Whom to contact was said on the telephone."
REFERRED = "Somebody qualified should be asked first. Whom to contact was said on the telephone."


def withheld_questions(tree: Tree, consent: bool | None) -> frozenset[str]:
    """Questions whose answers must not appear; consent not given or not asked is no consent."""
    if consent is True:
        return frozenset()
    return frozenset(
        name for name, question in tree.questions.items() if question.private == "health"
    )


def tells(withheld: frozenset[str], when: Condition, *texts: str) -> bool:
    """Whether a piece of the tree gives away a withheld answer, by applying or by quoting it."""
    return bool(withheld & when.names) or any(
        name in withheld for text in texts for name in names_in(text)
    )


def cautions_to_keep(withheld: frozenset[str], raised: Iterable[Raised]) -> tuple[CautionLine, ...]:
    """Cautions as they may be kept, in their order.

    That somebody was stopped or sent to a clinician is kept, so that nobody fits them a chair
    unaware; why is not, and neither is whom to contact, which would tell how grave it was.
    """
    kept: list[CautionLine] = []
    for entry in raised:
        caution = entry.caution
        if entry.outranked:
            continue
        if not tells(withheld, caution.when, caution.say):
            reason = entry.lifted.lifted if entry.lifted else ""
            line = CautionLine(
                *(caution.name, caution.level, entry.say, entry.contact, entry.sources, reason),
                contact_sources=entry.contact_sources,
                urgent=caution.contact in URGENT,
            )
        elif caution.level == "note":
            continue
        else:
            words = STOPPED_NOTE if caution.level == "stop" else REFERRED
            reason = UNTOLD if entry.lifted else ""
            line = CautionLine(None, caution.level, words, "", (), reason)
        # Two withheld referrals read the same; how many there were tells something as well.
        if line not in kept:
            kept.append(line)
    return tuple(kept)


_DISCLAIMER = (
    "This is general advice on <things>, from what was said on the telephone. "
    "It is not medical advice and does not treat pain. If pain gets worse or does not settle, see "
    "your doctor. Local rules, and what your clinicians tell you, come first."
)
_WORKPLACE = (
    "This is general advice on <things>, from what was said on the telephone. "
    "It does not replace a workstation assessment. Local rules come first."
)
"""For the employer and the order team: nothing about health, and nobody is spoken to."""
_STOPPED = (
    "This is not medical advice. What the people you were asked to contact tell you comes first."
)
"""After a stop: nothing that could be read as a reason to wait."""


def disclaimer_for(state: State, *, healthless: bool) -> str:
    """What a document says of itself at its end."""
    things = "chairs and desks" if state.thing == CHAIR else f"{state.thing}s"
    going_on = _DISCLAIMER if state.stopped is None else _STOPPED
    return (_WORKPLACE if healthless else going_on).replace("<things>", things)
