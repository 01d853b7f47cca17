"""What the checks beyond spelling say, and what they leave alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.tree.check import check_tree
from tests.long import every_case

BROKEN = Path(__file__).parent / "broken"


@every_case(
    [
        ("always_false", "so this route is never used. Write or if one of them is enough."),
        ("always_false_caution", "error: This can never be true"),
        ("always_false_outside", "An answer to 'one' is between 15 and 285 cm."),
        ("always_false_piece", "The piece '70 < one < 60' can never be true"),
        ("always_true", "is true whatever is answered, so the question is never asked."),
        ("always_true_known", "it only asks whether there is an answer"),
        ("always_true_self", "The piece 'known(one)' is true"),
        ("never_wins", "the routes above it come first whenever it is true"),
        ("gap_nowhere", "when none of them is true. 76 to 80 cm goes nowhere."),
        ("no_caution", "'lump' of 'one' raises no caution"),
        ("no_caution_alone", "when: in_doubt in one."),
        ("long_sentence", "has 34 words"),
        ("long_ask", "This question has 66 words"),
        ("hard_to_follow", "a reading age of 19. The limit is 14"),
        ("unused", "write read_by: people"),
        (
            "far_off_fit",
            "'fit.seat_height' is in cm, and 440 cm is far too much. Did you mean 44?",
        ),
        ("far_off_body", "'body.weight' is in kg"),
    ]
)
def test_words(file: str, words: str) -> None:
    """Each names the thing, and what would be right."""
    said = " ".join(str(problem) for problem in check_tree(BROKEN / f"{file}.yaml"))
    assert words in said


HEAD = "tree: t\ntitle: A title\nversion: 1\nfirst: one\n{top}questions:\n"


def rules(folder: Path, body: str, top: str = "") -> list[str]:
    path = folder / "t.yaml"
    path.write_text(HEAD.format(top=top) + body)
    return [problem.rule for problem in check_tree(path)]


def test_reading_age_of_the_tree(tmp_path: Path) -> None:
    """What the tree says of its readers is what its texts are held against."""
    said = "Sit back on the chair and rest both feet on the floor before you measure anything. "
    body = f"  one:\n    ask: {said * 3}\n    coach: {said * 4}\n    answer: text\n    next: end\n"
    assert rules(tmp_path, body) == []
    # They read at 11: that is still allowed where 11 is asked for, and not where 10 is.
    assert rules(tmp_path, body, "reading_age: 11\n") == []
    assert rules(tmp_path, body, "reading_age: 10\n") == ["hard-to-follow"]


@pytest.mark.parametrize(
    "when",
    [
        "one",
        "yes",
        "not known(one) or one",
        "known(two) and two > 40",
        "two >= 30 and two <= 90",
        "fit.seat_height > body.popliteal_height",
        "two > fit.seat_height or two < fit.seat_height",
        "fit.desk_raise > 0 and fit.desk_raise < 300",
    ],
)
def test_left_alone(tmp_path: Path, when: str) -> None:
    """What can be both true and false is nobody's mistake, nor is a plain yes."""
    body = (
        "  one: {ask: Well?, answer: yes-no, next: two}\n"
        "  two: {ask: How high?, coach: A tape., answer: length, unit: cm, expect: 30 to 90,"
        " next: end}\n"
        f"advice:\n  - name: a\n    topic: t\n    when: ({when}) and known(one) and known(two)\n"
        "    say: So.\n    because: So.\n    source: common_practice\n"
    )
    assert rules(tmp_path, body) == []


def test_no_second_mistake_out_of_a_first(tmp_path: Path) -> None:
    """Where a condition cannot be read, the questions it may have meant are not called unused."""
    body = (
        "  one: {ask: Well?, answer: yes-no, next: two}\n"
        "  two: {ask: Well?, answer: yes-no, skip_when: oen, next: end}\n"
    )
    assert rules(tmp_path, body) == ["unknown-name"]


def test_of_a_file_that_cannot_be_read_nothing_is_missed(tmp_path: Path) -> None:
    """Any name may be one of its questions, so one slip there is told as one."""
    body = (
        "  one: {ask: Well?, answer: yes-no, next: more}\n"
        "  more: {include: other, next: two}\n"
        "  two: {ask: Well?, answer: yes-no, skip_when: in_it or known(out), next: end}\n"
    )
    assert rules(tmp_path, body) == ["unknown-tree"]
    (tmp_path / "other.yaml").write_text(
        "tree: other\ntitle: T\nfirst: in_it\nquestions:\n"
        "  in_it:\n    ask: Is it: so?\n    answer: yes-no\n    next: end\n",
        encoding="utf-8",
    )
    assert rules(tmp_path, body) == ["colon"]
