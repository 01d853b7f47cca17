"""A typed line goes to the question it names, or is asked back; never to a guess between two."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.by_name import MOST_SHOWN, completions, fact_named, read_with
from consult.call.call import COUNTRY, Answer, Call
from consult.call.state import state_so_far
from consult.call.understand import understand
from consult.tree.model import Tree
from consult.units import Unclear
from tests.call.calls import HOSTILE, TODAY, seating, small
from tests.long import every_case

LITTLE = """
tree: little
title: A little tree
version: 1
first: leg_2
questions:
  leg_2: {ask: Well?, called: second leg, answer: text, next: theatre}
  theatre: {ask: Well?, called: [his own, O-level], answer: text, next: end}
"""

DESKS = """
tree: little
title: A little tree
version: 1
first: desk_lamp
questions:
  desk_lamp: {ask: Well?, answer: text, ask_when: known(desk_kind), next: desk_kind}
  desk_kind: {ask: Well?, called: [desk type, table], answer: text, next: desk_height}
  desk_height: {ask: Well?, called: desk, answer: text, next: end}
"""


def named(typed: str) -> tuple[str, str]:
    """The question and the rest of the line, in the shipped tree."""
    found = fact_named(seating().tree, typed)
    return found.question.name, found.said


def unclear(typed: str, tree: Tree | None = None) -> str:
    """What is asked back."""
    with pytest.raises(Unclear) as caught:
        fact_named(tree or seating().tree, typed)
    return str(caught.value)


@every_case(
    [
        ("/desk 73", "desk_height", "73"),
        ("desk: 73 cm", "desk_height", "73 cm"),
        ("desk = 73", "desk_height", "73"),
        ("desk=73", "desk_height", "73"),
        ("desk73", "desk_height", "73"),
        ("desk ?", "desk_height", "?"),
        ("DESK  height 73", "desk_height", "73"),
        ("desk_height 73", "desk_height", "73"),
        ("lower leg 41cm", "lower_leg", "41cm"),
        ("/ Lower-Leg 41", "lower_leg", "41"),
        ("popliteal height, 41", "lower_leg", "41"),
        ("weight about 9 stone 4", "weight", "about 9 stone 4"),
        ("glasses varifocals", "lenses", "varifocals"),
        ("pain lower back, hips", "pain_sites", "lower back, hips"),
        ("height 5ft 2", "stature", "5ft 2"),
        ("shoes 3", "heel", "3"),
        ("desk kind none", "desk_kind", "none"),
        ("desk none", "desk_height", "none"),
        ("desk lowest 62", "desk_lowest", "62"),
        ("signs none", "warning_signs", "none"),
        ("parts small seat, ARMS-SWING ", "request", "small seat, ARMS-SWING "),
    ]
)
def test_named(typed: str, question: str, said: str) -> None:
    """The longest name at the start is meant; the rest is what was said, as typed."""
    assert named(typed) == (question, said)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("desk is 73", "73"),
        ("the desk is 73 cm", "73 cm"),
        ("/Their desk's 73", "73"),
        ("desk’s 73", "73"),
        ("your desk 73", "73"),
        ("desk Is\t73", "73"),
        ("desk island", "island"),
        ("desk: is it 73", "is it 73"),
        ("desk is", ""),
    ],
)
def test_natural_order(typed: str, said: str) -> None:
    """A possessive before the name and one sign or verb behind it say nothing."""
    assert named(typed) == ("desk_height", said)


def test_my_height_and_her_arms() -> None:
    """The same for a question of another kind and a plural."""
    assert named("my height is 5ft 2") == ("stature", "5ft 2")
    assert named("her armrests are never used") == ("arm_use", "never used")


@pytest.mark.parametrize("typed", ["/desk", "desk", " / desk ", "the desk", "desk:", "desk is "])
def test_only_the_name(typed: str) -> None:
    """A name alone means that question, with nothing said to it."""
    assert named(typed) == ("desk_height", "")


@pytest.mark.parametrize(
    ("typed", "question", "said"),
    [
        ("weig 70", "weight", "70"),
        ("budg 500", "budget", "500"),
        ("elb 22", "elbow_height", "22"),
        ("the lower l 41", "lower_leg", "41"),
    ],
)
def test_beginning_of_a_name(typed: str, question: str, said: str) -> None:
    """The beginning of a name will do where only one question has it."""
    assert named(typed) == (question, said)


@pytest.mark.parametrize(
    ("typed", "candidates"),
    [
        ("low 41", ["lower leg", "lowest"]),
        ("table 73", ["table kind", "table height"]),
        ("caller Ann", ["caller name", "caller contact"]),
        ("he 3", ["height", "heel"]),
    ],
)
def test_two_could_be_meant(typed: str, candidates: list[str]) -> None:
    """Where more than one question begins so, they are named and none is taken."""
    said = unclear(typed)
    assert all(name in said for name in candidates)
    assert "more of the name" in said


def test_a_name_that_may_be_another_begun() -> None:
    """ "desk low 62" may be the desk or its lowest; a colon or the full name settles it."""
    assert "“desk low” could be the start of desk lowest" in unclear("desk low 62")
    assert named("desk: low 62") == ("desk_height", "low 62")
    # One question under two names is no doubt at all.
    assert named("hours a lot") == ("hours", "a lot")


def test_names_with_figures_and_fillers(tmp_path: Path) -> None:
    """A figure belongs to a name only where all of it does, and a name may begin like a filler."""
    tree = small(tmp_path, LITTLE).tree
    for typed, question, said in [
        ("leg 2 fine", "leg_2", "fine"),
        ("leg 21", "leg_2", "21"),
        ("leg2 fine", "leg_2", "fine"),
        ("his own fine", "theatre", "fine"),
        ("o level fine", "theatre", "fine"),
        ("th fine", "theatre", "fine"),
        ("the second leg is fine", "leg_2", "fine"),
    ]:
        found = fact_named(tree, typed)
        assert (found.question.name, found.said) == (question, said), typed


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("hieght 5ft", "Did you mean 'height'?"),
        ("the wieght is 70", "Did you mean 'weight'?"),
        ("lwoer leg 41", "Did you mean 'lower leg'?"),
        ("desc none", "Did you mean 'desk'?"),
        ("zzz 4", "such as stature, weight or lower leg"),
        ("73", "such as"),
    ],
)
def test_unknown_name(typed: str, hint: str) -> None:
    """A name that is none is told with the nearest one, or with what a name looks like."""
    said = unclear(typed)
    assert hint in said
    assert "does not start with the name" in said


@pytest.mark.parametrize("typed", ["", " ", "/", " / "])
def test_nothing_named(typed: str) -> None:
    """A slash without a word asks for one."""
    assert unclear(typed).startswith("You gave no name.")


def test_hint_of_a_tree_without_measures(tmp_path: Path) -> None:
    """Where nothing is measured, the hint takes the names there are."""
    assert "such as leg 2" in unclear("zzz", small(tmp_path, LITTLE).tree)


def test_names() -> None:
    """Every question is there under its own name with spaces, and no name is lost."""
    tree = seating().tree
    known = tree.question_named
    assert set(known.values()) == set(tree.questions)
    assert all(known[name.replace("_", " ")] == name for name in tree.questions)
    assert known["leg"] == "lower_leg"
    assert len(known) == sum(len(asked.names) for asked in tree.questions.values())


def test_completions_in_order(tmp_path: Path) -> None:
    """What everybody is asked, then what some are, then second names; nothing that begins else."""
    tree = small(tmp_path, DESKS).tree
    assert completions(tree, "/desk") == (
        *("desk kind", "desk height", "desk lamp"),
        *("desk type", "desk"),
    )


def test_completions() -> None:
    """At most eight names that begin so, one of every question before second names."""
    tree = seating().tree
    assert completions(tree, "Lower_l") == ("lower leg",)
    assert completions(tree, "desk 7") == ()
    first = completions(tree, "/")
    assert len(first) == MOST_SHOWN
    assert len({tree.question_named[name] for name in first}) == MOST_SHOWN


every_name = st.sampled_from(sorted(seating().tree.question_named.items()))
lines = (
    st.text(max_size=60)
    | st.sampled_from(HOSTILE)
    | st.text(alphabet="/desk lowrighta:=,'73 \n_-", max_size=40)
    | st.tuples(every_name, st.text(max_size=20)).map(lambda drawn: drawn[0][0] + drawn[1])
)


@given(typed=lines)
def test_any_line(typed: str) -> None:
    """Any line is a question and an exact end of the line, or asked back in words."""
    tree = seating().tree
    completions(tree, typed)
    asked_back, found = "", None
    try:
        found = fact_named(tree, typed)
    except Unclear as back:
        asked_back = str(back)
    if found is None:
        assert 0 < len(asked_back.strip()) < 400
    else:
        assert found.question is tree.questions[found.question.name]
        assert typed.endswith(found.said)
        assert found.said == found.said.lstrip()


@given(
    name=every_name,
    lead=st.sampled_from(["", "/", " / ", "the ", "/My ", "their  "]),
    between=st.sampled_from([" ", ": ", "=", ", ", " is ", " ARE ", "\n"]),
    said=st.sampled_from(["x", "73 cm", "about 5ft 2", "?", "x: = is y ", "\u05e9 [b]"]),
    upper=st.booleans(),
)
def test_every_name(name: tuple[str, str], lead: str, between: str, said: str, upper: bool) -> None:
    """Every name, however written and joined, leads to its own question and leaves the answer."""
    written = name[0].upper() if upper else name[0].replace(" ", "_")
    assert named(f"{lead}{written}{between}{said}") == (name[1], said)


@given(name=every_name, rest=st.text(max_size=20))
def test_a_colon_settles_it(name: tuple[str, str], rest: str) -> None:
    """Behind a colon nothing is taken for a name, whatever is said."""
    assert named(f"{name[0]}:{rest}") == (name[1], rest.lstrip())


@given(name=every_name, length=st.integers(1, 30))
def test_beginnings_are_never_guessed(name: tuple[str, str], length: int) -> None:
    """The beginning of a name leads to a question only if no other question has it too."""
    known = seating().tree.question_named
    typed = name[0][:length].strip()
    owners = {
        *(known[each] for each in known if each.startswith(typed)),
        *(known[each] for each in known if typed.startswith(f"{each} ")),
    }
    if typed in known:
        assert named(typed) == (known[typed], "")
    elif owners == {name[1]}:
        assert named(typed)[0] == name[1]
    else:
        assert "could be" in unclear(typed) or "beginning of" in unclear(typed)


def test_what_was_said_is_understood() -> None:
    """Shipped names carry answers all the way to values."""
    for typed, value in [
        ("/desk 73", 730.0),
        ("/lower leg 41", 410.0),
        ("/glasses varifocals", "varifocal"),
        ("/pain lower back, hips", frozenset({"lower_back", "hips"})),
        ("my height is 170 cm", 1700.0),
        ("/floor carpet", "carpet"),
    ]:
        found = fact_named(seating().tree, typed)
        assert understand(found.question, found.said, TODAY).value == value


def old_call(*questions: str) -> Call:
    """Answers under these names."""
    return Call(TODAY, answers=tuple(Answer(one, "46 cm") for one in questions))


def former(question: str) -> str:
    """A name that the shipped tree knows a question by besides its own, as call files write it."""
    return seating().tree.questions[question].called[0].replace(" ", "_")


def test_an_answer_under_a_name_of_before_counts() -> None:
    """A call recorded before a question was renamed is read by what the question is called."""
    call = old_call(former("chair_height"))
    assert call.latest().keys() != {"chair_height"}
    assert read_with(seating().tree, call).latest().keys() == {"chair_height"}
    now = state_so_far(seating(), call)
    assert now.call.answers == call.answers
    assert now.present.seat_height == 460


def test_the_thigh_is_known_by_its_name_of_before() -> None:
    """Call files say upper_leg where they are older than the name thigh_length."""
    assert read_with(seating().tree, old_call("upper_leg")).latest().keys() == {"thigh_length"}


def test_the_later_of_two_names_counts() -> None:
    """An answer amended after the question was renamed amends the one from before."""
    both = old_call(former("chair_height")).add(Answer("chair_height", "47 cm"))
    assert state_so_far(seating(), both).present.seat_height == 470


@pytest.mark.parametrize("name", ["nothing_like_it", COUNTRY, "chair_height"])
def test_other_names_stay(name: str) -> None:
    """A name of nothing, of the program's own, or of a question is taken as it stands."""
    assert read_with(seating().tree, old_call(name)).latest().keys() == {name}
