"""Several facts told in one line: parted where a fact begins, and nowhere else."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from consult.call.basis import load_basis
from consult.call.by_name import fact_named
from consult.call.call import Call
from consult.call.offer import LONGEST, Reply, facts_in
from consult.call.session import Session
from consult.call.understand import understand
from consult.paths import trees_folder
from consult.tree.folder import main_trees
from consult.tree.model import Question, Tree
from consult.units import System, format_length, format_mass
from tests.call.calls import HOSTILE, TODAY, seating, small
from tests.long import every_case
from tests.ui.desk import NOON

ABOUT = """
tree: little
title: A little tree
version: 1
first: leg
questions:
  leg: {ask: Well?, answer: length, unit: cm, expect: 10 to 200, next: about_turn}
  about_turn: {ask: Well?, answer: length, unit: cm, expect: 10 to 200, next: end}
"""


def facts(line: str, system: System = "metric") -> list[str]:
    """The facts of a line, in the shipped tree."""
    return list(facts_in(seating().tree, line, TODAY, system))


@every_case(
    [
        ("leg 41, thigh 47, desk 73", ["leg 41", "thigh 47", "desk 73"]),
        ("leg 41,thigh 47", ["leg 41", "thigh 47"]),
        ("leg 41 ; thigh 47", ["leg 41", "thigh 47"]),
        ("leg 41\nthigh 47\r\ndesk 73\n", ["leg 41", "thigh 47", "desk 73"]),
        ("leg 41, /thigh 47", ["leg 41", "thigh 47"]),
        ("my leg is 41, my thigh is 47", ["my leg is 41", "my thigh is 47"]),
        ("leg about 41, thigh ?, desk dunno", ["leg about 41", "thigh ?", "desk dunno"]),
        ("leg 41, glasses varifocals, desk 73", ["leg 41", "glasses varifocals", "desk 73"]),
        ("leg 41, thigh forty seven", ["leg 41", "thigh forty seven"]),
        ("leg, thigh 47", ["leg", "thigh 47"]),
        # A name that is not known is a fact of its own, so that it can be mended alone.
        ("leg 41, thihg 47, desk 73", ["leg 41", "thihg 47", "desk 73"]),
        ("lge 41, thigh 47", ["lge 41", "thigh 47"]),
        ("leg 41, thihg ?", ["leg 41", "thihg ?"]),
        # The beginning of a name will do.
        ("leg 41, glas varifocals", ["leg 41", "glas varifocals"]),
    ]
)
def test_parted(line: str, found: list[str]) -> None:
    """A fact begins after a comma, a semicolon or a line end, where a name stands there."""
    assert facts(line) == found


@every_case(
    [
        ("leg 41,5, thigh 47,5", ["leg 41,5", "thigh 47,5"]),
        ("leg 41,5,thigh 47", ["leg 41,5", "thigh 47"]),
        ("height 5 ft, 2 in, leg 16", ["height 5 ft, 2 in", "leg 16"]),
        ("height 160 cm, 5 ft 3, leg 40", ["height 160 cm, 5 ft 3", "leg 40"]),
        ("leg 40 cm, give or take, desk 73", ["leg 40 cm, give or take", "desk 73"]),
        ("leg 41, or so, desk 73", ["leg 41, or so", "desk 73"]),
        ("leg 41, five, desk 73", ["leg 41, five", "desk 73"]),
        ("weight 9 stone, 4", ["weight 9 stone, 4"]),
        ("popliteal height, 41", ["popliteal height, 41"]),
        ("pain lower back, hips", ["pain lower back, hips"]),
        ("tasks phone, desk work", ["tasks phone, desk work"]),
        ("name Smith, leg 41", ["name Smith, leg 41"]),
        ("desk 73,", ["desk 73,"]),
    ]
)
def test_not_parted(line: str, found: list[str]) -> None:
    """A comma of a number, of an answer in two parts, of a list or of a text parts nothing."""
    assert facts(line) == found


def test_a_word_of_an_answer_is_not_the_beginning_of_a_name(tmp_path: Path) -> None:
    """ "About" belongs to the figure, though a name of the tree begins so."""
    tree = small(tmp_path, ABOUT).tree
    assert facts_in(tree, "leg 5 ft, about 2 in", TODAY, "metric") == ("leg 5 ft, about 2 in",)
    assert facts_in(tree, "leg 5 ft, about turn 2 in", TODAY, "metric")[1:] == ("about turn 2 in",)


@every_case(HOSTILE)
def test_any_text(text: str) -> None:
    """Nothing breaks it, and no letter of a line is lost but the signs between."""
    for line in (text, f"leg {text}, thigh 47", f"leg 41, {text}"):
        kept = "".join("".join(facts(line)).split()).replace(",", "").replace(";", "")
        assert kept == "".join(line.split()).replace(",", "").replace(";", "")


def test_a_very_long_line_is_one_answer() -> None:
    """It is not looked through for names."""
    line = "leg 41, thigh 47" + " " * LONGEST
    assert facts(line) == [line]


@cache
def figures() -> list[tuple[Tree, list[Question]]]:
    """The questions for lengths and masses of every main tree that has some."""
    found = []
    for path in main_trees(trees_folder()).values():
        basis, _ = load_basis(path)
        assert basis is not None
        asked = [q for q in basis.tree.questions.values() if q.answer in ("length", "mass")]
        found += [(basis.tree, asked)] if asked else []
    return found


@st.composite
def told(draw: st.DrawFn) -> tuple[Tree, System, list[tuple[Question, str, str]]]:
    """Figures as a document prints them, each with a name of its question."""
    tree, asked = draw(st.sampled_from(figures()))
    system: System = draw(st.sampled_from(["metric", "imperial"]))
    chosen = draw(st.lists(st.sampled_from(asked), min_size=1, max_size=6))
    lines = []
    for question in chosen:
        name = draw(st.sampled_from([question.name, *question.called]))
        low, high = question.expect or (1.0, 2.0)
        value = draw(st.floats(low, high))
        printed = (format_length if question.answer == "length" else format_mass)(value, system)
        if draw(st.booleans()):
            printed = printed.replace(".", ",")
        lines.append((question, name, printed))
    return tree, system, lines


@given(told(), st.sampled_from([", ", ",", "; ", "\n", " , "]))
def test_printed_figures_read_back(
    drawn: tuple[Tree, System, list[tuple[Question, str, str]]], sign: str
) -> None:
    """Names with figures, joined in one line, are the same names and figures again."""
    tree, system, lines = drawn
    line = sign.join(f"{name} {printed}" for _, name, printed in lines)
    found = [fact_named(tree, fact) for fact in facts_in(tree, line, TODAY, system)]
    assert [one.question for one in found] == [question for question, _, _ in lines]
    for one, (question, _, printed) in zip(found, lines, strict=True):
        assert understand(question, one.said, TODAY, system) == understand(
            question, printed, TODAY, system
        )


# -- at the desk ------------------------------------------------------------------------------


def begun(system: System = "metric") -> Session:
    """A call to which nothing was said."""
    return Session(seating(), Call(TODAY, system), NOON)


def offered(session: Session, line: str) -> Reply:
    """What becomes of a line."""
    return session.offer(line, NOON)


def recorded(session: Session) -> dict[str, str]:
    """What stands in the call."""
    return {answer.question: answer.said for answer in session.now.call.answers}


def test_all_are_taken() -> None:
    """Each is recorded as if typed alone, in the caller's units; one line says so."""
    session = begun("imperial")
    reply = offered(session, "/leg 16, thigh 18½, elbow 9")
    assert reply == Reply(True, "Noted: Lower leg, thigh length, elbow height.")
    assert recorded(session) == {
        "lower_leg": "16 in",
        "thigh_length": "18½ in",
        "elbow_height": "9 in",
    }
    alone = begun("imperial")
    for line in ("/leg 16", "/thigh 18½", "/elbow 9"):
        assert offered(alone, line).taken
    assert recorded(alone) == recorded(session)
    assert all(answer.took is None for answer in session.now.call.answers)


def test_what_changed_is_told_of_the_whole_line() -> None:
    """The state before is that before the first of them."""
    session = begun()
    start = session.now
    offered(session, "/leg 41, thigh 47")
    assert session.before is start


def test_a_bad_one_is_left() -> None:
    """The others are taken; it stays as a line of its own with its reason, wholly selected."""
    session = begun()
    reply = offered(session, "/leg 41, thihg 47, desk 73")
    assert not reply.taken
    assert (reply.left, reply.selected) == ("/thihg 47", (0, 9))
    assert "thihg 47" in reply.tell
    assert "'thigh'" in reply.tell
    assert recorded(session) == {"lower_leg": "41", "desk_height": "73"}
    assert offered(session, "/thigh 47").taken
    assert recorded(session)["thigh_length"] == "47"


def test_several_bad_ones_are_left() -> None:
    """All of them stay, the first selected; every one has its reason."""
    session = begun()
    reply = offered(session, "/height 165, leg 60, desk 7300, thigh 47")
    assert reply.left == "/leg 60, desk 7300"
    assert reply.left[slice(*reply.selected)] == "leg 60"
    assert "outside the usual" in reply.tell
    assert reply.noted == "Noted: Stature, thigh length.\nAlso unclear: desk 7300."
    # Enter once more confirms the first, as if it stood alone; the other stays.
    again = offered(session, reply.left)
    assert recorded(session)["lower_leg"] == "60"
    assert session.now.call.latest()["lower_leg"].confirmed
    assert (again.taken, again.left) == (False, "/desk 7300")
    assert "far too long" in again.tell
    assert again.noted == "Noted: Lower leg."
    assert offered(session, "/desk 73").taken


def test_a_reading_of_the_first_can_be_chosen() -> None:
    """By Enter, or by its letter in the place of what was selected; the rest is offered again."""
    for said in ("{left}", "/a, leg 60"):
        session = begun()
        reply = offered(session, "/desk 29, leg 60")
        assert [one.said for one in reply.proposals] == ["29 in"]
        then = offered(session, said.format(left=reply.left))
        assert recorded(session)["desk_height"] == "29 in"
        assert then.left == "/leg 60"
        assert offered(session, then.left).taken
        assert recorded(session)["lower_leg"] == "60"


def test_a_reading_that_is_odd_keeps_the_rest() -> None:
    """What was read at last may not go with the other measures; the rest stays in the line."""
    session = begun()
    offered(session, "/height 150, weight 50, elbow 22")
    reply = offered(session, "/leg 20, thigh 700")
    (reading,) = reply.proposals
    assert reading.said == "20 in"
    odd = offered(session, reply.left)
    assert (odd.taken, odd.left) == (False, "/leg 20, thigh 700")
    assert "press Enter" in odd.tell
    assert offered(session, odd.left).left == "/thigh 700"
    assert recorded(session)["lower_leg"] == "20 in"


def test_a_changed_line_is_read_anew() -> None:
    """What was selected was replaced by something else; what was not, stays as it was."""
    session = begun()
    offered(session, "/desk 29, leg 60")
    reply = offered(session, "/desk 73, leg 41")
    assert reply.taken
    assert recorded(session) == {"desk_height": "73", "lower_leg": "41"}


def test_an_emptied_place_takes_nothing() -> None:
    """Deleting the first of several does not take its reading."""
    session = begun()
    offered(session, "/desk 29, leg 60")
    offered(session, "/, leg 60")
    assert "desk_height" not in recorded(session)


def test_a_name_without_a_figure_is_told() -> None:
    """In a line of several it asks nothing."""
    session = begun()
    asked = session.asking
    reply = offered(session, "/leg, thigh 47")
    assert (reply.taken, reply.left) == (False, "/leg")
    assert session.asking is asked
    assert recorded(session) == {"thigh_length": "47"}


def test_two_slashes_are_a_text() -> None:
    """A text that begins with a slash is not parted."""
    session = begun()
    assert offered(session, "//leg 41, thigh 47").taken
    assert recorded(session) == {"caller_name": "/leg 41, thigh 47"}


def test_cautions_are_mentioned() -> None:
    """Of every fact of the line."""
    reply = offered(begun(), "/height 180, weight 130")
    assert "Mention:" in reply.tell
    assert reply.tell.startswith("Noted: Stature, weight.")
