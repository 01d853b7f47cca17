"""What the documents of ordinary, held and stopped calls say, and say once."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from consult.call.raised import Raised
from consult.call.state import State, state
from consult.problems import Where
from consult.summary import PAPERS, Paper
from consult.summary.known import workplace_needs
from consult.summary.model import summarise
from consult.summary.readers import HEALTHLESS, MAY_SEE, Reader, for_reader
from consult.summary.render import Writer, document
from consult.summary.text import to_text
from consult.tree.condition import parse_condition
from consult.tree.model import Advice, Caution
from tests.ui.desk import demo, demo_basis

EMPLOYER = {
    *("version", "title", "call.date", "call.caller", "call.units", "call.country"),
    *("call.reference", "call.adviser", "made_with", "sender", "workplace", "specification.parts"),
    *("specification.price", "specification.currency", "specification.vat"),
    *("specification.delivery", "specification.delivery_open", "specification.total"),
    *("specification.fabric_open", "specification.pieces"),
    *("specification.lead_days", "specification.ready", "specification.arrives"),
    *("specification.agreed.chair", "disclaimer", "healthless"),
}
"""All that an employer may see: parts, needs of the workplace, and which call it was."""
ORDER = EMPLOYER - {"workplace"} | {
    *("specification.agreed.other", "delivery", "hold", "order_answers"),
}
"""All that the order team may see."""
REFERRED = Caution(
    "see_somebody", Where("", 1, 1), "refer", parse_condition("yes"), "Please see your GP."
)
CALLS = ("01", "03", "06", "13", "14", "16", "20", "22")


@cache
def finished(number: str) -> State:
    return state(demo_basis(), demo(number).call)


def raised(now: State, *cautions: Caution) -> State:
    """The call with other cautions than its own."""
    return replace(now, cautions=tuple(Raised(one, one.say, "") for one in cautions))


def written(now: State, paper: Paper) -> str:
    made = Writer(demo_basis(), now, None, "7K3-M2Q", "Ann").write("text", paper)
    return " ".join(made.decode().split())


def exported(now: State, reader: Reader) -> dict[str, Any]:
    made: dict[str, Any] = json.loads(Writer(demo_basis(), now).write("json", reader))
    return made


@pytest.mark.parametrize(("reader", "may"), [("employer", EMPLOYER), ("order", ORDER)])
def test_what_they_may_see_is_named_field_by_field(reader: Reader, may: set[str]) -> None:
    """Nobody widens it in passing."""
    assert {name for name, readers in MAY_SEE.items() if reader in readers} == may


def test_a_referral_holds_the_order() -> None:
    """The order team holds it and learns nothing of why; the caller reads what to do."""
    agreed = replace(finished("01"), current=None, agreed="recommended")
    free, held = raised(agreed), raised(agreed, REFERRED)
    assert exported(free, "order")["hold"] is False
    assert "HOLD" not in written(free, "order")
    assert exported(held, "order")["hold"] is True
    order = written(held, "order")
    assert "HOLD: Do not ship until Ann releases this order." in order
    assert not [word for word in ("GP", "refer", "health", "contact somebody") if word in order]
    assert exported(held, "order")["cautions"] == []
    assert exported(held, "employer")["hold"] is None
    assert "HOLD" not in written(held, "employer")
    caller = written(held, "caller")
    assert "YOUR ORDER WAITS" in caller
    assert caller.index("Please see your GP.") < caller.index("YOUR ORDER WAITS")
    assert "YOUR ORDER WAITS" not in written(free, "caller")


def test_a_hold_has_several_grounds() -> None:
    """So that nobody can tell from it that there was a referral: nothing agreed, questions open."""
    free = raised(replace(finished("01"), current=None, agreed="recommended"))
    left_open = replace(free, current=next(iter(demo_basis().tree.questions.values())))
    for now in (replace(free, agreed=""), left_open):
        assert exported(now, "order")["hold"] is True
        assert "HOLD: Do not ship" in written(now, "order")
    nothing = raised(replace(free, agreed="none"), REFERRED)
    assert exported(nothing, "order")["hold"] is False
    assert "YOUR ORDER WAITS" not in written(nothing, "caller")
    for now in stopped():
        assert exported(now, "order")["hold"] is False, "there is nothing to send"


def stopped() -> Iterator[State]:
    """Calls that were stopped: urgent, and not."""
    for number in ("01", "03"):
        for contact in ("emergency", "clinician"):
            stop = replace(
                REFERRED, level="stop", contact=contact, say=f"Please ring the {contact} line."
            )
            note = replace(REFERRED, name="n", level="note", say="Have the chair rated.")
            now = finished(number)
            yield replace(raised(now, stop, note), stopped=stop, fit=None, chosen=None, given=tuple)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_stopped_call_sells_nothing(paper: Paper) -> None:
    """No part, no figure, no follow-up after a chair that does not come."""
    for now in stopped():
        told = written(now, paper)
        for word in ("GBP", "Your figures", "after the chair", "Set the", "Your chair", "Then and"):
            assert word not in told, (paper, word)


def test_a_stopped_call_says_what_to_do_now() -> None:
    """The stop first, then help, then that the chair can wait; not to drive where it is urgent."""
    for now in stopped():
        told = written(replace(now, follow_up=None), "caller")
        assert now.stopped is not None
        assert told.startswith("What to do now")
        assert told.index(now.stopped.say) < told.index("The chair can wait")
        assert "Ring us whenever you like, and name 7K3-M2Q." in told
        assert ("Do not drive yourself" in told) is (now.stopped.contact == "emergency")
        assert "Have the chair rated" not in told
        assert "We ring you" not in told
        assert "No day for it" not in told
        assert "see your doctor" not in told, "that could be read as a reason to wait"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", CALLS)
def test_nothing_stands_there_twice(number: str, paper: Paper) -> None:
    """No caution and no block of a document is repeated; the general disclaimer comes once."""
    reader: Reader = "caller" if paper == "card" else paper
    now = finished(number)
    made = summarise(demo_basis(), now, reader=reader)
    text = to_text(document(demo_basis(), made, "metric", paper))
    flat = " ".join(text.replace("!!", " ").split())
    for caution in for_reader(made, reader).cautions:
        assert flat.count(" ".join(caution.say.split())) <= 1, caution.name
    assert flat.casefold().count("not treat pain") == (paper in ("caller", "card", "file"))
    paragraphs = [one.strip() for one in text.split("\n\n") if len(one.split()) > 4]
    assert len(paragraphs) == len(set(paragraphs))


@pytest.mark.parametrize("reader", sorted(HEALTHLESS))
@pytest.mark.parametrize("number", CALLS)
def test_nobody_is_spoken_to(number: str, reader: Paper) -> None:
    """The employer and the order team read of the person, in the third person."""
    words = written(finished(number), reader).replace(",", " ").replace(".", " ").split()
    assert not {"you", "your", "yourself"} & {word.casefold() for word in words}


def test_needs_of_the_workplace() -> None:
    """A laptop without a stand is a need of the workplace, though nobody asked about it here."""
    basis, call = demo_basis(), demo("01").call
    needs = workplace_needs(basis, call, "GB")
    assert "A stand for the laptop, with a separate keyboard and mouse." in needs
    for need in needs:
        assert need in written(finished("01"), "employer")
        assert need not in written(finished("01"), "order")


def test_no_need_follows_from_something_private() -> None:
    """Even where a tree that was never checked asks for it."""
    basis, call = demo_basis(), demo("01").call
    leaks = tuple(
        Advice(name, Where("", 1, 1), parse_condition(f"known({name})"), "x", "x", employer=name)
        for name in ("weight", "stature", "floor")
    )
    leaky = replace(basis, tree=replace(basis.tree, advice=leaks))
    assert workplace_needs(leaky, call, "GB") == ("floor",)


def test_every_measure_of_a_body_is_private() -> None:
    """So are sex, glasses and how near somebody sits: what a tree asks of a body is marked."""
    for one in demo_basis().tree.questions.values():
        if one.measures or one.sets in (
            *("sex", "lenses", "close_to_desk"),
            *("caller_contact", "delivery_address"),
        ):
            assert one.private is not None, one.name
    for name in ("stand_up", "short_trouble", "tall_trouble", "sides_press"):
        assert demo_basis().tree.questions[name].private is not None
