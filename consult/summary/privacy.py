"""What of a call may be kept: nothing about health unless the caller said yes to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.call import UNTOLD
from consult.summary.lines import CautionLine
from consult.tree.placeholders import names_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.call.state import Raised
    from consult.tree.condition import Condition
    from consult.tree.model import Tree

WITHHELD = "safety"
"""Stands for the name of a stop that would tell about health."""

URGENT = frozenset(["emergency", "doubt", "urgent", "maternity"])
"""Contacts that are to be rung today; keys of the contacts file."""

STOPPED = "This call was stopped for safety. Whom to contact was said on the telephone."
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
    for one in raised:
        caution = one.caution
        if one.outranked:
            continue
        if not tells(withheld, caution.when, caution.say):
            reason = one.lifted.lifted if one.lifted else ""
            line = CautionLine(
                *(caution.name, caution.level, one.say, one.contact, one.sources, reason),
                contact_sources=one.contact_sources,
                urgent=caution.contact in URGENT,
            )
        elif caution.level == "note":
            continue
        else:
            said = STOPPED if caution.level == "stop" else REFERRED
            reason = UNTOLD if one.lifted else ""
            line = CautionLine(None, caution.level, said, "", (), reason)
        # Two withheld referrals read the same; how many there were tells something as well.
        if line not in kept:
            kept.append(line)
    return tuple(kept)
