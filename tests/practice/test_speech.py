"""What callers say, and what every kind of behaviour does to it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from consult.practice.log import Act, Again, Ask, Close, Coach, Recommend, Say, Turn
from consult.practice.model import Manner, Persona
from consult.practice.speech import reply
from consult.practice.ways import Ways
from consult.units import parse_length, parse_mass
from tests.practice.callers import little

BODY = "body: {stature: 1580 mm, popliteal_height: 380 mm, weight: 60 kg}\n"


def talk(persona: Persona, *acts: Act | None, seed: int = 1) -> list[Turn]:
    """A conversation made of these acts."""
    turns: tuple[Turn, ...] = ()
    for act in acts:
        turns = (*turns, reply(persona, seed, turns, act))
    return list(turns)


def behaving(folder: Path, behaviour: str, more: str = "") -> Persona:
    """A caller of the little tree with one behaviour."""
    lines = "\n    ".join(behaviour.strip().splitlines())
    said = f"{BODY}{more}behaviours:\n  - name: it\n    explain: It was so.\n    {lines}\n"
    return little(folder, said)[1]


def leg(turn: Turn) -> float:
    """mm of the lower leg that a careful listener heard."""
    return parse_length(turn.tells["leg"]).value


WRONG_TAPE = """
kind: wrong_tape
at: leg
off: 8 cm
says: [Up to the top of the knee.]
"""


@pytest.mark.parametrize("mend", [Again("leg"), Coach("leg"), Ask("leg")])
def test_a_wrong_tape_is_mended_by_asking_again(tmp_path: Path, mend: Act) -> None:
    """The figure is off by what the file says, and heard to be; asked again it is right."""
    persona = behaving(tmp_path, WRONG_TAPE)
    first, then = talk(persona, Ask("leg"), mend)
    assert first.shown == ("it",)
    assert first.caller.startswith("Up to the top of the knee. ")
    assert leg(first) == pytest.approx(persona.measured["leg"] + 80, abs=2.5)
    assert first.true == {"leg": "38.0 cm"}
    assert then.shown == ()
    assert leg(then) == pytest.approx(persona.measured["leg"], abs=2.5)
    assert then.caller != first.caller


def test_coaching_beforehand_prevents_a_wrong_tape(tmp_path: Path) -> None:
    """Who is told how to measure first does not measure wrongly."""
    (turn,) = talk(behaving(tmp_path, WRONG_TAPE), Coach("leg"))
    assert turn.shown == ()
    assert leg(turn) < 420
    assert turn.adviser == "Take your shoes off. How long is your lower leg?"


def test_shoes_add_the_heel(tmp_path: Path) -> None:
    """A leg measured with shoes on is longer by the heel of the truth; barefoot it is not."""
    persona = behaving(tmp_path, "kind: shoes_on\nat: leg\n", "truth: {heel: 4 cm}\n")
    first, then = talk(persona, Ask("leg"), Again("leg"))
    assert first.shown == ("it",)
    assert leg(first) - leg(then) == pytest.approx(40, abs=5)


def test_rounding_is_mended(tmp_path: Path) -> None:
    """A coarse figure comes with an about; asked again it is exact."""
    persona = behaving(tmp_path, "kind: rounds\nat: leg\n")
    first, then = talk(persona, Ask("leg"), Again("leg"))
    assert first.tells["leg"] == "about 40 cm"
    assert first.shown == ("it",)
    assert then.shown == ()
    assert not then.tells["leg"].startswith("about")
    assert leg(then) == pytest.approx(persona.measured["leg"], abs=2.5)


@pytest.mark.parametrize("kind", ["vague", "hurry"])
def test_no_answer_at_first(tmp_path: Path, kind: str) -> None:
    """A vague or hasty caller gives nothing to enter until asked again."""
    persona = behaving(tmp_path, f"kind: {kind}\nat: hours\nsays: ['Oh, the usual.']\n")
    first, then = talk(persona, Ask("hours"), Again("hours"))
    assert first.tells == {}
    assert first.caller == "Oh, the usual."
    assert first.shown == ("it",)
    assert "hours" in then.tells
    assert then.shown == ()


def test_a_question_back_is_answered_with_the_question(tmp_path: Path) -> None:
    """A caller who asks what it is for hears that, and then answers."""
    more = "kind: hurry\nat: weight\nsays: [What for?]\nbecause: It has to carry you.\n"
    first, then = talk(behaving(tmp_path, more), Ask("weight"), Again("weight"))
    assert (first.caller, first.tells) == ("What for?", {})
    assert then.adviser == "It has to carry you. What do you weigh?"
    assert "weight" in then.tells


def test_a_stop_is_pressed_against_once(tmp_path: Path) -> None:
    """Any stop, but no referral, is talked down the first time that it is said."""
    persona = behaving(tmp_path, "kind: presses\nat: stop\nsays: [Just send the chair.]\n")
    referral, stop = Say("getting_worse", "refer", "See them."), Say("feverish", "stop", "Ring.")
    turns = talk(persona, Ask("signs"), referral, stop, stop)
    assert [turn.shown for turn in turns] == [(), (), ("it",), ()]
    assert turns[2].caller == "Just send the chair."
    assert turns[3].caller not in ("", "Just send the chair.")


@pytest.mark.parametrize("kind", ["vague", "hurry", "for_somebody_else"])
def test_what_has_no_words_of_its_own_has_shared_ones(tmp_path: Path, kind: str) -> None:
    """A behaviour without words says those of the words file."""
    (turn,) = talk(behaving(tmp_path, f"kind: {kind}\nat: leg\n"), Ask("leg"))
    assert turn.caller
    assert turn.tells == {}


def test_the_sitter_is_fetched_once(tmp_path: Path) -> None:
    """Nothing of the body is known until one question is insisted on; then all is."""
    persona = behaving(tmp_path, "kind: for_somebody_else\n")
    turns = talk(
        persona,
        Ask("kind"),
        Ask("stature"),
        Ask("leg"),
        Again("leg"),
        Ask("weight"),
        Ask("stature"),
    )
    assert [turn.about for turn in turns if turn.tells] == ["kind", "leg", "weight", "stature"]
    assert [turn.about for turn in turns if turn.shown] == ["stature", "leg"]


def test_units_change_at_one_question(tmp_path: Path) -> None:
    """A metric caller says one figure in inches, and goes on saying so."""
    persona = behaving(tmp_path, "kind: mixes_units\nat: leg\n")
    first, then, other = talk(persona, Ask("leg"), Again("leg"), Ask("stature"))
    assert first.tells["leg"].endswith(" in")
    assert then.tells["leg"].endswith(" in")
    assert first.shown == then.shown == ("it",)
    assert other.tells["stature"].endswith(" cm")
    assert leg(first) == pytest.approx(persona.measured["leg"], abs=6.4)


def test_a_fact_is_volunteered_once(tmp_path: Path) -> None:
    """It comes with the first answer, means what is true, and is not said again."""
    persona = behaving(
        tmp_path,
        "kind: volunteers\nat: name\nabout: hours\nsays: [I sit eight hours.]\n",
        "truth: {hours: 8}\n",
    )
    first, then = talk(persona, Ask("name"), Ask("name"))
    assert first.tells["hours"] == "8"
    assert first.caller.endswith("I sit eight hours.")
    assert set(first.true) == {"name", "hours"}
    assert "hours" not in then.tells
    assert then.shown == ()


def test_remarks_may_come_in_the_first_words(tmp_path: Path) -> None:
    """What is at the opening is said before anything was asked."""
    persona = behaving(
        tmp_path,
        "kind: sign_in_passing\nat: opening\nabout: signs\nanswer: fever\nsays: [I feel hot.]\n",
        "opening: [Hello.]\n",
    )
    opening, later = talk(persona, None, Ask("signs"))
    assert opening.caller == "Hello. I feel hot."
    assert opening.tells == {"signs": "fever"}
    assert later.tells == {"signs": "fever"}


def test_a_sign_may_be_denied_until_it_is_mentioned(tmp_path: Path) -> None:
    """Asked first, the caller says none; asked once more, or after the remark, what is true."""
    persona = behaving(
        tmp_path,
        "kind: sign_in_passing\nat: leg\nabout: signs\nanswer: fever\nsays: [I feel hot.]\n"
        "denied_first: yes\n",
    )
    denied, remark, asked = talk(persona, Ask("signs"), Ask("leg"), Ask("signs"))
    assert (denied.tells, denied.true) == ({"signs": "none"}, {"signs": "fever"})
    assert remark.tells["signs"] == asked.tells["signs"] == "fever"
    assert talk(persona, Ask("leg"), Ask("signs"))[1].tells == {"signs": "fever"}
    assert talk(persona, Ask("signs"), Again("signs"))[1].tells == {"signs": "fever"}


def test_a_contradiction_settles(tmp_path: Path) -> None:
    """The remark is untrue; asked about it the caller says what is true."""
    persona = behaving(
        tmp_path,
        "kind: contradicts\nat: heel\nabout: kind\nanswer: adjustable\nsays: [It moves.]\n"
        "mends: [I mixed that up.]\n",
        "truth: {kind: fixed}\n",
    )
    before, other, settled = talk(persona, Ask("kind"), Ask("heel"), Again("kind"))
    assert before.tells == {"kind": "fixed"}
    assert other.tells["kind"] == "adjustable"
    assert other.true["kind"] == "fixed"
    assert settled.tells == {"kind": "fixed"}
    assert settled.caller.startswith("I mixed that up. ")


def test_consent_is_refused_at_first(tmp_path: Path) -> None:
    """The first answer is a no in the caller's words; asked later it is what is true."""
    behaviour = "kind: refuses_consent\nat: consent\nsays: [Rather not.]\n"
    first, then = talk(behaving(tmp_path, behaviour), Ask("consent"), Ask("consent"))
    assert (first.tells, first.caller) == ({"consent": "no"}, "Rather not.")
    assert then.tells == {"consent": "yes"}
    never = behaving(tmp_path, behaviour, "truth: {consent: no}\n")
    assert talk(never, Ask("consent"), Ask("consent"))[1].tells == {"consent": "no"}


def test_own_words_are_said_as_written(tmp_path: Path) -> None:
    """A choice is said in the words of the file, word for word, markup and all."""
    more = "truth: {kind: fixed}\nsays: {kind: {fixed: ['[b]It {answer} stays[/b] 🙂']}}\n"
    (turn,) = talk(little(tmp_path, more)[1], Ask("kind"))
    assert turn.caller == "[b]It {answer} stays[/b] 🙂"
    assert turn.tells == {"kind": "fixed"}


def test_several_choices_are_joined(tmp_path: Path) -> None:
    """Labels become one phrase, and what is told names the choices."""
    (turn,) = talk(little(tmp_path, "truth: {sites: [neck, back]}\n")[1], Ask("sites"))
    assert "The back, and the neck" in turn.caller
    assert turn.tells == {"sites": "back, neck"}


def test_not_known_is_said_and_told(tmp_path: Path) -> None:
    """Who does not know says so, and the listener enters that."""
    (turn,) = talk(little(tmp_path, "truth: {leg: '?'}\n")[1], Ask("leg"))
    assert turn.tells == {"leg": "?"}
    assert turn.caller


def test_words_vary_with_the_seed_and_the_meaning_does_not(tmp_path: Path) -> None:
    """Yes is said in many ways, and a figure too; what is told stays."""
    persona = little(tmp_path, f"{BODY}truth: {{consent: yes, kind: fixed}}\n")[1]
    plain = replace(persona, ways=replace(_ways(persona), answers={}))
    yes = [talk(plain, Ask("consent"), seed=seed)[0] for seed in range(80)]
    assert len({turn.caller for turn in yes}) >= 8
    assert {turn.tells["consent"] for turn in yes} == {"yes"}
    legs = [talk(plain, Ask("leg"), seed=seed)[0] for seed in range(80)]
    assert len({turn.caller for turn in legs}) >= 12
    assert len({turn.tells["leg"] for turn in legs}) == 1


def test_units_follow_the_manner(tmp_path: Path) -> None:
    """Metric, imperial, and mixed, which keeps feet and stones for height and weight."""
    persona = little(tmp_path, BODY)[1]
    told = {}
    for units in ("metric", "imperial", "mixed"):
        one = replace(persona, manner=Manner(units=units))
        told[units] = [turn.tells[turn.about] for turn in talk(one, Ask("stature"), Ask("weight"))]
    assert all(said.endswith((" cm", " kg")) for said in told["metric"])
    assert told["imperial"] == told["mixed"]
    assert told["mixed"][0].startswith("5 ft")
    assert " st" in told["mixed"][1]
    assert parse_mass(told["mixed"][1]).value == pytest.approx(persona.measured["weight"], abs=0.3)


def test_manners_show(tmp_path: Path) -> None:
    """Vague callers say about, hasty and chatty ones remark something, none of it twice."""
    persona = little(tmp_path, BODY)[1]
    vague = replace(persona, manner=Manner(vague=1.0))
    assert talk(vague, Ask("leg"))[0].tells["leg"].startswith("about ")
    acts = [Ask(name) for name in persona.questions] * 3
    for manner, list_ in ((Manner(hurry=True), "hurry"), (Manner(chatty=True), "chatty")):
        turns = talk(replace(persona, manner=manner), *acts)
        for phrase in _ways(persona).of("plain", list_):
            assert sum(phrase in turn.caller for turn in turns) <= 1
        made = _ways(persona).of("plain", list_)
        assert any(phrase in turn.caller for turn in turns for phrase in made)


def test_a_way_of_speaking_is_kept_to(tmp_path: Path) -> None:
    """A brisk caller has the brisk words for yes."""
    persona = little(tmp_path, "manner: {way: brisk}\ntruth: {consent: yes}\n")[1]
    bare = replace(persona, ways=replace(_ways(persona), answers={}))
    for seed in range(20):
        turn = talk(bare, Ask("consent"), seed=seed)[0]
        assert turn.caller in _ways(persona).ways["brisk"]["yes"]


def test_what_is_no_question_is_answered_too(tmp_path: Path) -> None:
    """A caution, a chair, no chair, and the end: each has its reply and tells nothing."""
    persona = little(tmp_path)[1]
    turns = talk(
        persona,
        Say("feverish", "stop", "Please ring somebody."),
        Say("getting_worse", "refer", "Have it seen."),
        Say("a_note", "note", "By the way."),
        Recommend(("A", "B"), 450.0, "This chair."),
        Recommend((), None, "None."),
        Close(),
    )
    lists = ("on_stop", "on_refer", "on_note", "on_recommendation", "on_no_chair", "goodbye")
    for turn, name in zip(turns, lists, strict=True):
        assert turn.caller in _ways(persona).phrases[name]
        assert turn.tells == {}
    assert turns[0].adviser == "Please ring somebody."
    assert [turn.number for turn in turns] == [1, 2, 3, 4, 5, 6]


def test_a_question_the_tree_lacks_is_a_key_error(tmp_path: Path) -> None:
    """Whoever asks by name has to ask by a name of the tree."""
    with pytest.raises(KeyError):
        talk(little(tmp_path)[1], Ask("nothing"))


def _ways(persona: Persona) -> Ways:
    return persona.ways
