"""What is said of practice files with mistakes in them."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.commands.check import problems_of_files
from consult.practice.catalogue import choices_in
from consult.practice.load import load_persona, practice_problems
from tests.call.calls import basis_of
from tests.practice.callers import CALLERS, HEAD, WORDS, survey, written

BEHAVIOUR = "behaviours:\n  - {name: it, explain: It was so, %s}\n"


@pytest.mark.parametrize(
    ("more", "rule", "words"),
    [
        ("truth: {hour: 8}", "unknown-question", "no question 'hour'. Did you mean 'hours'?"),
        (
            "truth: {kind: fixt}",
            "truth-not-taken",
            "cannot have the answer 'fixt'. Did you mean 'fixed'?",
        ),
        ("truth: {kind: xyz}", "truth-not-taken", "It has fixed or adjustable."),
        ("truth: {sites: [back, nek]}", "truth-not-taken", "cannot have the answer 'back, nek'."),
        ("truth: {consent: maybe}", "truth-not-taken", "Yes or no?"),
        ("truth: {signs: '?'}", "truth-not-taken", "cannot have the answer '?'."),
        ("truth: {stature: 160 cm}", "body", "so it belongs under body:"),
        ("truth: {hours: 25}", "unusual", "outside the usual"),
        ("body: {statur: 160 cm}", "unknown-dimension", "Did you mean 'stature'?"),
        ("body: {stature: 230 cm}", "out-of-reach", "Nobody in the survey has such a stature."),
        (
            "body: {stature: 150 cm, popliteal_height: 50 cm}",
            "out-of-reach",
            "with the stature above",
        ),
        ("body: {stature: 60 kg}", "wrong-unit", "'stature' is measured in millimetres."),
        ("body: {weight: 60 cm}", "wrong-unit", "'weight' is measured in kilograms."),
        ("body: {stature: 160 to 150 cm}", "backwards", "Put the smaller figure first."),
        ("body: {stature: tall}", "wrong-form", "Write a figure or a span with its unit"),
        ("says: {kind: {fixd: [Hm]}}", "unknown-choice", "Did you mean 'fixed'?"),
        ("says: {knd: {fixed: [Hm]}}", "unknown-question", "Did you mean 'kind'?"),
        ("manner: {way: brusk}", "unknown-way", "Did you mean 'brisk'?"),
        ("manner: {units: metrik}", "wrong-word", "Did you mean 'metric'?"),
        ("maner: {units: metric}", "unknown-name", "Did you mean 'manner'?"),
        (BEHAVIOUR % "kind: wrongtape, at: leg", "wrong-word", "Did you mean 'wrong_tape'?"),
        (BEHAVIOUR % "kind: vague, at: lag", "unknown-question", "Did you mean 'leg'?"),
        (BEHAVIOUR % "kind: vague", "missing-name", "'vague' needs at:."),
        (BEHAVIOUR % "kind: wrong_tape, at: leg", "missing-name", "'wrong_tape' needs off:."),
        (BEHAVIOUR % "kind: rounds, at: kind", "misplaced", "is not answered by a figure"),
        (BEHAVIOUR % "kind: mixes_units, at: hours", "misplaced", "answered without a unit"),
        (BEHAVIOUR % "kind: refuses_consent, at: leg", "misplaced", "Write at: consent."),
        (
            BEHAVIOUR % "kind: vague, at: opening",
            "misplaced",
            "Nothing is asked in the first words",
        ),
        (BEHAVIOUR % "kind: vague, at: leg, off: 3 cm", "idle", "'vague' cannot have"),
        (BEHAVIOUR % "kind: vague, at: stop", "misplaced", "Nothing is asked by a stop"),
        (BEHAVIOUR % "kind: presses, at: stop", "missing-name", "'presses' needs says:."),
        (
            BEHAVIOUR % "kind: presses, at: hours, says: [Hm]",
            "misplaced",
            "'hours' does not ask about warning signs. Write at: signs",
        ),
        (
            BEHAVIOUR % "kind: rounds, at: leg, because: It matters",
            "idle",
            "'rounds' cannot have because",
        ),
        (
            BEHAVIOUR % "kind: sign_in_passing, at: leg, about: signs, answer: fevr, says: [Hm]",
            "truth-not-taken",
            "Did you mean 'fever'?",
        ),
        (
            "truth: {signs: none}\n"
            + BEHAVIOUR % "kind: sign_in_passing, at: leg, about: signs, answer: fever, says: [Hm]",
            "sign-not-true",
            "not in the truth of 'signs'",
        ),
        (
            "truth: {kind: fixed}\n"
            + BEHAVIOUR % "kind: contradicts, at: leg, about: kind, answer: fixed, says: [Hm]",
            "no-contradiction",
            "it is the true answer",
        ),
        (
            BEHAVIOUR % "kind: volunteers, at: leg, about: leg, says: [Hm]",
            "misplaced",
            "Name another question.",
        ),
        (
            BEHAVIOUR % "kind: vague, at: leg, denied_first: yes",
            "idle",
            "'vague' cannot have denied_first",
        ),
        (
            "truth: {since: worse}\n"
            + BEHAVIOUR
            % "kind: sign_in_passing, at: leg, about: since, answer: worse, says: [Hm]"
            ", denied_first: yes",
            "misplaced",
            "'since' has no exclusive choice",
        ),
        (
            BEHAVIOUR % "kind: vague, at: leg"
            + "  - {name: it, kind: vague, at: hours, explain: So}",
            "duplicate-name",
            "Another behaviour is also called 'it'",
        ),
    ],
)
def test_mistakes_are_told_in_plain_words(tmp_path: Path, more: str, rule: str, words: str) -> None:
    """One mistake is one problem, with its place and what would be right."""
    path = written(tmp_path, HEAD + more + "\n")
    problems = practice_problems(path)
    assert [problem.rule for problem in problems] == [rule], [str(each) for each in problems]
    assert words in f"{problems[0].message} {problems[0].fix}"
    assert problems[0].where.file == str(path)
    assert problems[0].where.line > 4
    assert problems[0].where.column > 0


SEATING = HEAD.replace("tree: little", "tree: seating")
UNHURT = "truth: {consent: yes, pain_sites: [none], legs_feel: [leg_one_swollen]}\n"
REMARK = (
    "kind: sign_in_passing, at: heel, about: legs_feel, answer: leg_one_swollen, says: [It swells]"
)


@pytest.mark.parametrize(
    ("truth", "warned"),
    [
        # Only who has pain in the legs is asked about them.
        (UNHURT, True),
        (UNHURT.replace("[none]", "[legs]"), False),
        # The list is read to everybody, also to who refuses.
        ("truth: {consent: no, warning_signs: [swollen_leg]}\n", False),
        ("truth: {consent: no, pain_sites: [neck], pain_signs: [lasting]}\n", True),
        # Two stops: the first does not hide the other from the check.
        ("truth: {consent: yes, warning_signs: [stroke], pain_signs: [night_pain]}\n", True),
        (
            "truth: {consent: yes, warning_signs: [stroke], pain_sites: [neck], "
            "pain_signs: [night_pain]}\n",
            False,
        ),
        # Who heard the list may mention one of its signs anywhere.
        (UNHURT + BEHAVIOUR % REMARK, False),
        (
            UNHURT.replace("consent: yes", "who_sits: young_person") + BEHAVIOUR % REMARK,
            True,
        ),
    ],
)
def test_every_sign_is_one_that_the_tree_asks_about(
    tmp_path: Path, truth: str, warned: bool
) -> None:
    """A stop or referral that is true of a caller and that nobody can find is told."""
    path = tmp_path / "practice" / "someone.yaml"
    path.parent.mkdir()
    for file in CALLERS.parent.glob("*.yaml"):
        (tmp_path / file.name).write_text(file.read_text("utf-8"), "utf-8")
    path.write_text(SEATING + truth, "utf-8")
    problems = practice_problems(path)
    assert [one.rule for one in problems] == ["sign-never-asked"] * warned
    assert all(one.where.line == 5 for one in problems)


def test_a_sound_file_has_no_problems(tmp_path: Path) -> None:
    """A file with no more than it needs is fine."""
    assert practice_problems(written(tmp_path, HEAD)) == []


def test_a_file_with_errors_is_not_loaded(tmp_path: Path) -> None:
    """Errors give no caller; a warning gives one with the warning."""
    basis = basis_of("seating")
    broken = tmp_path / "broken.yaml"
    broken.write_text(HEAD.replace("little", "seating") + "truth: {nothing: 1}\n", "utf-8")
    persona, problems = load_persona(broken, basis.tree, survey(), 1)
    assert persona is None
    assert [problem.rule for problem in problems] == ["unknown-question"]
    broken.write_text(HEAD.replace("little", "seating") + "truth: {hours: 25}\n", "utf-8")
    persona, problems = load_persona(broken, basis.tree, survey(), 1)
    assert persona is not None
    assert [problem.severity for problem in problems] == ["warning"]


def test_another_tree_is_refused(tmp_path: Path) -> None:
    """A caller of one tree does not call about another."""
    path = written(tmp_path, HEAD)
    persona, problems = load_persona(path, basis_of("seating").tree, survey(), 1)
    assert persona is None
    assert problems[0].rule == "other-tree"


def test_a_tree_that_is_not_there_is_named(tmp_path: Path) -> None:
    """The tree is looked for in the folder above."""
    path = written(tmp_path, HEAD.replace("little", "litle"))
    (problem,) = practice_problems(path)
    assert problem.rule == "no-tree"
    assert "Did you mean 'little'?" in problem.fix
    (problem,) = practice_problems(written(tmp_path, HEAD.replace("little", "qqqqqq")))
    assert problem.message.startswith("There is no tree 'qqqqqq' in ")


def test_a_tree_with_errors_is_not_said_to_be_missing(tmp_path: Path) -> None:
    """Nor is its own name suggested for it."""
    path = written(tmp_path, HEAD)
    tree = path.parent.parent / "little.yaml"
    tree.write_text(tree.read_text("utf-8") + "quest: 1\n", encoding="utf-8")
    (problem,) = practice_problems(path)
    assert problem.message == "The tree 'little' has errors itself."
    assert problem.fix == f"Check it first: {tree}."


@pytest.mark.parametrize(
    ("old", "new", "rule", "words"),
    [
        ('    - "{answer}, I\'d say."\n', "    - Hm.\n", "no-blank", "has no {answer}"),
        ("    - Fair enough.\n", "    - Fair {answer}.\n", "odd-blank", "is not filled in here"),
        ("  greeting:\n", "  greetings:\n", "unknown-name", "Did you mean 'greeting'?"),
        ("  none:\n", "  not_any:\n", "unknown-name", "It may have"),
        ("  who_sits:\n", "  who_sit:\n", "unknown-question", "no tree in this folder"),
    ],
)
def test_mistakes_in_the_words_are_told(
    tmp_path: Path, old: str, new: str, rule: str, words: str
) -> None:
    """Phrases that would lose the answer and names that mean nothing are told with their place."""
    trees = tmp_path / "trees"
    (trees / "practice").mkdir(parents=True)
    for tree in CALLERS.parent.glob("*.yaml"):
        (trees / tree.name).write_text(tree.read_text("utf-8"), "utf-8")
    text = WORDS.read_text("utf-8")
    assert old in text
    path = trees / "practice" / "words.yaml"
    path.write_text(text.replace(old, new, 1), "utf-8")
    problems = practice_problems(path)
    assert [problem.rule for problem in problems] == [rule]
    assert words.casefold() in f"{problems[0].message} {problems[0].fix}".casefold()


def test_the_check_knows_practice_files(tmp_path: Path) -> None:
    """``consult check`` reads a practice file as what it is, and the words file too."""
    path = written(tmp_path, HEAD + "truth: {hour: 8}\n")
    assert [problem.rule for problem in problems_of_files(path)] == ["unknown-question"]
    assert problems_of_files(CALLERS / "words.yaml") == []


def test_the_list_of_a_folder(tmp_path: Path) -> None:
    """Callers are listed by name, the words left alone, and broken files told."""
    path = written(tmp_path, HEAD)
    (path.parent / "broken.yaml").write_text("practice: [", "utf-8")
    (path.parent / "half.yaml").write_text("practice: half\n", "utf-8")
    found, problems = choices_in(path.parent)
    assert [(one.name, one.title, one.tree) for one in found] == [("someone", "Somebody", "little")]
    assert {Path(problem.where.file).name for problem in problems} == {"broken.yaml", "half.yaml"}
    assert choices_in(tmp_path / "nowhere") == ([], [])


def test_all_mistakes_of_a_file_in_one_round(tmp_path: Path) -> None:
    """A wrong form in one place hides no mistake in another, and each has its own line."""
    more = (
        "manner: {units: miles}\n"
        "truth: {hour: 8}\n"
        "behaviours:\n"
        "  - {name: one, kind: no_such_kind, explain: So.}\n"
        "  - {name: two, kind: vague, at: nowhere, explain: So.}\n"
    )
    problems = practice_problems(written(tmp_path, HEAD + more))
    lines = {one.where.line for one in problems if one.severity == "error"}
    first = HEAD.count("\n") + 1
    assert lines == {first, first + 1, first + 3, first + 4}


def test_a_file_without_a_head_is_told_so_and_no_more(tmp_path: Path) -> None:
    """Without a tree there is nothing to check the rest against."""
    path = written(tmp_path, HEAD.replace("sex: female\n", "") + "truth: {hour: 8}\n")
    assert [one.rule for one in practice_problems(path)] == ["missing-name"]
