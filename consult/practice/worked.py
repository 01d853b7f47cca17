"""The worked example, a call that plays itself, and the words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from consult.call.basis import Basis
from consult.call.understand import is_unknown, understand
from consult.call.worth import taped
from consult.practice.log import Again, Ask, Close, Coach, Entered, Recommend, Say, Turn
from consult.practice.model import Persona
from consult.practice.model_call import led_exercise
from consult.practice.truth import NONE, SOME_DAY
from consult.tree.model import Question

EXAMPLE = "shown_first"
"""The caller of the example."""
WORKED_SEED = 1


@dataclass(frozen=True, slots=True)
class WorkedTurn:
    """One turn, what is typed after it, and what there is to learn from it."""

    turn: Turn
    typed: tuple[str, ...]
    """As at the desk, an entry each; empty where nothing is entered."""
    comments: tuple[str, ...]


def worked_example(basis: Basis, persona: Persona, began: datetime) -> tuple[WorkedTurn, ...]:
    """The call of an adviser who does everything right. Same inputs, same scenes."""
    log = led_exercise(basis, persona, WORKED_SEED, "guided", began)
    entries = {turn.number: list[Entered]() for turn in log.turns}
    for number, event in log.by_turn():
        if isinstance(event, Entered) and event.taken:
            entries[number].append(event)
    told: set[str] = set()
    return tuple(_scene(turn, entries[turn.number], persona, told) for turn in log.turns)


def _scene(turn: Turn, entries: list[Entered], persona: Persona, told: set[str]) -> WorkedTurn:
    comments = []
    for key, text in (*_on_act(turn, persona), *_on_entries(turn, entries, persona)):
        if key not in told:
            comments.append(text)
        told.add(key)
    typed = tuple(_typed(entered, turn, persona.questions[entered.question]) for entered in entries)
    usual = _READ_OUT if isinstance(turn.act, Coach) else _AS_BEFORE
    return WorkedTurn(turn, typed, tuple(comments) or (usual,))


_AS_BEFORE = "Asked as it is written, and entered as it was said."
_READ_OUT = "The coaching is read out, the figure said back and entered."
_NONE_OF_THESE = "Nothing on the list, so the call goes on."


def _on_act(turn: Turn, persona: Persona) -> Iterator[tuple[str, str]]:
    """What to say of what was done, under a key: what was said of it once is not said again."""
    match turn.act:
        case None:
            yield "open", _OPEN
        case Recommend():
            yield "recommend", _RECOMMEND
        case Close():
            yield "close", _CLOSE
        case Say():
            yield "say", _SAY
        case Again():
            yield turn.about + " again", _AGAIN
        case Ask() | Coach():
            yield from _on_question(persona.questions[turn.about])
    for name in turn.shown:
        yield name, persona.behaviour(name).explain


def _on_question(question: Question) -> Iterator[tuple[str, str]]:
    fact = question.sets or question.measures or ""
    if question.signs:
        yield "signs", _SIGNS
    elif question.private == "health":
        yield "health", _HEALTH
    elif taped(question):
        yield "tape", _TAPE
    elif question.pool:
        yield "pool", _POOL
    if fact in _ABOUT:
        yield fact, _ABOUT[fact]


def _on_entries(turn: Turn, entries: list[Entered], persona: Persona) -> Iterator[tuple[str, str]]:
    for entered in (entered for entered in entries if entered.question == turn.about):
        question = persona.questions[entered.question]
        if is_unknown(entered.recorded):
            yield "unknown", _UNKNOWN
        elif entered.recorded == NONE:
            yield f"{entered.question} none", _NONE_OF_THESE
        elif question.choices:
            labels = "; ".join(question.choices[name] for name in _chosen(entered, question))
            yield (
                f"{entered.question} means",
                f"On the list, what was said is: {labels.rstrip('.')}.",
            )
    if turn.about in turn.tells and not entries:
        yield f"{turn.number} doubtful", "Nothing is entered yet: the figure cannot be right."


def _chosen(entry: Entered, question: Question) -> list[str]:
    value = understand(question, entry.recorded, SOME_DAY).value
    chosen = value if isinstance(value, frozenset) else {value}
    return [name for name in question.choices if name in chosen]


def _typed(entry: Entered, turn: Turn, question: Question) -> str:
    """What an adviser types: the number of a choice, y or n, else the answer; a name before it if
    it was not asked."""
    said = entry.recorded
    if question.choices and not is_unknown(said):
        names = list(question.choices)
        said = ", ".join(str(names.index(name) + 1) for name in _chosen(entry, question))
    elif question.answer == "yes-no" and not is_unknown(said):
        said = said[:1]
    return said if entry.question == turn.about else f"/{question.name.replace('_', ' ')} {said}"


_OPEN = (
    "The phone rings. Let the caller finish: first words often say what the call is about. Nothing "
    "is entered yet."
)
_SIGNS = (
    "Everybody hears this list, word for word, before anything is measured. A sign on it goes "
    "before any chair: the call screen then shows what to say, and the advice ends."
)
_HEALTH = "This is about health, so it is asked only after a yes to the question before it."
_TAPE = (
    "This takes a tape, so the coaching is read out first. Listen for where the tape starts and "
    "where it ends: that is where most figures go wrong."
)
_POOL = (
    "From here on consult chooses what to ask: of all that is still open, what could change the "
    "chair most for the time it takes."
)
_AGAIN = "Asked once more, in the same words. Now it is a figure to enter."
_UNKNOWN = "Not known, or not told, is an answer too: a question mark. The call goes on without it."
_RECOMMEND = (
    "consult has chosen the chair by the measures and the needs. It is read out with its seat "
    "height, so that the caller can say if something sounds wrong."
)
_SAY = "A caution came up. It is read as written, and the caller's answer to it changes nothing."
_CLOSE = "The call ends. In a call of your own you see your score now."
_ABOUT = {
    "caller_name": "The name comes first, so that you can speak to somebody. Type it as it sounds.",
    "consent": (
        "You ask before any question about health, and a no is entered as a no. The call goes on "
        "either way."
    ),
    "reasons": "Why they call. Some reasons ask for a feature of the chair.",
    "stature": (
        "From the height, and then the weight, consult estimates the other measures. So only those "
        "that matter are measured with a tape."
    ),
    "weight": "Asked kindly, and once: a chair carries so much and no more.",
    "agreed": "The caller decides. If they want something else, that is noted, with the reason.",
    "topics": "Further help is only for those who want it.",
}


# -- trade words ----------------------------------------------------------------------------------
# The words of the trade, for somebody who has never heard them: what is measured, and the chair.
#
# What a measure decides is what ``fit.rules`` makes of it; the rest is common practice, no
# source.

MEASURED: Mapping[str, tuple[str, str]] = {
    "stature": (
        "Height",
        "With the weight, consult estimates every other measure from it. From memory is fine.",
    ),
    "popliteal_height": (
        "Lower leg (popliteal height)",
        "Decides how high the seat may be, so that the feet are flat on the floor.",
    ),
    "heel": ("Heel", "The shoes lift the lower leg, so the seat may be that much higher."),
    "buttock_popliteal_length": (
        "Thigh length (buttock to popliteal)",
        "Decides how deep the seat may be, so that it ends before the hollow of the knee.",
    ),
    "elbow_rest_height": (
        "Elbow height (elbow rest height)",
        "With the desk it decides how high to sit; and how high the armrests have to go.",
    ),
    "elbow_height_standing": (
        "Elbow height, standing",
        "Decides how high a desk has to go that somebody stands at.",
    ),
    "hip_breadth_sitting": ("Hip width (hip breadth)", "Decides how wide the seat has to be."),
    "thigh_clearance": (
        "Thigh thickness (thigh clearance)",
        "Decides how much room the legs need between the seat and the desk.",
    ),
    "eye_height_sitting": ("Eye height", "Decides how high the screen should stand."),
    "desk_height": (
        "Desk height",
        "If the desk is too high for the elbows, the seat goes up, and a footrest goes under the "
        "feet.",
    ),
    "desk_thickness": (
        "Desk thickness",
        "Whatever hangs under the top takes room from the legs. A drawer counts.",
    ),
}
"""Measure, as ``picture.measures`` has it -> its name and what it decides."""

OF_THE_CHAIR: Mapping[str, str] = {
    "Seat height": "From the floor to the top of the seat, with somebody on it.",
    "Gas lift": "The column under the seat. It sets the seat height; each one has its own range.",
    "Seat depth": "From the front edge of the seat to the back.",
    "Seat slide": "Lets the seat go forward or back, which makes it deeper or shorter.",
    "Backrest": "The back of the chair.",
    "Lumbar support": "The part of the back that fills the hollow above the belt.",
    "Armrests": "They carry the forearms. They should not hit the desk.",
    "Castors": "The wheels. Hard ones for carpet, soft ones for a hard floor.",
    "Rating": "The weight that a part is built for.",
    "Footrest": "Carries the feet if the seat has to be higher than the lower leg.",
    "Set-up": "What the caller does to the chair once it has come, step by step.",
    "Caution": "What is said before any advice, word for word. A stop ends the advice.",
}
"""Word -> what it means."""
