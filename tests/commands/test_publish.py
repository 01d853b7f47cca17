"""``consult draft``, ``publish``, ``versions``, ``restore`` and ``changes``, as typed."""

from __future__ import annotations

import io
import shutil
import sys
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from consult.call.basis import Basis
from consult.commands import publish_judge
from consult.commands.publish_judge import asks_the_same
from consult.content.begin import begin_folder
from consult.content.effect.result import CautionLevel, Lost, Sample
from consult.content.library.files import read_files
from consult.content.library.library import Library
from consult.content.prove.kept import Proofs, proofs_of
from consult.paths import demo_folder, live_version, shipped_trees, trees_folder
from consult.problems import Problem
from tests.call.calls import HOSTILE
from tests.commands.runs import Ran, Run
from tests.content.library.libraries import SHIPPED, write
from tests.long import LONG

FEW = ("--callers", "4")


def comes_with(monkeypatch: pytest.MonkeyPatch, shipped: Path) -> None:
    """These trees come with the program."""
    for module in ("consult.paths", "consult.content.library.library", "consult.commands.versions"):
        monkeypatch.setattr(f"{module}.shipped_trees", lambda: shipped)


def unproven(basis: Basis, *_: object, **__: object) -> Proofs:
    """Nothing is said of a tree; the shipped ones are proven elsewhere, and take half a minute."""
    return Proofs(basis.tree.name, basis.tree.files, (), (), ())


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """A library that is not there yet; the templates are checked elsewhere, and take seconds."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path / "library"))
    monkeypatch.setenv("CONSULT_ADVISER", "Ann")
    monkeypatch.setattr(publish_judge, "template_problems", lambda _: [])
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    comes_with(monkeypatch, Path(shutil.copytree(shipped_trees(), tmp_path / "trees")))
    return Library(tmp_path / "library")


@pytest.fixture
def small(tmp_path: Path, library: Library, monkeypatch: pytest.MonkeyPatch) -> Library:
    """The same where small trees come with the program, and are proven."""
    monkeypatch.setattr(publish_judge, "proofs_of", proofs_of)
    comes_with(monkeypatch, write(tmp_path / "shipped", SHIPPED))
    return library


def edit(library: Library, name: str, old: str, new: str) -> None:
    """Replace a text in a file of the draft."""
    path = library.draft / name
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def publish(run: Run, *more: str, reason: str = "Better words") -> Ran:
    return run("publish", "--reason", reason, *FEW, *more)


def test_an_edit_goes_live_and_comes_back(run: Run, library: Library, tmp_path: Path) -> None:
    """The whole way, with the true check and true callers: draft, publish, look, bring back."""
    made = run("draft")
    assert made.code == 0
    assert str(library.draft) in made.out
    edit(library, "seating.yaml", "What made you ring us today?", "Why do you ring?")
    made = run("changes", "live", "draft")
    assert "The question 'reasons' now asks “Why do you ring?”" in made.out
    made = publish(run)
    assert made.code == 0, made.out + made.err
    version = trees_folder().name
    assert f"{version} is live. Every new call uses it." in made.out
    assert trees_folder() == library.folder(version)
    made = run("versions")
    lines = made.out.splitlines()
    assert lines[0].startswith(version)
    assert lines[0].endswith("Ann: Better words  <- live")
    assert "“Why do you ring?”" in run("versions", version).out
    assert run("versions", "--verify").out == "2 versions checked, all as published.\n"
    first = lines[1].split()[0]
    made = run("restore", first, "--reason", "Worse", *FEW)
    assert made.code == 0
    assert f"{first} is live again." in made.out
    assert "The draft is unchanged" in made.out
    assert read_files(trees_folder()) == read_files(tmp_path / "trees")


def test_callers_who_lose_a_caution_are_found(run: Run, small: Library) -> None:
    """Its condition is left alone, but nobody is asked any more: only callers show that."""
    run("draft")
    edit(small, "signs.yaml", "exclusive: none", "exclusive: none\n    skip_when: known(hello)")
    made = publish(run, "--callers", "30")
    assert made.code == 1
    assert "of 30 simulated callers would no longer hear it. For example" in made.out
    assert "--accept caution.numb_legs=REASON" in made.err


def test_mistakes_are_listed_by_their_place_in_the_draft(run: Run, small: Library) -> None:
    """Every one, and nothing is live but what was."""
    run("draft")
    edit(small, "seating.yaml", "next: the_signs", "next: the_sings")
    edit(small, "signs.yaml", "answer: choices", "answer: chioces")
    made = publish(run)
    assert made.code == 1
    assert f"{small.draft / 'seating.yaml'}:" in made.out
    assert f"{small.draft / 'signs.yaml'}:" in made.out
    assert "Correct what is listed" in made.err
    assert live_version(small.root) is None


def test_a_lost_caution_needs_its_reason(run: Run, small: Library) -> None:
    """The command says how to give it; given, it stands in the journal."""
    run("draft")
    edit(small, "signs.yaml", "level: stop", "level: note")
    made = publish(run)
    assert made.code == 1
    assert "Weaker: caution.numb_legs (stop). It was lowered from stop to note." in made.out
    assert "--accept caution.numb_legs=REASON" in made.err
    made = publish(run, "--accept", "caution.numb_legs=")
    assert made.code == 2
    assert "gives no reason" in made.err
    accepted = ("--accept", "caution.numb_legs=The shop says it = sure")
    made = publish(run, *accepted, *accepted)
    assert made.code == 2
    assert "accepted twice" in made.err
    assert publish(run, *accepted).code == 0
    (found, first) = run("versions", "--json").json
    assert found["accepted"] == [{"what": "caution.numb_legs", "reason": "The shop says it = sure"}]
    assert (found["live"], first["live"]) == (True, False)
    assert "because: The shop says it = sure" in run("versions", found["version"]).out


@pytest.mark.parametrize("text", [text for text in HOSTILE if text.strip()][:: 3 if LONG else 6])
def test_any_reason_and_name(run: Run, small: Library, text: str) -> None:
    """Whatever is typed is kept and shown, never obeyed by the terminal."""
    run("draft")
    edit(small, "contacts.yaml", "United Kingdom", "Britain")
    made = publish(run, "--by", text, reason=text)
    assert made.code == 0
    made = run("versions")
    assert made.code == 0
    assert "\x1b" not in made.out
    found = run("versions", "--json").json[0]
    assert (found["by"], found["reason"]) == (text, text.strip())


def test_json(run: Run, small: Library) -> None:
    """For other programs: what is against it, what changes, and whether it is live."""
    run("draft")
    edit(small, "contacts.yaml", "United Kingdom", "Britain")
    made = publish(run, "--json", "--dry-run")
    assert made.code == 0
    assert (made.json["live"], made.json["why_not"]) == (False, "")
    made = publish(run, "--json")
    assert (made.code, made.json["live"], len(made.json["digest"])) == (0, True, 64)
    assert made.json["changes"] == [
        "The contact 'name' of GB now says “Britain”; before it was “United Kingdom”.",
        "The file contacts.yaml, whom callers are told to contact, changed.",
    ]
    made = publish(run, "--json")
    assert (made.code, made.json["live"]) == (1, False)
    assert "Nothing changed" in made.json["why_not"]
    assert run("versions", "--verify", "--json").json == {"versions": 2, "wrong": []}
    assert run("changes", "shipped", "live", "--json").json == [
        "The contact 'name' of GB now says “Britain”; before it was “United Kingdom”.",
        "The file contacts.yaml, whom callers are told to contact, changed.",
    ]


def test_a_draft_is_discarded_after_asking(
    run: Run, small: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Typed or --yes; anything else keeps it."""
    assert "There is no draft" in run("draft", "--discard").err
    assert "There is no draft" in publish(run).err
    run("draft")
    monkeypatch.setattr(sys, "stdin", io.StringIO("no\n"))
    assert run("draft", "--discard").code == 2
    assert small.draft.is_dir()
    monkeypatch.setattr(sys, "stdin", io.StringIO("discard\n"))
    assert run("draft", "--discard").code == 0
    assert not small.draft.is_dir()
    run("draft")
    assert run("draft", "--discard", "--yes").code == 0


@pytest.mark.any_day
def test_a_draft_that_was_overtaken(run: Run, small: Library) -> None:
    """The way out that is offered works."""
    run("draft")
    edit(small, "contacts.yaml", "United Kingdom", "Britain")
    assert publish(run).code == 0
    assert run("restore", "2026.11", "--reason", "Worse", *FEW).code == 0
    made = publish(run)
    assert made.code == 1
    assert "consult draft --build-on-live" in made.err
    assert "live now" in run("draft").out
    assert run("draft", "--build-on-live").code == 0
    assert publish(run).code == 0


def test_what_cannot_be_meant(run: Run, small: Library, tmp_path: Path) -> None:
    """Said in words, with exit code 2, and no folder is made by asking."""
    assert run("publish").code == 2
    assert "Give a reason" in publish(run, reason="  ").err
    assert "no version 9" in run("restore", "9", "--reason", "x").err
    assert "no version 9" in run("versions", "9").err
    for side in ("nowhere", "..x", ".", "/nowhere", "draft"):
        made = run("changes", side, "live") if side != "." else run("changes", "live", "nowhere")
        assert made.code == 2
    assert publish(run, "--callers", "0").code == 2
    assert "No version has been published" in run("versions").out
    assert not small.root.exists()
    assert run("changes", "live", str(tmp_path)).code == 0


def test_a_plain_folder_of_trees_has_no_versions(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What CONSULT_TREES names is left alone."""
    (tmp_path / "seating.yaml").write_text("tree: seating\n")
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    for command in (("draft",), ("versions",), ("publish", "--reason", "x")):
        made = run(*command)
        assert made.code == 2
        assert "plain folder of trees" in made.err
    assert [path.name for path in tmp_path.iterdir()] == ["seating.yaml"]


def test_a_library_that_cannot_be_written(
    run: Run, small: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sentence says what is live all the same."""
    run("draft")
    edit(small, "contacts.yaml", "United Kingdom", "Britain")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("consult.content.library.publish.write_files", full)
    made = publish(run)
    assert made.code == 2
    assert "The disk is full. 2026.11 is live." in made.err


def test_a_damaged_library_is_explained(run: Run, small: Library) -> None:
    """No command goes on with older trees; each says what is wrong, and says it once."""
    run("draft")
    edit(small, "contacts.yaml", "United Kingdom", "Britain")
    assert publish(run).code == 0
    version = live_version(small.root)
    demo = str(sorted(demo_folder().glob("*.yaml"))[0])
    commands = [
        *(("call",), ("versions",), ("check",), ("fit", "--stature", "170"), ("replay", demo)),
        *(("serve",), ("draw", "--all", "drawn"), ("batch", demo, "--out", "out.csv")),
    ]
    for live, said in (("damaged/..", "does not name a version"), (f"{version}.1", "is not in")):
        (small.root / "live").write_text(live)
        for words in commands:
            made = run(*words)
            assert made.code == 2, words
            assert made.err.count(said) == 1, words


def test_whose_country_comes_first_is_no_other_question(tmp_path: Path) -> None:
    """Nor is what is sold; another word of a caution is."""
    said = {"maker": "Boyne Seating", "country": "IE", "currency": "EUR", "units": "metric"}
    begin_folder(tmp_path / "boyne", {**said, "prices": "with tax", "greeting": "Hello."})
    draft = tmp_path / "boyne" / "library" / "draft"
    (draft / "range.yaml").write_text("range: boyne\n")
    assert read_files(draft)["wishes.yaml"] != read_files(shipped_trees())["wishes.yaml"]
    assert asks_the_same(shipped_trees(), draft)
    path = draft / "safety.yaml"
    path.write_text(path.read_text("utf-8").replace("say:", "say: Well,", 1), "utf-8")
    assert not asks_the_same(shipped_trees(), draft)


def test_calls_are_led_in_full_where_the_questions_are_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Otherwise as short as they are, where a question may be asked no more."""
    led: list[bool] = []

    def nobody(*_: object, thorough: bool, **_also: object) -> SimpleNamespace:
        led.append(thorough)
        return SimpleNamespace(lost_cautions=())

    monkeypatch.setattr(publish_judge, "effect", nobody)
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    monkeypatch.setattr(publish_judge, "transcripts_in", lambda _: ())
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: ())
    live, same, other = (write(tmp_path / name, SHIPPED) for name in ("live", "same", "other"))
    shutil.copyfile(shipped_trees() / "range.yaml", same / "range.yaml")
    path = other / "seating.yaml"
    path.write_text(path.read_text("utf-8").replace("ask:", "ask: Well,", 1), "utf-8")
    # As where something that decides differs, and pools bear on it.
    monkeypatch.setattr(publish_judge, "digest_of_proof", lambda _: object())
    monkeypatch.setattr(publish_judge, "leans_on_pools", lambda *_: True)
    for new in (same, other):
        publish_judge.judged(live, new, count=1, today=date(2026, 11, 29))
    assert led == [True, True, True, False]


@pytest.mark.parametrize(
    ("level", "instead", "edited", "is_weaker"),
    [
        ("note", "other_note", False, False),
        ("note", "", False, True),
        ("refer", "other", False, True),
        ("stop", "other", False, True),
        ("note", "other_note", True, True),
    ],
)
def test_a_note_that_gives_way_to_another(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    level: CautionLevel,
    instead: str,
    edited: bool,
    is_weaker: bool,
) -> None:
    """As at other limits of a range: nothing protects less. Never of a stop or a referral, nor
    where the trees differ."""
    lost = Lost("a_note", level, 3, 9, (), Sample("one", 1, ("weight: 150",)), instead=instead)
    found = SimpleNamespace(lost_cautions=(lost,))
    monkeypatch.setattr(publish_judge, "effect", lambda *_, **__: found)
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    monkeypatch.setattr(publish_judge, "transcripts_in", lambda _: ())
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: ())
    monkeypatch.setattr(publish_judge, "digest_of_proof", lambda _: object())
    live, new = (write(tmp_path / name, SHIPPED) for name in ("live", "new"))
    shutil.copyfile(shipped_trees() / "range.yaml", new / "range.yaml")
    if edited:
        path = new / "seating.yaml"
        path.write_text(path.read_text("utf-8").replace("Who is", "And who is"), "utf-8")
    weaker = publish_judge.judged(live, new, count=1, today=date(2026, 11, 29)).weaker
    assert any(one.what == "caution.a_note" for one in weaker) is is_weaker


def test_nobody_is_led_where_only_words_or_prices_differ(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever answers the same hears the same cautions; another condition is tried on callers."""
    led: list[str] = []

    def nobody(old: Basis, *_: object, **_also: object) -> SimpleNamespace:
        led.append(old.tree.name)
        return SimpleNamespace(lost_cautions=())

    monkeypatch.setattr(publish_judge, "effect", nobody)
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    monkeypatch.setattr(publish_judge, "transcripts_in", lambda _: ())
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: ())
    live, words, other = (write(tmp_path / name, SHIPPED) for name in ("live", "words", "other"))
    for path, before, after in (
        (words / "seating.yaml", "Who is there?", "And who is there?"),
        (words / "signs.yaml", "say: Please <contact>.", "say: Please, <contact> now."),
        (other / "signs.yaml", "legs in numb or saddle in numb", "saddle in numb"),
    ):
        text = path.read_text("utf-8")
        assert before in text
        path.write_text(text.replace(before, after), "utf-8")
    publish_judge.judged(live, words, count=1, today=date(2026, 11, 29))
    assert led == []
    publish_judge.judged(live, other, count=1, today=date(2026, 11, 29))
    assert led == ["seating"]


def test_longer_words_of_a_pool_are_tried_on_those_who_lean_on_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody else can lose a caution by them; a demo call has its answers."""
    led: list[tuple[list[int], int]] = []

    def noted(*given: Any, **_also: object) -> SimpleNamespace:
        led.append(([one.number for one in given[2]], len(given[3])))
        return SimpleNamespace(lost_cautions=())

    monkeypatch.setattr(publish_judge, "effect", noted)
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: ())
    monkeypatch.setattr(publish_judge, "leans_on_pools", lambda _, one: one.number == 2)
    live, words = (tmp_path / "live", tmp_path / "words")
    for folder in (live, words):
        shutil.copytree(shipped_trees(), folder)
    path = words / "deciding.yaml"
    path.write_text(path.read_text("utf-8").replace("ask: ", "ask: Well, now. ", 1), "utf-8")
    publish_judge.judged(live, words, count=3, today=date(2026, 11, 29))
    assert led == [([2], 0)]


def test_templates_in_use_are_not_filled_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that differs is; so is each where nothing is live to hold it against."""
    filled: list[int] = []
    monkeypatch.setattr(publish_judge, "problems_of_files", lambda *_: ())

    def fill(paths: list[Path]) -> list[Problem]:
        filled.append(len(paths))
        return []

    monkeypatch.setattr(publish_judge, "template_problems", fill)
    files = {"summary/order.md.j2": "Order", "summary/card.md.j2": "Card"}
    live, same = (write(tmp_path / name, files) for name in ("live", "same"))
    other = write(tmp_path / "other", {**files, "summary/card.md.j2": "A card"})
    publish_judge.folder_problems(same, live)
    assert filled == []
    publish_judge.folder_problems(other, live)
    publish_judge.folder_problems(same)
    assert filled == [2, 2]
