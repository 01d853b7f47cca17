"""What a form asks for, piece by piece: the words beside each field, and what may be chosen.

And how what is typed there stands in the file.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from consult.content.editing import edits
from consult.content.editing.edits_rename import NAME_FORM
from consult.content.editing.sheets import EntryKind, Place, Sheets
from consult.content.price_list.columns import (
    NEEDED_COLUMNS,
    PRICE_COLUMNS,
    PRODUCT_COLUMNS,
    SECTION_OF,
    Column,
    fields_of,
)
from consult.marked.marks import Steps
from consult.marked.plain import plain_value
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
LEVEL_WORDS = {
    "note": "say it when it fits; the call goes on",
    "refer": "interrupts: see a clinician; the call goes on",
    "stop": "interrupts and ends the advice about chairs",
}
assert set(ANSWERS) == set(get_args(AnswerKind))


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a form."""

    key: str
    """Its name in the file."""
    how: How
    hint: str = ""
    """Shown in the empty field."""
    options: Mapping[str, str] | None = None
    """Word in the file -> what it means; None where the folder says (questions, contacts)."""
    needed: bool = False
    """Cannot be left out."""
    only: tuple[str, ...] = ()
    """Kinds of answer, or lists of parts, that it goes with; all where empty."""
    named: str = ""
    """As the form has it, where that is not its name in the file."""

    @property
    def label(self) -> str:
        """As the form has it."""
        return self.named or self.key.replace("_", " ").capitalize()


_SIZES = ("length", "mass")
_NUMBERS = (*_SIZES, "count")
_UNITS = dict.fromkeys(LENGTH_UNITS, "a length") | dict.fromkeys(MASS_UNITS, "a weight")
_SOURCE = FormField(
    "source", "names", "names in sources.yaml, commas between; consult sources lists them"
)
_BECAUSE = FormField("because", "words", "the reason, as the caller hears it")
_ADJUSTS = FormField("adjusts", "line", "a figure: heel + 3 cm, at most 6 cm")
_NEXT = FormField("next", "pick", needed=True, named="Then")
_WHEN = FormField("when", "condition", "Enter: build the condition by choosing", needed=True)

_PRODUCT_NEEDS = ("code", "name", "price")
_PLAIN_WORDS = {"true": "yes", "false": "no"}


def _of_part(column: Column) -> FormField:
    """The field of a part for what a column of a price list holds."""
    kinds = [kind for kind in SECTION_OF if column.name in fields_of(kind)]
    only = () if len(kinds) == len(SECTION_OF) else tuple(SECTION_OF[kind] for kind in kinds)
    options = {"flag": _PLAIN_WORDS, "stated": {"loaded": "", "unloaded": ""}}.get(column.holds)
    how: How = "pick" if options else "list" if column.holds == "list" else "line"
    hint = column.means
    if column.holds in ("length", "span"):
        hint = f"{hint.partition(':')[2].strip() or hint}, in mm"
    return FormField(column.name, how, hint, options, column.name in NEEDED_COLUMNS, only)


FIELDS: Mapping[str, tuple[FormField, ...]] = {
    "file": (
        FormField("title", "line", "what the tree is about", needed=True),
        FormField("version", "line", "2026.11", needed=True),
        FormField("first", "pick", needed=True, named="First asked"),
        FormField("after_stop", "pick", "the call ends", named="After a stop"),
        FormField(
            "works_out",
            "pick",
            "a set-up and what range.yaml sells",
            {
                "chair": "a set-up and what range.yaml sells",
                "fitting": "what fitting.yaml declares",
                "nothing": "no set-up, no product",
            },
        ),
        FormField("reading_age", "line", "12; the age at which everything said is easy to read"),
    ),
    "question": (
        FormField("ask", "words", "what the adviser says", needed=True, named="Wording"),
        FormField(
            "coach", "words", "how to help the caller answer; nothing needed", named="Coaching"
        ),
        FormField("answer", "pick", options=ANSWERS, needed=True),
        FormField("unit", "pick", "none", _UNITS, only=_SIZES),
        FormField("expect", "line", "32 to 52; an answer outside is asked again", only=_NUMBERS),
        FormField(
            "exclusive", "pick", "none; a choice that no other can be given with", only=("choices",)
        ),
        FormField("called", "names", "short names the adviser may type, separated by commas"),
        FormField(
            "measures",
            "pick",
            "none; the body measure it asks for",
            dict.fromkeys(sorted(BODY_DIMENSIONS), ""),
            only=_SIZES,
        ),
        FormField("sets", "pick", "none; the fact it sets", dict.fromkeys(SETS, "")),
        FormField(
            "card",
            "pick",
            "none; the step of the caller's set-up card",
            dict.fromkeys(CARD_STEPS, ""),
        ),
        FormField(
            "unknown",
            "pick",
            "allowed",
            {"allowed": "the caller may not know", "refused": "it must be answered"},
            named="Not known",
        ),
        FormField(
            "private",
            "pick",
            "no",
            {"health": "about health: needs consent first", "personal": "about the person"},
        ),
        FormField(
            "read_by",
            "pick",
            "the tree: a condition, blank or fact",
            {"people": "only people read the answer", "order_team": "it stands on the order"},
        ),
        FormField("skip_when", "condition", "never; Enter builds a condition"),
        FormField("ask_when", "condition", "always; Enter builds a condition"),
    ),
    "include": (
        FormField("include", "pick", needed=True, named="Runs the tree"),
        _NEXT,
    ),
    "pool": (_NEXT,),
    "topic": (
        FormField("topic", "pick", needed=True, named="Runs the tree"),
        FormField("title", "line", "what the list of topics calls it", needed=True),
        FormField(
            "changes",
            "line",
            "what it could change, for the list",
            needed=True,
            named="Could change",
        ),
        FormField("open_when", "condition", "only if somebody opens it"),
        _NEXT,
    ),
    "caution": (
        FormField("level", "pick", options=LEVEL_WORDS, needed=True),
        _WHEN,
        FormField("say", "words", "what the adviser says, word for word", needed=True),
        FormField("contact", "pick", "nobody; write <contact> where the words name them"),
        _SOURCE,
    ),
    "advice": (
        FormField("topic", "line", "one word, such as breaks", needed=True),
        _WHEN,
        FormField("say", "words", "what the adviser says", needed=True),
        _BECAUSE,
        FormField("moves", "moves", "what the caller moves: seat lower, footrest add"),
        FormField("may_move", "moves", "what the caller moves only under a condition"),
        _ADJUSTS,
        FormField("contradicts", "names", "advice that contradicts this", named="Never with"),
        _SOURCE,
    ),
    "need": (
        _WHEN,
        FormField("feature", "pick", needed=True),
        FormField(
            "strength",
            "pick",
            options={"must": "a chair without it is not offered", "prefer": "better with it"},
            needed=True,
        ),
        _ADJUSTS,
        _BECAUSE,
        _SOURCE,
    ),
    "part": tuple(_of_part(column) for column in PRICE_COLUMNS if column.name != "kind"),
    "product_part": tuple(
        replace(_of_part(column), only=(), needed=column.name in _PRODUCT_NEEDS)
        for column in PRICE_COLUMNS
        if column.name in PRODUCT_COLUMNS and column.name != "kind"
    ),
    "quantity": (
        FormField("label", "line", "as screens and documents call it", needed=True),
        FormField("short", "line", "the same on a narrow screen; the label"),
        FormField("from", "line", "body.stature + heel - 20 mm", needed=True),
        FormField("below", "line", "how far below is still acceptable: 40 mm"),
        FormField("above", "line", "how far above is still acceptable: 20 mm"),
        FormField("within", "line", "what the parts can be set to: frame.height"),
        FormField("at_most", "line", "a limit of the parts: frame.load - top.weight"),
        FormField("at_least", "line", "a limit of the parts: top.width"),
        FormField("reason", "words", "one plain sentence for the caller", needed=True),
        _SOURCE,
    ),
    "country": (
        FormField("name", "line", "the country's name", needed=True),
        *(
            FormField(key, "words", f"Please ... {example}")
            for key, example in {
                "emergency": "call 999",
                "urgent": "ring your doctor today",
                "doubt": "ring a line that answers at once",
                "maternity": "ring your maternity unit now",
                "midwife": "speak to your midwife",
                "surgical_team": "speak to the team who operated on you",
                "clinician": "speak to your doctor",
            }.items()
        ),
        FormField("called", "list", "what else it is called, commas between"),
        _SOURCE,
    ),
    "always": (
        _WHEN,
        FormField(
            "then", "condition", "Enter: build the condition", needed=True, named="Then always"
        ),
        FormField("because", "words", "why this must be true", needed=True),
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
    "product_part": "Part",
    "quantity": "Quantity",
    "country": "Contacts of",
    "text": "File",
}
"""What the content lead calls each."""

# -- how a value shows in a field, and how what is typed there stands in the file -----------------


def field_of(kind: EntryKind, steps: Steps) -> FormField | None:
    """The field of a value that has one of its own; choices and routes have none."""
    return next((field for field in FIELDS.get(kind, ()) if steps[-1:] == (field.key,)), None)


def shown(field: FormField, place: Place, sheets: Sheets) -> str:
    """The value of a field as one types it."""
    data = sheets.data(place.inside(field.key))
    if field.how in ("names", "list") and isinstance(data, list):
        return ", ".join(sheets.value(place, field.key, at) for at in range(len(data)))
    if field.how == "moves" and isinstance(data, dict):
        return ", ".join(f"{thing} {way}" for thing, way in data.items())
    return sheets.value(place, field.key)


def with_typed(text: str, kind: EntryKind, steps: Steps, typed: str) -> str:
    """A text with what was typed for a value, taken out where it is empty and may be."""
    field = field_of(kind, steps)
    if field is None:
        return _with_value(text, steps, typed, needed=steps[-1] != "otherwise")
    words = [word.strip() for word in typed.split(",") if word.strip()]
    if kind in ("part", "product_part") or field.how == "list":
        if not typed.strip() and not field.needed:
            return edits.delete(text, steps)
        # A figure, a word or a list, as YAML reads it without quotes.
        value = words if field.how == "list" else plain_value(typed.strip())
        return edits.set_data(text, steps, value)
    if field.how == "names":
        names = list(dict.fromkeys(" ".join(word.split()) for word in words))
        if len(names) > 1:
            return edits.set_data(text, steps, names)
        return _with_value(text, steps, "".join(names))
    if field.how == "moves":
        pairs = [word.replace(":", " ").split() for word in words]
        if pairs and all(len(pair) == 2 for pair in pairs):
            return edits.set_data(text, steps, dict(pairs))
        # Half a pair stands as typed, to be told of.
        return _with_value(text, steps, typed.strip())
    return _with_value(text, steps, typed, needed=field.needed)


def _with_value(text: str, steps: Steps, value: str, *, needed: bool = False) -> str:
    if value.strip() or needed:
        return edits.set_value(text, steps, value)
    return edits.delete(text, steps)


# -- A name as trees write it, made of the words a person typed -----------------------------------

_MOST = 40
_SMALL = {
    *("a", "an", "and", "are", "at", "do", "does", "for", "how", "i", "in", "is", "it", "of"),
    *("on", "or", "please", "the", "to", "what", "which", "you", "your", "that", "this", "much"),
}


def name_from(words: str, taken: Collection[str], otherwise: str) -> str:
    """A short name nobody has yet; ``otherwise`` where the words hold no letter to make one of."""
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().casefold()
    parts = re.findall(r"[a-z0-9]+", plain)
    telling = [word for word in parts if word not in _SMALL] or parts
    name = ""
    for word in telling[:3]:
        longer = f"{name}_{word}" if name else word
        if len(longer) <= _MOST:
            name = longer
    if not NAME_FORM.fullmatch(name):
        name = f"{otherwise}_{name}"[:_MOST].rstrip("_") if name else otherwise
    unique, count = name, 2
    while unique in taken:
        unique, count = f"{name}_{count}", count + 1
    return unique
