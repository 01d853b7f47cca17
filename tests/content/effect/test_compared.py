"""Edits of a small tree whose effect is known exactly."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.basis import Basis
from consult.content.callers.simulation import led_state
from consult.content.effect.compared import effect
from consult.content.effect.result import Effect, impact_lines
from consult.paths import trees_folder
from consult.tree.condition import parse_condition
from tests.content.effect.edits import (
    COUNT,
    TREE,
    basis_of,
    demo,
    edited,
    people,
    rows,
    told_of,
)

SIGNS_OF: dict[int, list[str]] = {}
"""What each caller says, by number; led once for all tests."""
RANGE = (trees_folder() / "range.yaml").read_text("utf-8")
FEVER = """\
  - name: fever_refer
    level: refer
    when: fever in signs
    say: Please see a doctor.
    source: common_practice
"""
STOP = """\
  - name: numb_stop
    level: stop
    when: numb in signs
    say: I have to stop here.
    source: common_practice
"""


def who_say(folder: Path, word: str) -> list[int]:
    """Callers of the unedited tree who say a word to the signs."""
    if not SIGNS_OF:
        old = basis_of(folder / "plain")
        for one in people():
            call = led_state(old, one.source, one.number).call
            told = {answer.question: answer.said for answer in call.answers}
            SIGNS_OF[one.number] = told["signs"].split(", ")
    return [number for number, signs in SIGNS_OF.items() if word in signs]


def test_nothing_edited(tmp_path: Path) -> None:
    """Nothing is other for anybody."""
    found = edited(tmp_path)
    assert found.nothing
    assert (found.rows, found.lost_cautions, found.changed) == ((), (), 0)
    assert found.lengths.old_mean == found.lengths.new_mean > 2
    assert found.unmet == ()


def test_wording_alone_has_no_effect(tmp_path: Path) -> None:
    """Other words, labels, coaching, sources and another order of choices change nothing."""
    found = edited(
        tmp_path,
        ("Are you tired?", "Do you tire?"),
        ("numb: Numb hands, fever: A fever", "fever: High temperature, numb: Tingling"),
        ("I have to stop here.", "I must stop now."),
        ("Against a wall.", "Against a door."),
        ("Rest now and then.", "Take rests."),
        ("common_practice", "our_words"),
        ("version: 1", "version: 2"),
    )
    assert found.nothing
    assert (found.old_version, found.new_version) == ("1", "2")


def test_a_caution_taken_out_is_lost_for_exactly_those_who_had_it(tmp_path: Path) -> None:
    """Counted one by one, with its level and a caller that shows it."""
    found = edited(tmp_path, (FEVER, ""))
    had = who_say(tmp_path, "fever")
    (lost,) = found.lost_cautions
    assert (lost.caution, lost.level, lost.callers, lost.of) == (
        "fever_refer",
        "refer",
        len(had),
        COUNT,
    )
    assert 3 < len(had) < COUNT
    assert lost.gone
    assert lost.now is None
    assert lost.sample is not None
    assert lost.sample.number == had[0]
    assert "A fever" in lost.sample.answers[0]
    assert lost.sample.answers[0].startswith("signs: ")
    assert told_of(found) == {("caution lost", "fever_refer")}
    assert found.changed == len(had)


def test_a_stop_taken_out(tmp_path: Path) -> None:
    """It is lost, and the calls it ended go on; what follows from that is not told one by one."""
    found = edited(tmp_path, (STOP, ""))
    had = who_say(tmp_path, "numb")
    (lost,) = found.lost_cautions
    assert (lost.caution, lost.level, lost.callers) == ("numb_stop", "stop", len(had))
    assert found.stopped == (len(had), 0)
    assert told_of(found) == {("caution lost", "numb_stop"), ("stopped no more", "numb_stop")}
    assert found.lengths.new_mean > found.lengths.old_mean


def test_a_lost_stop_comes_first(tmp_path: Path) -> None:
    """Before a referral that more callers lose."""
    found = edited(tmp_path, (STOP, ""), (FEVER, ""), ("cautions:\n", ""))
    assert [one.level for one in found.lost_cautions] == ["stop", "refer"]
    assert found.lost_cautions[0].callers < found.lost_cautions[1].callers
    assert found.rows[0].what == "numb_stop"


def test_a_caution_made_milder_is_lost_at_its_level(tmp_path: Path) -> None:
    """A stop that became a note is a lost stop; a referral raised to a stop is none."""
    lowered = edited(tmp_path, ("level: stop", "level: note"))
    (lost,) = lowered.lost_cautions
    assert (lost.level, lost.now, lost.gone) == ("stop", "note", False)
    raised = edited(tmp_path, ("level: refer", "level: stop"))
    assert raised.lost_cautions == ()
    row = rows(raised)["caution gained", "fever_refer"]
    assert (row.level, row.callers) == ("stop", len(who_say(tmp_path, "fever")))


@pytest.mark.parametrize(
    ("level", "when", "instead"),
    [
        ("refer", "fever in signs", "see_nurse"),
        ("stop", "fever in signs", "see_nurse"),
        ("note", "fever in signs", ""),
        ("refer", "fever in signs and tired", ""),
    ],
)
def test_what_is_heard_instead(tmp_path: Path, level: str, when: str, instead: str) -> None:
    """A caution no milder than the lost one, that everybody who loses that newly hears."""
    other = FEVER.replace("fever_refer", "see_nurse").replace("see a doctor", "ask a nurse")
    other = other.replace("refer", level).replace("fever in signs", when)
    found = edited(tmp_path, (FEVER, other))
    (lost,) = found.lost_cautions
    assert (lost.caution, lost.instead) == ("fever_refer", instead)
    line = "   They hear 'see_nurse' instead."
    assert (line in impact_lines(found)) is bool(instead)


def test_a_condition_made_narrower(tmp_path: Path) -> None:
    """Those between the old and the new condition lose it, and both are told in words."""
    found = edited(tmp_path, ("when: fever in signs", "when: fever in signs and tired"))
    (lost,) = found.lost_cautions
    had = who_say(tmp_path, "fever")
    assert 0 < lost.callers < len(had)
    assert lost.now is None
    assert not lost.gone
    assert "A fever" in lost.when
    assert "tired" in lost.now_when
    sample = lost.sample
    assert sample is not None
    assert "tired: no" in sample.answers


def test_a_condition_made_wider(tmp_path: Path) -> None:
    """Nobody loses anything; those who hear it now are counted."""
    found = edited(tmp_path, ("when: fever in signs", "when: fever in signs or tired"))
    assert found.lost_cautions == ()
    assert told_of(found) == {("caution gained", "fever_refer")}


def test_a_renamed_question_has_no_effect(tmp_path: Path) -> None:
    """Neither on simulated callers nor on demo calls, whose answers go to the new name."""
    demos = [demo("One", {"cautions": ["fever_refer"]}, tired="yes", signs="fever")]
    found = edited(
        tmp_path,
        ("  tired:\n", "  weary:\n"),
        ("first: tired", "first: weary"),
        ("when: tired", "when: weary"),
        ("signs", "warnings"),
        ("stature:\n", "height:\n"),
        ("next: stature", "next: height"),
        demos=demos,
    )
    assert found.nothing, found.rows
    assert found.renamed == {"tired": "weary", "signs": "warnings", "stature": "height"}


def test_renamed_cautions_and_advice_have_no_effect(tmp_path: Path) -> None:
    """Who hears the same words as gravely has lost nothing."""
    found = edited(
        tmp_path,
        ("name: numb_stop", "name: numb_hands"),
        ("name: rest", "name: resting"),
        ("name: soft", "name: softer"),
    )
    assert found.nothing, found.rows


def test_an_added_question_makes_calls_one_longer_for_those_who_reach_it(tmp_path: Path) -> None:
    """And for nobody else: a stopped call does not reach it."""
    more = """\
  shoes:
    ask: Which shoes?
    answer: choice
    choices: {flat: Flat, high: High}
    read_by: people
    next: floor
"""
    found = edited(
        tmp_path, ("    next: floor\n", "    next: shoes\n"), ("  floor:\n", more + "  floor:\n")
    )
    reach = COUNT - len(who_say(tmp_path, "numb"))
    assert told_of(found) == {("question new", "shoes")}
    assert rows(found)["question new", "shoes"].callers == reach
    added = (found.lengths.new_mean - found.lengths.old_mean) * COUNT
    assert added == pytest.approx(reach)
    assert found.lengths.new_most == found.lengths.old_most + 1


def test_a_question_taken_out(tmp_path: Path) -> None:
    """It is asked no more; the need that read it is gone with it."""
    start = TREE.index("  floor:\n")
    floor = TREE[start : TREE.index("cautions:")]
    need = TREE[TREE.index("needs:") :]
    found = edited(tmp_path, (floor, ""), (need, ""), ("next: floor", "next: end"))
    assert {kind for kind, _ in told_of(found)} == {"question gone", "need lost"}
    assert rows(found)["need lost", "must have soft_castors"].sample.answers[0] == (
        "floor: Wood or stone"
    )


def test_advice_lost_and_gained(tmp_path: Path) -> None:
    """Those who are tired and those who are not change places."""
    found = edited(tmp_path, ("when: tired\n", "when: not tired\n"))
    lost, gained = rows(found)["advice lost", "rest"], rows(found)["advice gained", "rest"]
    reach = COUNT - len(who_say(tmp_path, "numb"))
    assert lost.callers + gained.callers == reach
    assert lost.sample.answers == ("tired: yes",)


def test_a_new_stop_ends_calls_before_later_cautions(tmp_path: Path) -> None:
    """A caution lost only because the call ends before is told so."""
    found = edited(
        tmp_path,
        (
            STOP,
            STOP + STOP.replace("numb_stop", "tired_stop").replace("numb in signs", "tired"),
        ),
    )
    lost = {one.caution: one for one in found.lost_cautions}
    assert lost["fever_refer"].stopped == lost["fever_refer"].callers > 0
    assert ("stopped now", "tired_stop") in told_of(found)


def test_what_a_tree_cannot_take_makes_calls_stuck(tmp_path: Path) -> None:
    """320 to 520 cm of lower leg: nobody's answer can be taken any more."""
    found = edited(tmp_path, ("expect: 32 to 52", "expect: 320 to 520"))
    row = rows(found)["stuck now", "lower_leg"]
    assert row.callers == COUNT - len(who_say(tmp_path, "numb"))
    assert "could not be stored" in row.sample.answers[0]


def test_another_range_gives_another_chair(tmp_path: Path) -> None:
    """The chair is chosen anew where the range differs, and only there."""
    old = basis_of(tmp_path / "old", TREE, RANGE)
    same = basis_of(tmp_path / "same", TREE.replace("Are you", "Do you feel"), RANGE)
    assert effect(old, same, people(10), []).nothing
    assert "code: SEAT-M\n" in RANGE
    renamed = RANGE.replace("SEAT-M\n", "SEAT-MID\n").replace("SEAT-M,", "SEAT-MID,")
    renamed = renamed.replace("SEAT-M]", "SEAT-MID]")
    new = basis_of(tmp_path / "new", TREE, renamed)
    found = effect(old, new, people(20), [])
    assert ("chair", "another chair") in told_of(found)
    moved = rows(found)["part", "seat: SEAT-M, now SEAT-MID"]
    assert moved.callers == rows(found)["chair", "another chair"].callers > 0
    assert found.lost_cautions == ()
    assert all(row.kind in ("chair", "part") for row in found.rows)


def test_a_part_that_a_price_makes_nobody_s_is_named(tmp_path: Path) -> None:
    """Somebody got it before; one that is no longer sold is not told of."""
    old = basis_of(tmp_path / "old", TREE, RANGE)
    assert RANGE.count("price: 96\n") == 1
    dear = RANGE.replace("price: 96\n", "price: 9096\n")
    found = effect(old, basis_of(tmp_path / "dear", TREE, dear), people(20), [])
    assert found.never == ("BACK-MID",)
    assert any("NEVER CHOSEN ANY MORE: BACK-MID" in line for line in impact_lines(found))
    gone = RANGE.replace("price: 96\n", "price: 96\n    discontinued: true\n")
    assert effect(old, basis_of(tmp_path / "gone", TREE, gone), people(20), []).never == ()


def test_a_need_changes_the_chair(tmp_path: Path) -> None:
    """Castors follow the need, for those whose floor is hard, and the answer shows it."""
    old = basis_of(tmp_path / "old", TREE, RANGE)
    new = basis_of(tmp_path / "new", TREE.replace("floor == hard", "floor == carpet"), RANGE)
    found = effect(old, new, people(20), [])
    sample = rows(found)["chair", "another chair"].sample
    assert any(answer.startswith("floor: ") for answer in sample.answers)
    kinds = {what.partition(":")[0] for kind, what in told_of(found) if kind == "part"}
    assert kinds == {"castors"}


def test_settings_that_move(tmp_path: Path) -> None:
    """A measure the tree hears no more moves what is set, and by how much is told."""
    start, end = TREE.index("  lower_leg:\n"), TREE.index("  floor:\n")
    found = edited(tmp_path, (TREE[start:end], ""), ("next: lower_leg", "next: floor"))
    row = rows(found)["setting", "seat_height"]
    assert row.by is not None
    assert row.by[0] < -5
    assert row.by[1] > 5


def test_demo_calls(tmp_path: Path) -> None:
    """They are led through too, told by their titles; what they expected is held against them."""
    demos = [
        demo("Fever", {"cautions": ["fever_refer"]}, tired="no", signs="fever"),
        demo("Well", {"cautions": []}, tired="no", signs="none"),
        replace(demo("Another tree"), tree="other"),
    ]
    found = edited(tmp_path, (FEVER, ""), demos=demos)
    assert found.demos == ("Fever", "Well")
    (lost,) = found.lost_cautions
    assert lost.demos == ("Fever",)
    row = rows(found)["not as expected", "cautions: fever_refer did not come out."]
    assert (row.callers, row.demos) == (0, ("Fever",))


def test_a_caution_that_only_a_demo_call_met(tmp_path: Path) -> None:
    """It is lost all the same, with the demo call to show it."""
    fever = demo("Fever", None, tired="no", signs="fever")
    found = edited(tmp_path, (FEVER, ""), demos=[fever], count=0)
    (lost,) = found.lost_cautions
    assert (lost.callers, lost.demos) == (0, ("Fever",))
    assert lost.sample is not None
    assert lost.sample.number is None
    assert found.seed is None


def test_a_caution_gone_that_nobody_met(tmp_path: Path) -> None:
    """Nobody met it, and still it is told as lost; those left that nobody met are named."""
    found = edited(tmp_path, (FEVER, ""), count=0)
    (lost,) = found.lost_cautions
    assert (lost.caution, lost.callers, lost.sample, lost.gone) == ("fever_refer", 0, None, True)
    assert found.unmet == ("numb_stop",)
    assert not found.nothing


def test_progress_is_told(tmp_path: Path) -> None:
    """After every caller."""
    old = basis_of(tmp_path / "old")
    heard: list[int] = []
    effect(old, old, people(3), [], heard.append)
    assert heard == [1, 2, 3]


def test_the_same_again(tmp_path: Path) -> None:
    """Same inputs, same effect, and plain data that JSON can hold."""
    edits = ("when: fever in signs", "when: fever in signs and tired")
    one, other = edited(tmp_path, edits), edited(tmp_path, edits)
    assert one == other
    data = json.loads(json.dumps(one.as_json(), allow_nan=False))
    assert data["lost_cautions"][0]["caution"] == "fever_refer"
    assert data["rows"][0]["share"] == pytest.approx(one.rows[0].share, abs=1e-4)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Basis:
    """The little tree as it is."""
    return basis_of(tmp_path_factory.mktemp("little"))


def with_fever_when(basis: Basis, text: str) -> Basis:
    """The same with another condition for the referral."""
    when = parse_condition(text).resolve(basis.tree.questions.keys())
    stop, fever = basis.tree.cautions
    return replace(basis, tree=replace(basis.tree, cautions=(stop, replace(fever, when=when))))


SIGNS = st.sampled_from(["numb in signs", "fever in signs", "tired", "not tired", "floor == hard"])


@given(SIGNS, SIGNS)
@settings(max_examples=6, deadline=None)
def test_lost_one_way_is_gained_the_other(plain: Basis, one: str, other: str) -> None:
    """Undoing an edit undoes its effect, caller by caller."""
    before, after = with_fever_when(plain, one), with_fever_when(plain, other)
    who = people(16)
    there, back = effect(before, after, who, []), effect(after, before, who, [])
    assert changes(there, "lost") == changes(back, "gained")
    assert changes(there, "gained") == changes(back, "lost")
    assert there.changed == back.changed
    assert sum(row.callers for row in there.rows) >= there.changed


def changes(found: Effect, which: str) -> dict[str, int]:
    """Callers by caution."""
    return {row.what: row.callers for row in found.rows if row.kind == f"caution {which}"}
