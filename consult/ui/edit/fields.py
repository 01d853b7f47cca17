"""What a form asks for, piece by piece: the words beside each field, and what may be chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from consult.content.price_list.columns import COLUMNS, NEEDED, SECTION_OF, Column, fields_of
from consult.tree.model import CARD_STEPS, SETS, AnswerKind
from consult.tree.quantities import BODY_DIMENSIONS, LENGTH_UNITS, MASS_UNITS

How = Literal["words", "line", "condition", "pick", "names", "moves", "list"]
"""Several lines, one line, a condition, one of several, names with commas, things and ways, a list
with commas."""

ANSWERS: Mapping[str, str] = {
    "yes-no": "yes or no",
    "choice": "one of several choices",
    "choices": "any number of several choices",
    "length": "a length, such as 41 cm",
    "mass": "a weight, such as 70 kg",
    "count": "a whole number",
    "text": "words, as said",
    "date": "a day",
}
LEVELS = {
    "note": "say it when it fits; the call goes on",
    "refer": "interrupts: see a clinician; the call goes on",
    "stop": "interrupts and ends the advice about chairs",
}
assert set(ANSWERS) == set(get_args(AnswerKind))


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form."""

    key: str
    """Its name in the file."""
    label: str
    how: How
    hint: str = ""
    """Shown in the empty field."""
    options: Mapping[str, str] | None = None
    """Word in the file -> what it means; None where the folder says (questions, contacts)."""
    needed: bool = False
    """Cannot be left out."""
    only: tuple[str, ...] = ()
    """Kinds of answer, or lists of parts, that it goes with; all where empty."""


_UNITS = dict.fromkeys(LENGTH_UNITS, "a length") | dict.fromkeys(MASS_UNITS, "a weight")
_SOURCE = Field(
    "source", "Source", "names", "names in sources.yaml, commas between; consult sources lists them"
)
_BECAUSE = Field("because", "Because", "words", "the reason, as the caller hears it")
_WHEN = Field("when", "When", "condition", "Enter: build the condition by choosing", needed=True)

_PLAIN_WORDS = {"true": "yes", "false": "no"}


def _of_part(column: Column) -> Field:
    """The field of a part for what a column of a price list holds."""
    kinds = [kind for kind in SECTION_OF if column.name in fields_of(kind)]
    only = () if len(kinds) == len(SECTION_OF) else tuple(SECTION_OF[kind] for kind in kinds)
    label = column.name.replace("_", " ").capitalize()
    options = {"flag": _PLAIN_WORDS, "stated": {"loaded": "", "unloaded": ""}}.get(column.holds)
    how: How = "pick" if options else "list" if column.holds == "list" else "line"
    hint = (
        f"{column.means.partition(':')[2].strip() or column.means}, in mm"
        if column.holds
        in (
            "length",
            "span",
        )
        else column.means
    )
    return Field(column.name, label, how, hint, options, needed=column.name in NEEDED, only=only)


FIELDS: Mapping[str, tuple[Field, ...]] = {
    "file": (
        Field("title", "Title", "line", "what the tree is about", needed=True),
        Field("version", "Version", "line", "2026.11", needed=True),
        Field("first", "First asked", "pick", needed=True),
        Field("after_stop", "After a stop", "pick", "the call ends"),
        Field(
            "works_out",
            "Works out",
            "pick",
            "a set-up and a chair",
            {"chair": "a set-up and a chair", "nothing": "no set-up, no chair"},
        ),
        Field(
            "reading_age",
            "Reading age",
            "line",
            "12; the age at which everything said is easy to read",
        ),
    ),
    "question": (
        Field("ask", "Wording", "words", "what the adviser says", needed=True),
        Field("coach", "Coaching", "words", "how to help the caller answer; nothing needed"),
        Field("answer", "Answer", "pick", options=ANSWERS, needed=True),
        Field("unit", "Unit", "pick", "none", _UNITS, only=("length", "mass")),
        Field(
            "expect",
            "Expect",
            "line",
            "32 to 52; an answer outside is asked again",
            only=("length", "mass", "count"),
        ),
        Field(
            "exclusive",
            "Exclusive",
            "pick",
            "none; a choice that no other can be given with",
            only=("choices",),
        ),
        Field("called", "Called", "names", "short names the adviser may type, separated by commas"),
        Field(
            "measures",
            "Measures",
            "pick",
            "none; the body measure it asks for",
            dict.fromkeys(sorted(BODY_DIMENSIONS), ""),
            only=("length", "mass"),
        ),
        Field("sets", "Sets", "pick", "none; the fact it sets", dict.fromkeys(SETS, "")),
        Field(
            "card",
            "Card",
            "pick",
            "none; the step of the caller's set-up card",
            dict.fromkeys(CARD_STEPS, ""),
        ),
        Field(
            "unknown",
            "Not known",
            "pick",
            "allowed",
            {"allowed": "the caller may not know", "refused": "it must be answered"},
        ),
        Field(
            "private",
            "Private",
            "pick",
            "no",
            {"health": "about health: needs consent first", "personal": "about the person"},
        ),
        Field(
            "read_by",
            "Read by",
            "pick",
            "the tree: a condition, blank or fact",
            {"people": "only people read the answer"},
        ),
        Field("skip_when", "Skip when", "condition", "never; Enter builds a condition"),
        Field("ask_when", "Ask when", "condition", "always; Enter builds a condition"),
    ),
    "include": (
        Field("include", "Runs the tree", "pick", needed=True),
        Field("next", "Then", "pick", needed=True),
    ),
    "pool": (Field("next", "Then", "pick", needed=True),),
    "topic": (
        Field("topic", "Runs the tree", "pick", needed=True),
        Field("title", "Title", "line", "what the list of topics calls it", needed=True),
        Field("changes", "Could change", "line", "what it could change, for the list", needed=True),
        Field("open_when", "Open when", "condition", "only if somebody opens it"),
        Field("next", "Then", "pick", needed=True),
    ),
    "caution": (
        Field("level", "Level", "pick", options=LEVELS, needed=True),
        _WHEN,
        Field("say", "Say", "words", "what the adviser says, word for word", needed=True),
        Field("contact", "Contact", "pick", "nobody; write <contact> where the words name them"),
        _SOURCE,
    ),
    "advice": (
        Field("topic", "Topic", "line", "one word, such as breaks", needed=True),
        _WHEN,
        Field("say", "Say", "words", "what the adviser says", needed=True),
        _BECAUSE,
        Field("moves", "Moves", "moves", "what the caller moves: seat lower, footrest add"),
        Field("may_move", "May move", "moves", "what the caller moves only under a condition"),
        Field("contradicts", "Never with", "names", "advice that contradicts this"),
        _SOURCE,
    ),
    "need": (
        _WHEN,
        Field("feature", "Feature", "pick", needed=True),
        Field(
            "strength",
            "Strength",
            "pick",
            options={"must": "a chair without it is not offered", "prefer": "better with it"},
            needed=True,
        ),
        _BECAUSE,
        _SOURCE,
    ),
    "part": tuple(_of_part(one) for one in COLUMNS if one.name != "kind"),
    "country": (
        Field("name", "Name", "line", "the country's name", needed=True),
        *(
            Field(key, key.replace("_", " ").capitalize(), "words", f"Please ... {said}")
            for key, said in {
                "emergency": "call 999",
                "urgent": "ring your doctor today",
                "doubt": "ring a line that answers at once",
                "maternity": "ring your maternity unit now",
                "midwife": "speak to your midwife",
                "surgical_team": "speak to the team who operated on you",
                "clinician": "speak to your doctor",
            }.items()
        ),
        Field("called", "Called", "list", "what else it is called, commas between"),
        _SOURCE,
    ),
    "always": (
        _WHEN,
        Field("then", "Then always", "condition", "Enter: build the condition", needed=True),
        Field("because", "Because", "words", "why this must be true", needed=True),
        _SOURCE,
    ),
}
"""Kind of thing -> its fields, in the order of the form."""

KINDS = {
    "file": "Tree",
    "question": "Question",
    "include": "Another tree",
    "pool": "Pool",
    "topic": "Topic",
    "caution": "Caution",
    "advice": "Advice",
    "need": "Need of the chair",
    "always": "Always true",
    "part": "Part",
    "country": "Contacts of",
    "text": "File",
}
"""What the content lead calls each."""
