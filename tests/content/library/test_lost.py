"""Lost cautions: found by comparing two trees, with an example of whom they are lost for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.content.library.lost import EVERY, Weaker, lost_in_folders, lost_in_trees, no_longer
from consult.tree.condition import Condition, parse_condition
from consult.tree.model import Caution, Tree
from tests.call.calls import seating
from tests.content.library.libraries import SHIPPED, SIGNS, write
from tests.long import every_case


def shipped() -> Tree:
    """The shipped main tree."""
    return seating().tree


def condition(text: str) -> Condition:
    return parse_condition(text).resolve(shipped().questions.keys())


def lost(old: str, new: str) -> bool:
    return no_longer(condition(old), condition(new), (shipped(), shipped())) is not None


@every_case(
    [
        ("saddle_numb in warning_signs", "saddle_numb in warning_signs and consent"),
        ("neck in pain_sites or knees in pain_sites", "neck in pain_sites"),
        ("pain_sites != none", "pain_sites != none and pain_sites != neck"),
        ("desk_height > 72", "desk_height > 73"),
        ("desk_height > 72", "desk_height > 72.05"),
        ("who_sits == team", "who_sits == caller"),
        ("consent", "not consent"),
        ("not known(lower_leg)", "lower_leg > 40"),
        ("fit.footrest_needed", "fit.desk_too_high"),
        ("fit.seat_height < 40", "fit.seat_height < 38"),
        (
            "neck in pain_sites and knees in pain_sites and hips in pain_sites",
            "neck in pain_sites and knees in pain_sites and not (hips in pain_sites)",
        ),
    ]
)
def test_a_narrower_condition_is_found(old: str, new: str) -> None:
    """Somebody is left out."""
    assert lost(old, new)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("saddle_numb in warning_signs", "warning_signs != none"),
        ("neck in pain_sites", "knees in pain_sites or neck in pain_sites"),
        ("desk_height > 72", "70 < desk_height"),
        ("not (consent and known(lower_leg))", "not consent or not known(lower_leg)"),
        ("who_sits == team", "who_sits != caller"),
        ("consent", "consent or known(lower_leg)"),
    ],
)
def test_a_wider_condition_loses_nobody(old: str, new: str) -> None:
    """No example is made up."""
    assert not lost(old, new)


_SIDE = st.sampled_from(
    [
        "neck in pain_sites",
        "pain_sites == none",
        "consent",
        "known(consent)",
        "desk_height > 70",
        "desk_height <= 75",
        "who_sits == team",
    ]
)


@given(st.lists(_SIDE, min_size=1, max_size=4), st.lists(_SIDE, max_size=2))
def test_more_alternatives_lose_nobody(parts: list[str], more: list[str]) -> None:
    """Whatever is added with "or", whoever heard it hears it."""
    assert not lost(
        " and ".join(parts), f"({' and '.join(parts)})" + "".join(f" or {m}" for m in more)
    )


def of(tree: Tree, **changed: object) -> list[Weaker]:
    """What is lost where the first caution of the shipped tree is changed so."""
    first: Caution = replace(tree.cautions[0], **changed)  # type: ignore[arg-type]
    return list(lost_in_trees(tree, replace(tree, cautions=(first, *tree.cautions[1:]))))


def test_what_counts_as_lost() -> None:
    """Removed, renamed and lowered; other words, another contact and a higher level do not."""
    tree = shipped()
    name = f"caution.{tree.cautions[0].name}"
    gone = list(lost_in_trees(tree, replace(tree, cautions=tree.cautions[1:])))
    assert [(one.what, one.why) for one in gone] == [(name, "It was removed.")]
    assert [(one.what, one.level) for one in of(tree, name="other")] == [(name, "stop")]
    assert "renamed to 'other'" in of(tree, name="other")[0].why
    assert "from stop to refer" in of(tree, level="refer")[0].why
    assert of(tree) == of(tree, say="Other words.") == of(tree, contact="urgent") == []
    assert list(lost_in_trees(tree, tree)) == []


def test_the_example_is_in_words() -> None:
    """The content lead reads labels, not names."""
    first = shipped().cautions[0]
    assert first.when.text == "who_sits == young_person"
    (found,) = of(shipped(), when=condition("who_sits == young_person and consent"))
    assert "'who sits' is “A child or young person under 18”" in found.why


def test_a_choice_taken_out_with_its_condition_is_lost() -> None:
    """Though the new tree knows nothing of it, people still have it."""
    tree = shipped()
    signs = tree.questions["warning_signs"]
    fewer = {name: label for name, label in signs.choices.items() if name != "saddle_numb"}
    when = condition("both_legs in warning_signs")
    caution = replace(
        tree.cautions[0], when=condition("saddle_numb in warning_signs or " + when.text)
    )
    old = replace(tree, cautions=(caution,))
    questions = {**tree.questions, "warning_signs": replace(signs, choices=fewer)}
    new = replace(tree, questions=questions, cautions=(replace(caution, when=when),))
    (found,) = lost_in_trees(old, new)
    assert signs.choices["saddle_numb"] in found.why


def test_a_renamed_question_loses_nothing() -> None:
    """The same question under another name, in the condition too."""
    tree = shipped()
    asked = tree.questions["who_sits"]
    questions = {
        ("sitter" if name == "who_sits" else name): one for name, one in tree.questions.items()
    }
    questions["sitter"] = replace(asked, name="sitter")
    first = replace(
        tree.cautions[0],
        when=parse_condition("sitter == young_person").resolve(questions.keys()),
    )
    new = replace(tree, questions=questions, cautions=(first,))
    assert list(lost_in_trees(replace(tree, cautions=tree.cautions[:1]), new)) == []


def test_another_unit_means_another_thing() -> None:
    """72 is no longer what it was once the question is read in inches."""
    tree = shipped()
    caution = replace(tree.cautions[0], when=condition("desk_height > 72"))
    questions = {
        **tree.questions,
        "desk_height": replace(tree.questions["desk_height"], unit="in"),
    }
    old = replace(tree, cautions=(caution,))
    (found,) = lost_in_trees(old, replace(old, questions=questions))
    assert "read in in, before in cm" in found.why


def test_folders_are_compared_tree_by_tree(tmp_path: Path) -> None:
    """A tree gone takes its cautions along; one that cannot be read needs a reason for all."""
    old = write(tmp_path / "old", SHIPPED)
    new = write(tmp_path / "new", {**SHIPPED, "signs.yaml": SIGNS.replace("stop", "note")})
    (found,) = lost_in_folders(old, new, ["seating.yaml"])
    assert found.what == "caution.numb_legs"
    assert lost_in_folders(old, old, ["seating.yaml"]) == []
    (new / "seating.yaml").unlink()
    assert "was removed" in lost_in_folders(old, new, ["seating.yaml"])[0].why
    (old / "seating.yaml").write_text("tree: [")
    assert [one.what for one in lost_in_folders(old, new, ["seating.yaml"])] == [EVERY]
