"""Small trees of which the truth is known: what is found, proven, refuted, and by whom."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.basis import Basis
from consult.content.prove.kept import NO_SOLVER, Proofs, prove
from consult.content.prove.trying import Caller, Trying
from consult.tree.condition import parse_condition
from consult.tree.load import load_with_gaps
from consult.tree.model import Always
from tests.call.calls import seating, small
from tests.call.topical import topical
from tests.content.prove.drawn import HERE

HEAD = "tree: little\ntitle: Little\nversion: 1\n"


def proven(folder: Path, text: str) -> tuple[Proofs, Basis]:
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    basis = small(folder, HEAD + text)
    return prove(basis.tree, basis), basis


def rules(proofs: Proofs) -> list[tuple[int, str]]:
    return [(problem.where.line, problem.rule) for problem in proofs.problems]


def standing(proofs: Proofs) -> dict[str, str]:
    return {one.name: one.standing for one in proofs.properties}


def of(proofs: Proofs, name: str) -> Caller:
    caller = next(one.caller for one in proofs.witnesses if one.name == name)
    assert caller is not None
    return caller


DEAD = """first: kind
questions:
  kind:
    ask: Which?
    answer: choice
    unknown: refused
    choices: {one: First, two: Second}
    next:
      - when: kind == one
        go: height
      - when: kind == two
        go: height
      - when: kind != one
        go: extra
      - otherwise: height
  extra:
    ask: What else?
    answer: text
    next: height
  height:
    ask: How high?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 60 to 90
    sets: desk_height
    next:
      - when: height < 70
        go: end
      - when: height < 65 and kind == one
        go: last
      - otherwise: last
  last:
    ask: Anything else?
    answer: text
    next: end
"""


def test_dead_route(tmp_path: Path) -> None:
    """A route shadowed by those above it is told, and so is the question only it leads to."""
    proofs, _ = proven(tmp_path, DEAD)
    assert rules(proofs) == [(17, "never-wins"), (19, "never-reached"), (34, "never-wins")]
    assert [one.name for one in proofs.witnesses if one.found == "impossible"] == ["extra"]
    assert of(proofs, "last").says == "height 75 cm"


STOPS = """first: signs
after_stop: reach
questions:
  signs:
    ask: Any of these?
    answer: choices
    choices: {none: None, bad: Bad, worse: Worse}
    exclusive: none
    next: height
  height:
    ask: How high?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 60 to 90
    sets: desk_height
    next: colour
  colour:
    ask: Which colour?
    answer: choice
    choices: {red: Red, blue: Blue}
    skip_when: not known(colour) and height > 80
    next:
      - when: height > 85
        go: rare
      - otherwise: reach
  rare:
    ask: So high?
    answer: yes-no
    skip_when: height > 82
    next: reach
  reach:
    ask: Where can I reach you?
    answer: text
    next: end
cautions:
  - name: stop_here
    level: stop
    when: bad in signs
    say: Stop.
    source: common_practice
  - name: both
    level: note
    when: rare or worse in signs and rare
    say: Both.
    source: common_practice
  - name: late
    level: note
    when: bad in signs and known(height)
    say: Late.
    source: common_practice
advice:
  - name: paint
    topic: paint
    contradicts: leave
    when: known(colour) and height > 80
    say: Paint it.
    because: It is high.
    source: common_practice
  - name: leave
    topic: paint
    when: 60 <= height <= 80 and height / (height - 60) > 7
    say: Leave it.
    because: It is low.
    source: common_practice
always:
  - name: bad_stops
    when: bad in signs
    then: stopped and not asked.height and asked.reach
    because: Safety.
  - name: worse_stops
    when: worse in signs
    then: stopped
    because: Not so.
  - name: high_is_painted
    when: height > 80 and not stopped
    then: advice.paint
    because: Only of those who tell a colour unasked.
  - name: nobody
    when: none in signs and bad in signs
    then: stopped
    because: None stands alone.
"""


def test_opposed_moves(tmp_path: Path) -> None:
    """What moves one thing opposed ways is proven apart, or refuted by a caller who hears both."""
    text = STOPS.replace("    contradicts: leave\n", "    moves: {desk: raise}\n")
    text = text.replace("and height / (height - 60) > 7\n", "\n    moves: {desk: lower}\n")
    assert standing(proven(tmp_path, text)[0])["paint never with leave"] == "proven"
    both = text.replace("when: 60 <= height <= 80", "when: 60 <= height <= 90")
    proofs, _ = proven(tmp_path, both)
    assert standing(proofs)["paint never with leave"] == "refuted"
    broken = [one for one in proofs.problems if "paint never with leave" in one.message]
    assert [(one.rule, one.severity) for one in broken] == [("promise-broken", "error")]
    may = both.replace("moves: {desk: lower}", "may_move: {desk: lower}")
    assert "paint never with leave" not in standing(proven(tmp_path, may)[0])


def test_stops_and_promises(tmp_path: Path) -> None:
    """Stops end the way where they are raised; promises are proven, or refuted by a real caller."""
    proofs, basis = proven(tmp_path, STOPS)
    assert standing(proofs) == {
        "bad_stops": "proven",
        "worse_stops": "refuted",
        "high_is_painted": "refuted",
        "nobody": "proven",
        "paint never with leave": "proven",
    }
    told = {problem.rule: problem for problem in proofs.problems if problem.rule != "never-reached"}
    assert set(told) == {"promise-broken", "promise-idle"}
    trying = Trying(basis)
    for promise, one in zip(basis.tree.always, proofs.properties, strict=False):
        assert (one.caller is not None) == (one.standing == "refuted")
        if one.caller is not None:
            held = trying.held(one.caller)
            assert held is not None
            assert held.true(promise.when)
            assert not held.true(promise.then)
    assert "signs worse" in str(next(p for p in proofs.problems if "worse_stops" in p.message))


def test_never_passed_again(tmp_path: Path) -> None:
    """A stop leads back to a question that was asked already, and the call ends there."""
    proofs, _ = proven(
        tmp_path,
        """first: reach
after_stop: reach
questions:
  reach:
    ask: Where can I reach you?
    answer: text
    next: signs
  signs:
    ask: Any of these?
    answer: choices
    choices: {none: None, bad: Bad}
    exclusive: none
    next: more
  more:
    ask: More?
    answer: text
    next: end
cautions:
  - name: stop_here
    level: stop
    when: bad in signs
    say: Stop.
    source: common_practice
always:
  - name: ends_there
    when: bad in signs
    then: stopped and not asked.more
    because: The way does not go round.
""",
    )
    assert standing(proofs) == {"ends_there": "proven"}


@pytest.mark.parametrize(("covered", "gaps"), [("kind == two", 0), ("kind == three", 1)])
def test_gap(tmp_path: Path, covered: str, gaps: int) -> None:
    """A draft without an otherwise has a gap where somebody is left out, and says who."""
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    kinds = "one: First, two: Second" + (", three: Third" if gaps else "")
    text = f"""first: kind
questions:
  kind:
    ask: Which?
    answer: choice
    unknown: refused
    choices: {{{kinds}}}
    next:
      - when: kind == one
        go: end
      - when: {covered}
        go: end
"""
    file = tmp_path / "little.yaml"
    file.write_text(HEAD + text, encoding="utf-8")
    tree = load_with_gaps(file)
    assert tree is not None
    basis = Basis(tree, seating().contacts, seating().population, None)
    found = [one for one in prove(tree, basis).problems if one.rule == "gap"]
    assert len(found) == gaps
    assert all("for a caller who says: kind two." in one.message for one in found)


def test_unreachable(tmp_path: Path) -> None:
    """A question that is skipped whenever it is reached is found, and a caution that reads it.

    What stands behind a stop is no such thing: where the stop is lifted the call goes on.
    """
    proofs, _ = proven(tmp_path, STOPS)
    lost = [one.name for one in proofs.witnesses if one.found == "impossible"]
    assert lost == ["rare", "both"]
    assert of(proofs, "late").lifted == ("stop_here",)
    assert of(proofs, "late").says.endswith("(and the stop 'stop_here' lifted)")


def test_sees_its_own_answer(tmp_path: Path) -> None:
    """One who is high is not asked the colour, but can tell it out of turn, and then it counts."""
    proofs, _ = proven(tmp_path, STOPS)
    paint = of(proofs, "paint")
    assert {answer.question for answer in paint.answers} >= {"height", "colour"}
    assert "colour" in paint.says


def test_reckoning(tmp_path: Path) -> None:
    """A division is followed, and never by nought."""
    proofs, _ = proven(tmp_path, STOPS)
    height = next(a.said for a in of(proofs, "leave").answers if a.question == "height")
    assert 60 < float(height.removesuffix(" cm")) < 70


def test_every_witness_is_real(tmp_path: Path) -> None:
    """Whatever is shown for a part does appear when the call is held."""
    proofs, basis = proven(tmp_path, STOPS)
    for one in proofs.witnesses:
        if one.caller is not None:
            held = Trying(basis).held(one.caller)
            assert held is not None
            assert held.came_up(one.part, one.name)
    assert sum(one.caller is not None for one in proofs.witnesses) == len(proofs.witnesses) - 2


def test_the_fit_is_left_open(tmp_path: Path) -> None:
    """What hangs on the fit is shown by a caller who was measured, and never called proven."""
    proofs, _ = proven(
        tmp_path,
        """first: leg
questions:
  leg:
    ask: How long is your lower leg?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 32 to 52
    measures: popliteal_height
    next: end
advice:
  - name: high
    topic: seat
    when: fit.seat_height > 50
    say: High.
    because: Long legs.
    source: common_practice
  - name: sky
    topic: seat
    when: fit.seat_height > 500
    say: Higher.
    because: Nobody has such legs.
    source: common_practice
always:
  - name: never_sky
    when: known(fit.seat_height)
    then: not advice.sky
    because: Nobody has such legs.
""",
    )
    found = {one.name: one.found for one in proofs.witnesses}
    assert found == {"leg": "found", "high": "found", "sky": "not found"}
    assert "leg" in of(proofs, "high").says
    assert standing(proofs) == {"never_sky": "not proven"}
    assert proofs.properties[0].reason
    assert proofs.problems == ()


def test_idle_conditions(tmp_path: Path) -> None:
    """A skip that never is, a route everybody takes, advice for everybody, a stop at once."""
    proofs, _ = proven(
        tmp_path,
        """first: kind
questions:
  kind:
    ask: Which?
    answer: choice
    unknown: refused
    choices: {one: First, two: Second}
    next: size
  size:
    ask: Which size?
    answer: choice
    choices: {small: Small, large: Large}
    skip_when: not known(kind)
    next:
      - when: known(kind)
        go: end
      - otherwise: more
  more:
    ask: More?
    answer: text
    next: end
cautions:
  - name: at_once
    level: stop
    when: not known(size) and not known(more)
    say: Stop.
    source: common_practice
  - name: for_all
    level: note
    when: known(kind)
    say: All.
    source: common_practice
""",
    )
    assert set(rules(proofs)) >= {
        (12, "always-false"),
        (19, "always-true"),
        (21, "never-reached"),
        (26, "stops-at-once"),
        (31, "always-true"),
    }
    assert "at_once" in proofs.not_proven


def test_a_limit_of_a_range_that_is_not_there_yet(tmp_path: Path) -> None:
    """An owner who has not put in a range is told to, not to change the condition."""
    proofs, _ = proven(
        tmp_path,
        """first: weight
questions:
  weight:
    ask: How much do you weigh?
    answer: mass
    unit: kg
    expect: 40 to 200
    next: end
cautions:
  - name: too_heavy
    level: note
    when: weight > range.heaviest_caller
    say: No chair is strong enough.
    source: common_practice
""",
    )
    (told,) = (one for one in proofs.problems if one.rule == "never-reached")
    assert "import that first (consult range import)" in told.fix


def test_same_every_time(tmp_path: Path) -> None:
    """The same tree comes to the same result, word for word."""
    first, basis = proven(tmp_path, STOPS)
    assert prove(basis.tree, basis) == first


def test_without_witnesses_nothing_else_is_missing(tmp_path: Path) -> None:
    """What publishing asks: the same problems and promises, without somebody for each piece."""
    first, basis = proven(tmp_path, DEAD)
    bare = prove(basis.tree, basis, witnesses=False)
    assert bare.witnesses == ()
    assert (bare.problems, bare.not_proven) == (first.problems, first.not_proven)
    assert any(each.rule == "never-reached" for each in bare.problems)
    assert standing(bare) == standing(first)


def test_without_the_solver(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver callers drawn at random still show and refute; nothing is proven."""
    basis = small(tmp_path, HEAD + STOPS)
    for name in ("answers", "solving", "symbols", "walk"):
        monkeypatch.delitem(sys.modules, f"consult.content.prove.{name}", raising=False)
    monkeypatch.setitem(sys.modules, "z3", None)
    proofs = prove(basis.tree, basis)
    assert proofs.not_proven == NO_SOLVER
    assert standing(proofs)["bad_stops"] == "not proven"
    assert standing(proofs)["worse_stops"] == "refuted"
    found = {one.name: one.found for one in proofs.witnesses}
    assert found["height"] == "found"
    assert found["both"] == "not decided"
    assert {problem.rule for problem in proofs.problems} == {"promise-broken"}


def test_the_fit_leads_the_way(tmp_path: Path) -> None:
    """A question that is skipped or not as the fit says gets an answer when the call is held."""
    proofs, _ = proven(
        tmp_path,
        """first: leg
questions:
  leg:
    ask: How long is your lower leg?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 32 to 52
    measures: popliteal_height
    next: change
  change:
    ask: May it be changed?
    answer: yes-no
    skip_when: not (fit.seat_height > 40)
    next: last
  last:
    ask: Anything else?
    answer: yes-no
    next: end
advice:
  - name: lastly
    topic: seat
    when: last
    say: Well.
    because: Well.
    source: common_practice
""",
    )
    assert {one.name: one.found for one in proofs.witnesses} == dict.fromkeys(
        ("leg", "change", "last", "lastly"), "found"
    )
    assert "change" in {answer.question for answer in of(proofs, "lastly").answers}


def test_topics(tmp_path: Path) -> None:
    """Asked where open, and told out of turn where not: a promise that needs it asked is refuted,
    one that needs it known holds, and advice that rests on a closed topic is still given."""
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    basis = topical(tmp_path)
    always = (
        Always(
            name,
            HERE,
            parse_condition(when, outcomes=True),
            parse_condition(then, outcomes=True),
            because="So.",
        )
        for name, (when, then) in {
            "asked_when_open": ("neck", "asked.glasses"),
            "asked_when_wished": ("sharing in more", "asked.shared"),
            "asked_when_opened": ("screen in opened", "asked.glasses"),
            "always_asked": ("asked.neck", "asked.glasses"),
            "never_when_closed": ("not neck", "not advice.screen_down"),
        }.items()
    )
    names = basis.tree.questions.keys()
    resolved = tuple(
        replace(one, when=one.when.resolve(names), then=one.then.resolve(names)) for one in always
    )
    basis = replace(basis, tree=replace(basis.tree, always=resolved))
    proofs = prove(basis.tree, basis)
    found = standing(proofs)
    assert found["asked_when_open"] == found["asked_when_wished"] == "proven"
    assert found["asked_when_opened"] == "proven"
    assert found["always_asked"] == found["never_when_closed"] == "refuted"
    assert {one.name for one in proofs.witnesses if one.caller is not None} >= set(names)
    assert [rule for _, rule in rules(proofs)] == ["promise-broken", "promise-broken"]


def test_a_topic_that_never_opens(tmp_path: Path) -> None:
    """An opening that no answers make true, in a tree where nobody else can open it, is told."""
    pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")
    basis = topical(tmp_path)
    shut = parse_condition("neck and not neck").resolve(basis.tree.questions.keys())
    questions = {
        name: replace(one, gate=shut) if one.topic == "sharing" else one
        for name, one in basis.tree.questions.items()
    }
    basis = replace(basis, tree=replace(basis.tree, questions=questions))
    assert [rule for _, rule in rules(prove(basis.tree, basis))] == ["never-opened"]


def test_asked_before_a_stop_or_after_it(tmp_path: Path) -> None:
    """A question that some skip, and that a call comes to with and without a stop, is followed in
    both: nothing is proven of the callers who are stopped for want of any."""
    proofs, _ = proven(
        tmp_path,
        """first: ill
after_stop: name
questions:
  ill: {ask: Are you ill?, answer: yes-no, next: shy}
  shy: {ask: Are you shy?, answer: yes-no, next: name}
  name: {ask: Who are you?, answer: text, skip_when: shy, next: end}
cautions:
  - {name: rest, level: stop, when: ill, say: Rest.}
always:
  - {name: never_then, when: ill, then: not asked.name, because: So.}
  - {name: always_then, when: stopped, then: asked.name, because: So.}
""",
    )
    assert standing(proofs) == {"never_then": "refuted", "always_then": "proven"}
    assert of(proofs, "rest").says
