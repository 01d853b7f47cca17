"""The way through small trees: routes, skips, stops, and what an unanswered question does to it."""

from __future__ import annotations

from pathlib import Path

from consult.call.route import outside
from consult.call.state import State
from consult.call.understand import Understood
from tests.call.calls import question, small, told

FORKED = """\
tree: little
title: A little tree
version: 2026.11
first: colour
after_stop: goodbye
questions:
  colour:
    ask: Which colour?
    answer: choice
    choices: {red: Red, green: Green, blue: Blue}
    next:
      - when: colour == red
        go: why_red
      - when: colour == green
        go: how_many
      - otherwise: goodbye
  why_red:
    ask: Why red?
    answer: text
    next: how_many
  how_many:
    ask: How many?
    answer: count
    expect: 1 to 5
    next: each
  each:
    ask: One each?
    answer: yes-no
    skip_when: how_many == 1
    next: more
  more:
    ask: Anything more?
    answer: text
    next: goodbye
  goodbye:
    ask: Whom do we thank?
    answer: text
    next: end
cautions:
  - name: a_note
    level: note
    when: colour == red
    say: Red fades.
    source: common_practice
  - name: many_reds
    level: stop
    when: colour == red and how_many > 3
    say: Stop. Please <contact>.
    contact: clinician
    source: common_practice
  - name: a_referral
    level: refer
    when: colour == red
    say: Ask about red. Please <contact>.
    contact: clinician
    source: common_practice
advice:
  - name: sunshade
    topic: shade
    when: colour == red
    say: Keep <how_many> of them in the shade, at <fit.seat_height>.
    because: You said <why_red>.
    source: common_practice
needs: []
"""


def after(folder: Path, **answers: str) -> State:
    return told(small(folder, FORKED), **answers)


def way(now: State) -> list[str]:
    return [step.question.name for step in now.steps]


def test_a_call_begins_at_the_first_question(tmp_path: Path) -> None:
    """With nothing said, the first question is asked and the rest lies ahead, open."""
    now = after(tmp_path)
    assert now.current is not None
    assert now.current.name == "colour"
    assert {step.status for step in now.steps} == {"open"}
    assert not now.finished


def test_routes_follow_the_answers(tmp_path: Path) -> None:
    """Each answer opens its own way."""
    assert way(after(tmp_path, colour="red"))[:3] == ["colour", "why_red", "how_many"]
    assert way(after(tmp_path, colour="green"))[:2] == ["colour", "how_many"]
    assert way(after(tmp_path, colour="blue")) == ["colour", "goodbye"]


def test_not_known_takes_the_otherwise(tmp_path: Path) -> None:
    """A caller who does not know is an answer: the call goes on along the otherwise."""
    now = after(tmp_path, colour="?")
    assert way(now) == ["colour", "goodbye"]
    assert now.steps[0].status == "unknown"
    assert now.current is not None
    assert now.current.name == "goodbye"


def test_skipped_only_when_known_to_be_needless(tmp_path: Path) -> None:
    """A question is left out when its skip holds, and asked while that is not known."""
    assert "each" not in way(after(tmp_path, colour="green", how_many="1"))
    assert "each" in way(after(tmp_path, colour="green", how_many="2"))
    assert "each" in way(after(tmp_path, colour="green", how_many="?"))
    assert "each" in way(after(tmp_path, colour="green"))


def test_an_unclear_answer_is_asked_again(tmp_path: Path) -> None:
    """What cannot be read is kept as typed, gives its question back and is asked again."""
    now = after(tmp_path, colour="green", how_many="a few", each="yes")
    step = now.step("how_many")
    assert step is not None
    assert (step.status, step.answer and step.answer.said) == ("unclear", "a few")
    assert "few" in step.trouble
    assert now.current is not None
    assert now.current.name == "how_many"
    later = now.step("each")
    assert later is not None
    assert later.status == "answered"


def test_an_unusual_answer_counts_but_is_marked(tmp_path: Path) -> None:
    """Outside what is usual is still an answer; the step says to ask once more."""
    now = after(tmp_path, colour="green", how_many="9")
    step = now.step("how_many")
    assert step is not None
    assert step.status == "answered"
    assert "outside the usual 1 to 5" in step.trouble


def test_answers_off_the_way_do_not_count(tmp_path: Path) -> None:
    """An answer to a question the way no longer leads to has no effect, but is not lost."""
    now = after(tmp_path, why_red="warm", how_many="4", colour="blue")
    assert way(now) == ["colour", "goodbye"]
    assert now.cautions == ()
    assert [answer.question for answer in now.call.answers] == ["why_red", "how_many", "colour"]
    assert now.step("why_red") is None


def test_a_stop_ends_product_advice(tmp_path: Path) -> None:
    """At a stop nothing of the product is said, and the call goes on where the tree says."""
    now = after(tmp_path, colour="red", why_red="warm", how_many="5")
    assert now.stopped is not None
    assert now.stopped.name == "many_reds"
    assert way(now) == ["colour", "why_red", "how_many", "goodbye"]
    assert (now.fit, now.picked, now.advice, now.needs) == (None, None, (), ())
    assert dict(now.missing) == {}
    assert now.current is not None
    assert now.current.name == "goodbye"


def test_a_stop_without_a_place_to_go_ends_the_call(tmp_path: Path) -> None:
    """Where the tree names no place to go on, a stop finishes the call."""
    basis = small(tmp_path, FORKED.replace("after_stop: goodbye\n", ""))
    now = told(basis, colour="red", why_red="warm", how_many="5")
    assert now.stopped is not None
    assert now.finished


def test_no_stop_while_it_is_only_possible(tmp_path: Path) -> None:
    """A stop counts only when its condition is true, not when it is unknown."""
    assert after(tmp_path, colour="red", how_many="?").stopped is None


def test_gravest_caution_first(tmp_path: Path) -> None:
    """Stop, then refer, then note, whatever their order in the tree; contacts by country."""
    now = after(tmp_path, colour="red", why_red="warm", how_many="5")
    assert [r.caution.name for r in now.cautions] == ["many_reds", "a_referral", "a_note"]
    assert now.cautions[0].contact.startswith("speak to your GP")
    assert now.cautions[0].say == f"Stop. Please {now.cautions[0].contact}."
    assert now.cautions[2].contact == ""


def test_blanks_of_advice_are_filled(tmp_path: Path) -> None:
    """Blanks hold answers and the fit; an answer that looks like a blank stays as it is."""
    now = after(tmp_path, colour="red", why_red="<fit.seat_height>", how_many="?")
    assert now.advice[0].say == "Keep not known yet of them in the shade, at 43.2 cm."
    assert now.advice[0].because == "You said <fit.seat_height>."


def test_outside_judges_only_numbers_with_usual_values() -> None:
    """The ends of what is usual are usual; no expect, or no number, is never odd."""
    leg = question("length", unit="cm", expect=(320.0, 520.0))
    assert outside(leg, Understood(320.0)) == outside(leg, Understood(520.0)) == ""
    said = outside(leg, Understood(600.0))
    assert said.startswith("60 cm is outside the usual 32 cm to 52 cm.")
    assert outside(leg, Understood(None)) == ""
    assert outside(question("count"), Understood(1e6)) == ""
