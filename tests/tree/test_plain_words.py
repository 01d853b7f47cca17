"""The list of words that have a better one: where they stand in a text, and what is better."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.paths import trees_folder
from consult.problems import Problem
from consult.tree.check import check_tree
from consult.tree.readability import PLAIN_WORDS_FILE, PlainWords, load_plain_words

WORDS = PlainWords({"seat": "chair", "seat bones": "sit bones", "mend": "repair"})
PHRASES = st.lists(st.from_regex(r"[a-zäé]{1,6}", fullmatch=True), min_size=1, max_size=3).map(
    " ".join
)
TREE = """\
tree: t
title: {title}
version: 1
first: one
questions:
  one: {{ask: {ask}, answer: choice, choices: {{a: {label}, b: None}}, read_by: people, next: end}}
cautions:
  - {{name: c, level: note, when: one == a, say: {say}, source: common_practice}}
advice:
  - {{name: a, topic: t, when: one == b, say: Sit well., because: {because}, employer: {employer},
     source: common_practice}}
"""
CLEAN = {
    "title": "A tree",
    "ask": "Where?",
    "label": "Here",
    "say": "Mind it.",
    "because": "It helps.",
    "employer": "A chair.",
}


def found(text: str) -> list[tuple[int, str, str]]:
    return list(WORDS.found(text))


def checked(folder: Path, **texts: str) -> list[Problem]:
    """The problems of a tree with some of its texts, beside a list."""
    return unlisted(folder, **texts, words="yes")


def unlisted(folder: Path, words: str = "", **texts: str) -> list[Problem]:
    """The same beside no list of its own."""
    if words:
        text = "plain_words: Ours\nwords:\n  seat bones: sit bones\n  telephone: phone\n"
        (folder / PLAIN_WORDS_FILE).write_text(text, "utf-8")
    path = folder / "t.yaml"
    path.write_text(TREE.format(**{**CLEAN, **texts}), "utf-8")
    return check_tree(path)


# -- where a word stands --------------------------------------------------------------------------


def test_words_are_found_whole_however_they_are_written() -> None:
    """Capitals do not matter, nor where a line breaks; a part of a word is no word."""
    assert found("Your Seat  Bones hurt") == [(5, "Seat  Bones", "sit bones")]
    assert found("Your seat\nbones hurt") == [(5, "seat\nbones", "sit bones")]
    assert found("Mend, and mend") == [(0, "Mend", "repair"), (10, "mend", "repair")]
    assert found("to amend, mending, mend-free, un-mend, mend's") == []


def test_of_two_that_begin_alike_the_longer_is_meant() -> None:
    """A phrase is not told a second time for a word in it."""
    assert [better for _, _, better in found("seat bones")] == ["sit bones"]
    assert [better for _, _, better in found("a seat")] == ["chair"]


def test_an_empty_list_finds_nothing() -> None:
    """Where a folder has no list, every word is plain."""
    assert list(PlainWords({}).found("seat bones")) == []


@given(st.dictionaries(PHRASES, st.text(min_size=1), max_size=4), st.text())
def test_every_find_is_a_word_of_the_list(better: dict[str, str], text: str) -> None:
    """It stands where it is said to, is of the list, and has the better word of the list."""
    for offset, said, instead in PlainWords(better).found(text):
        assert text[offset : offset + len(said)] == said
        same = [word for word in better if re.fullmatch(word.replace(" ", r"\s+"), said, re.I)]
        assert instead in {better[word] for word in same}


@given(PHRASES, st.sampled_from([str.upper, str.title, str.lower]))
def test_a_word_of_the_list_is_always_found(phrase: str, written: object) -> None:
    """Between spaces, stops and the ends of a text, in small letters or capitals."""
    said = written(phrase)  # type: ignore[operator]
    for text in (said, f"Say {said}.", f"({said})", f"{said}, or else"):
        assert [one for _, one, _ in PlainWords({phrase: "x"}).found(text)] == [said]


# -- the file -------------------------------------------------------------------------------------


def test_the_list_that_ships_is_sound() -> None:
    """It can be read, and no better word is itself in the list."""
    words, problems = load_plain_words(trees_folder() / PLAIN_WORDS_FILE)
    assert problems == []
    assert words is not None
    assert len(words.better) > 20
    for word, better in words.better.items():
        assert not list(words.found(better)), f"{word}: {better}"


@pytest.mark.parametrize("word", ["Seat bones", "seat  bones", "''"])
def test_a_word_that_could_never_be_found_is_told(tmp_path: Path, word: str) -> None:
    """In capitals, or with two spaces, it would stand there for nothing."""
    path = tmp_path / PLAIN_WORDS_FILE
    path.write_text(f"plain_words: Ours\nwords:\n  {word}: sit bones\n", "utf-8")
    words, problems = load_plain_words(path)
    assert words is None
    assert [(one.rule, one.where.line) for one in problems] == [("wrong-form", 3)]


# -- in a tree ------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", CLEAN)
def test_everything_that_people_read_is_looked_at(tmp_path: Path, key: str) -> None:
    """A warning with the better word, at the word itself."""
    (problem,) = checked(tmp_path, **{key: "The telephone rings."})
    assert (problem.rule, problem.severity) == ("plain-word", "warning")
    assert problem.message == "There is a plainer word for 'telephone'."
    assert problem.fix == "Better: phone."
    line = (tmp_path / "t.yaml").read_text("utf-8").splitlines()[problem.where.line - 1]
    assert line[problem.where.column - 1 :].startswith("telephone rings.")


@pytest.mark.parametrize("key", ["title", "changes"])
def test_what_a_topic_is_called_is_read_too(tmp_path: Path, key: str) -> None:
    """The adviser reads it out: it is held against the list, and is no place for 'Whoever'."""
    topic = {"title": "Sharing", "changes": "who sits"} | {key: "Whoever has a telephone"}
    main = f"""\
tree: t
title: A tree
version: 1
first: opened
questions:
  opened:
    ask: Which?
    answer: choices
    sets: topics
    ask_when: known(opened)
    choices: {{other: Sharing}}
    read_by: people
    next: the_other
  the_other: {{topic: other, title: {topic["title"]}, changes: {topic["changes"]}, next: end}}
"""
    part = "tree: other\ntitle: Other\nversion: 1\nfirst: two\nquestions:\n"
    part += "  two: {ask: Who?, answer: text, read_by: people, next: end}\n"
    (tmp_path / "other.yaml").write_text(part, "utf-8")
    words = "plain_words: Ours\nwords: {telephone: phone}\n"
    (tmp_path / PLAIN_WORDS_FILE).write_text(words, "utf-8")
    (tmp_path / "t.yaml").write_text(main, "utf-8")
    said = check_tree(tmp_path / "t.yaml")
    assert sorted(one.rule for one in said) == ["plain-word", "whoever"]
    assert {one.where.line for one in said} == {14}


def test_without_a_list_no_word_is_wrong(tmp_path: Path) -> None:
    """The list belongs to the folder; somebody else's trees have their own words."""
    assert unlisted(tmp_path, say="The telephone rings.") == []


def test_a_broken_list_is_told_and_stops_nothing_else(tmp_path: Path) -> None:
    """Its mistake stands in its own place, among the problems of the tree."""
    (tmp_path / PLAIN_WORDS_FILE).write_text("plain_words: Ours\n", "utf-8")
    (problem,) = unlisted(tmp_path, say="The telephone rings.")
    assert problem.where.file == str(tmp_path / PLAIN_WORDS_FILE)


# -- sentences and reasons ------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["Whoever sits here is tall.", "Sit. whoever sits is tall."])
def test_no_sentence_begins_with_whoever(tmp_path: Path, text: str) -> None:
    """Said of the person who listens, it is easier to follow."""
    (problem,) = checked(tmp_path, say=text)
    assert (problem.rule, problem.severity) == ("whoever", "warning")
    line = (tmp_path / "t.yaml").read_text("utf-8").splitlines()[problem.where.line - 1]
    assert line[problem.where.column - 1 :].lower().startswith("whoever sits")


def test_whoever_in_the_middle_is_not_that(tmp_path: Path) -> None:
    """Whether it is plain is for the list to say."""
    assert checked(tmp_path, say="Ask whoever sits here.") == []


def test_a_word_of_the_list_is_not_told_twice(tmp_path: Path) -> None:
    """At the beginning of a sentence, what is wrong with it has been said."""
    (tmp_path / PLAIN_WORDS_FILE).write_text("plain_words: O\nwords: {whoever: you}\n", "utf-8")
    said = unlisted(tmp_path, say="Whoever sits. Ask whoever sits.")
    assert [one.rule for one in said] == ["whoever", "plain-word"]


@pytest.mark.parametrize(("count", "rules"), [(16, []), (17, ["long-reason"])])
def test_a_reason_is_short(tmp_path: Path, count: int, rules: list[str]) -> None:
    """Sixteen words are enough, however many sentences they are."""
    because = "It helps. " + " ".join(["so"] * (count - 2)) + "."
    assert [one.rule for one in checked(tmp_path, because=because)] == rules


@pytest.mark.parametrize(
    ("key", "count", "rules"),
    [
        ("ask", 22, []),
        ("ask", 23, ["long-sentence"]),
        ("say", 30, []),
        ("say", 31, ["long-sentence"]),
    ],
)
def test_a_question_has_shorter_sentences(
    tmp_path: Path, key: str, count: int, rules: list[str]
) -> None:
    """It is answered as soon as it is heard."""
    text = " ".join(["so"] * count)
    assert [one.rule for one in checked(tmp_path, **{key: text})] == rules
