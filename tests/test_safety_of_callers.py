"""Whoever is advised has heard the warning signs, and nobody with limits is told to sit lower.

Simulated callers of every tree that advises whoever sits there. About half of them refuse consent
or hurt nowhere, and operations are far more frequent than in life.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from consult.call.state import State
from consult.content.callers.simulation import CallerSource, led_state
from consult.paths import trees_folder
from consult.tree.shares import SHARES_FILE, Shares, load_shares
from tests.call.calls import TODAY, basis_of
from tests.long import LONG

TREES = ("seating", "my_chair", "set_up", "follow_up")
CALLERS = 2000 if LONG else 100
"""Of each tree; 2,000 in a long run."""
SEED = 20_261_128

# Whom each sign leads to. Sources: NHS pages on back pain, stroke, chest pain, deep vein thrombosis
# and pressure ulcers; University Hospitals Birmingham, When to call the midwife, 2022; Leeds
# Teaching Hospitals on hip replacement. The weak hand and doubt: common practice, no source.
LISTED = {
    "stroke": "emergency",
    "chest_or_breath": "emergency",
    "saddle_numb": "emergency",
    "bladder_bowel": "emergency",
    "both_legs": "emergency",
    "weak_hand": "emergency",
    "after_accident": "emergency",
    "swollen_leg": "urgent",
    "unwell": "urgent",
    "pregnancy": "maternity",
    "operation": "surgical_team",
    "broken_skin": "urgent",
    "not_sure": "doubt",
}
LATER = {
    "pain_signs": {
        **dict.fromkeys(("cough_pain", "between_blades", "night_pain", "not_sure"), "urgent"),
        "lasting": "clinician",
    },
    "neck_when": {"neck_clumsy": "emergency"},
    "hands_when": {"hands_sudden": "emergency"},
    "upper_back_when": {"upper_blades": "urgent"},
    "lower_back_eases": {"eases_nothing": "urgent"},
    "lower_back_runs": {"runs_both": "emergency", "runs_one": "clinician"},
    "hips_where": {"hips_numb": "emergency"},
    "tailbone_when": {"tail_numb": "emergency", "tail_fall": "clinician"},
    "knees_when": {"knee_hot": "urgent"},
    "legs_feel": {
        "leg_one_swollen": "urgent",
        "legs_both_weak": "emergency",
        "leg_down_one": "clinician",
        "feet_swell": "clinician",
    },
    "rising": {
        **dict.fromkeys(("walking_aid", "wheelchair_across", "fell_rising"), "clinician"),
        "dizzy_rising": "clinician",
    },
    "body_how": {"weak_lately": "emergency"},
    "pregnant_now": {"swelled_suddenly": "maternity", "pelvis_hurts": "midwife"},
    "operation_limits": {"limits_in_force": "surgical_team", "limits_unsure": "surgical_team"},
    "trouble": {"sign_said": "doubt"},
    "last_check": {"sign_said": "doubt"},
    "still_disturbs": {"sign_said": "doubt"},
}
SIGNS = {"warning_signs": LISTED, **LATER}
REFERRED = {"clinician", "midwife"}
"""Whom a call may go on beside; limits that are not sure are a referral too."""
LOWERS = re.compile(
    r"\blower (it|the seat)\b|seat (that little bit lower|sinks?|down)|thighs lie (about )?level"
    r"|shorter gas lift|tilt the seat|seat forward",
    re.IGNORECASE,
)
LOWERING = {"feet_first", "slide_then", "height_step"}
"""Questions that have the caller lower the seat, or its front edge."""


@pytest.fixture(scope="module")
def shares(tmp_path_factory: pytest.TempPathFactory) -> Shares:
    """What callers say, with many more operations and fewer signs that end a call early."""
    told = yaml.safe_load((trees_folder() / SHARES_FILE).read_text("utf-8"))
    told["questions"]["consent"]["shares"] = {"yes": 75, "no": 25}
    told["questions"]["special_care"]["chances"].update(none=30, operation_before=45)
    told["questions"]["operation_limits"]["shares"] = {
        "limits_none": 20,
        "limits_for_good": 45,
        "limits_in_force": 5,
        "limits_unsure": 30,
    }
    file: Path = tmp_path_factory.mktemp("shares") / SHARES_FILE
    file.write_text(yaml.safe_dump(told), "utf-8")
    found, problems = load_shares(file)
    assert found is not None, problems
    return found


def said(now: State, question: str) -> set[str]:
    """The choices given to a question that was on the way."""
    step = now.step(question)
    if step is None or step.understood is None or step.understood.value is None:
        return set()
    value = step.understood.value
    return set(value) if isinstance(value, frozenset) else {str(value)}


@pytest.mark.parametrize("tree", TREES)
def test_everybody_hears_the_list_and_is_sent_the_right_way(tree: str, shares: Shares) -> None:
    """Whoever was advised heard it; each sign led to its help; limits were kept."""
    basis = basis_of(tree)
    source = CallerSource(shares, basis.population, SEED, TODAY)
    unasked = limited = advised = 0
    for number in range(1, CALLERS + 1):
        now = led_state(basis, source, number)
        heard = now.step("warning_signs") is not None
        settles = now.advice and any(
            one.advice.topic not in ("calling", "meanwhile", "service") for one in now.advice
        )
        if settles or now.fit is not None:
            advised += 1
            assert heard, number
        unasked += heard and (now.consent is not True or said(now, "pain_sites") == {"none"})
        _sent_the_right_way(now, number)
        if said(now, "operation_limits") & {"limits_for_good", "limits_unsure"}:
            limited += 1
            # A screen may be lowered; its advice says "it" as well.
            advice = [one.say for one in now.advice if one.advice.topic != "screen"]
            assert [say for say in advice if LOWERS.search(say)] == [], number
            assert not LOWERING & {step.question.name for step in now.steps}, number
    assert advised > CALLERS / 3
    assert unasked > CALLERS / 3, "too few without consent or pain"
    assert limited > CALLERS / 50, "too few with limits"


def _sent_the_right_way(now: State, number: int) -> None:
    """Every sign that was said raised a caution that sends to whom it must."""
    contacts = {one.caution.contact for one in now.cautions}
    for question, signs in SIGNS.items():
        for sign in said(now, question) & signs.keys():
            assert signs[sign] in contacts, (number, sign)
            goes_on = signs[sign] in REFERRED or sign == "limits_unsure"
            assert goes_on or now.stopped is not None, (number, sign)
            assert goes_on or now.advice == (), (number, sign)


def test_the_table_of_signs_is_whole() -> None:
    """Every choice of the lists but none is in the table, and every name of it is a choice."""
    questions = {name: one for tree in TREES for name, one in basis_of(tree).tree.questions.items()}
    for name, signs in SIGNS.items():
        assert signs.keys() <= questions[name].choices.keys(), name
    for name in ("warning_signs", "pain_signs"):
        assert SIGNS[name].keys() == questions[name].choices.keys() - {"none"}
    said_in_passing = {name for name, one in questions.items() if "sign_said" in one.choices}
    assert said_in_passing <= SIGNS.keys()
    assert questions.keys() >= LOWERING


# -- how long it takes to say ---------------------------------------------------------------------

WORDS_A_MINUTE = 150
"""Of somebody who reads aloud calmly: common practice, no source."""


def seconds(*texts: str) -> float:
    """How long it takes to say them."""
    return sum(len(text.split()) for text in texts) / WORDS_A_MINUTE * 60


@pytest.mark.parametrize("tree", TREES)
def test_the_safety_part_is_short(tree: str) -> None:
    """At most 12 signs and a minute for the list; with the question for consent 75 seconds."""
    questions = basis_of(tree).tree.questions
    listed = questions["warning_signs"]
    assert len(listed.choices.keys() - {"none", "not_sure"}) <= 12
    spoken = seconds(listed.ask, *listed.choices.values())
    assert spoken <= 60
    assert spoken + seconds(questions["consent"].ask) <= 75
