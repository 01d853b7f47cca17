"""Who sees what: field by field, in the model and in everything written from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from consult.call.call import Answer
from consult.call.state import State, state
from consult.summary import PAPERS
from consult.summary.lines import Cites, Specification
from consult.summary.model import Summary, summarise
from consult.summary.readers import HEALTHLESS, MAY_SEE, READERS, Reader, empty, for_reader
from consult.summary.render import Writer, document, reader_of, render
from consult.summary.text import to_text
from consult.tree.sources import Source
from tests.ui.desk import demo, demo_basis

HEALTH_WORDS = ("back pain", "lower back", "ache", "hurt", "sore", "operation", "pregnan")


def call_with_health() -> State:
    """The demo call of somebody with a sore back, who consented."""
    found = state(demo_basis(), demo("03").call)
    assert found.consent
    return found


def whole(reader: Reader = "file") -> Summary:
    return summarise(
        demo_basis(), call_with_health(), reader=reader, reference="7K3-M2Q", adviser="Ann"
    )


def exported(reader: Reader) -> str:
    """All that leaves the program as data for a reader."""
    written: bytes = Writer(demo_basis(), call_with_health()).write("json", reader)
    return written.decode()


def leaves(value: object, path: str = "") -> Iterator[tuple[str, object, object]]:
    """Every field by its path, with its type, as deep as the table of readers goes."""
    assert is_dataclass(value)
    for field in fields(value):
        name = f"{path}{field.name}"
        inner = getattr(value, field.name)
        if name in MAY_SEE or not is_dataclass(inner):
            yield name, inner, field.type
        else:
            yield from leaves(inner, f"{name}.")


def test_every_field_has_its_readers() -> None:
    """No field of the summary is without an entry, and no entry without a field."""
    named = {name for name, _, _ in leaves(whole())}
    tops = {name.partition(".")[0] for name in MAY_SEE}
    assert {field.name for field in fields(Summary)} == tops
    assert named <= MAY_SEE.keys()
    chair = {f"specification.{one.name}" for one in fields(Specification)} - {
        "specification.agreed"
    }
    assert chair <= MAY_SEE.keys()
    assert MAY_SEE.keys() - named == set()


@pytest.mark.parametrize("reader", READERS)
def test_what_may_not_be_seen_is_gone(reader: Reader) -> None:
    """Every field the table keeps from a reader is empty, every other is as it was."""
    made = whole(reader)
    cut = {name: value for name, value, _ in leaves(for_reader(made, reader))}
    for name, value, declared in leaves(made):
        if reader in MAY_SEE[name]:
            assert cut[name] == value, name
        else:
            assert cut[name] == empty(value, declared), name


def marked(value: Any, path: str) -> Any:
    """The same with every text in it standing for its field."""
    if isinstance(value, str):
        return f"zz{path.replace('.', '')}zz"
    if isinstance(value, tuple):
        return tuple(marked(one, path) for one in value)
    if isinstance(value, Mapping):
        return {name: marked(one, path) for name, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        texts: dict[str, Any] = {
            field.name: marked(getattr(value, field.name), path)
            for field in fields(value)
            if isinstance(getattr(value, field.name), str)
            and field.name in ("say", "because", "message", "said", "note", "reason")
        }
        if isinstance(value, Cites):
            texts["sources"] = (Source("", f"zz{path.replace('.', '')}zz"),)
        return replace(value, **texts)
    return value


@pytest.mark.parametrize("paper", PAPERS)
def test_no_paper_holds_what_its_reader_may_not_see(paper: str) -> None:
    """Texts of a field that is not a reader's are nowhere in that reader's paper."""
    reader = reader_of(paper)  # type: ignore[arg-type]
    made = whole(reader)
    for field in fields(made):
        if field.name in MAY_SEE and field.name not in ("healthless",):
            made = replace(made, **{field.name: marked(getattr(made, field.name), field.name)})
    text = to_text(document(demo_basis(), made, "metric", paper))  # type: ignore[arg-type]
    for name in MAY_SEE:
        if reader not in MAY_SEE[name]:
            assert f"zz{name.replace('.', '')}zz" not in text, name


@pytest.mark.parametrize("reader", sorted(HEALTHLESS))
def test_nothing_of_health_reaches_employer_or_order_desk(reader: Reader) -> None:
    """Not an answer, not a word of one, not advice or a feature that follows from one."""
    text = render(demo_basis(), whole(reader), "text", "metric", reader).lower()
    told = whole(reader).as_json()
    health = {q.name for q in demo_basis().tree.questions.values() if q.private == "health"}
    assert not health & {one["question"] for one in told["answers"]}
    assert not [word for word in HEALTH_WORDS if word in text]
    assert "seat angle" not in text


@pytest.mark.parametrize("reader", sorted(HEALTHLESS))
def test_a_summary_with_health_cannot_become_their_paper(reader: Reader) -> None:
    """Forgetting for whom it was made is an error, not a leak."""
    with pytest.raises(ValueError, match="health"):
        render(demo_basis(), whole(), "text", "metric", reader)


def test_the_order_desk_has_what_it_needs() -> None:
    """Every code with its price, the sum, and where and when it goes."""
    made = whole("order")
    text = render(demo_basis(), made, "text", "metric", "order")
    assert made.specification is not None
    for part in made.specification.parts:
        assert part.code in text
        assert f"{part.price:,.2f}" in text
    assert f"{made.specification.price:,.2f}" in text
    assert made.delivery.address == "Weavers Row 3, Dunmorra, Ireland"
    assert f"Address: {made.delivery.address}" in text
    assert "Contact: not said" in text
    assert "7K3-M2Q" in text


def test_where_it_goes_is_told_to_nobody_else_outside() -> None:
    """The address the chair goes to may be a home: the employer reads nothing of it."""
    address = whole().delivery.address
    assert address in exported("order")
    assert address not in exported("employer")
    assert address not in render(demo_basis(), whole("employer"), "text", "metric", "employer")


def test_a_country_asked_apart_is_told_to_the_order_desk() -> None:
    """It is asked where money and dates are gone through; without it there is no line for it."""
    now = call_with_health()
    for said, line in (("", ""), ("ireland", "Country: Ireland"), ("germany", "Country: Germany")):
        call = now.call.add(Answer("delivery_country", said)) if said else now.call
        made = summarise(demo_basis(), state(demo_basis(), call), reader="order")
        text = render(demo_basis(), made, "text", "metric", "order")
        assert line in text
        assert ("Country:" in text) is bool(line)


def test_the_employer_sees_no_body() -> None:
    """Neither a measure of the body nor how much the person weighs."""
    now = call_with_health()
    text = render(demo_basis(), whole("employer"), "text", "metric", "employer")
    for name in ("Popliteal", "Stature", "Weight", "kg"):
        assert name not in text
    assert now.caller_name in text


@pytest.mark.parametrize("paper", PAPERS)
def test_a_stopped_call_has_no_chair_on_any_paper(paper: str) -> None:
    """No part, no price, no figure; to whom to turn stands on the caller's own alone."""
    now = state(demo_basis(), demo("04").call)
    reader = reader_of(paper)  # type: ignore[arg-type]
    made = summarise(demo_basis(), now, reader=reader)
    text = render(demo_basis(), made, "text", "metric", paper)  # type: ignore[arg-type]
    assert "GBP" not in text
    assert " cm" not in text
    assert ("999" in text) is (paper in ("caller", "file"))
