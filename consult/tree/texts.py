"""What is said to people: blanks that can be filled in, reasons and sources, whom to contact."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence, Set

from consult.problems import Where, listed, nearest
from consult.tree.constant import Written, sound_condition
from consult.tree.draft import Block, Draft
from consult.tree.placeholders import BlankSum, amount_meant, amounts, blanks, sum_of
from consult.tree.quantities import QUANTITIES, unit_named
from consult.tree.questions import name_kinds
from consult.tree.settings import MAKER_BLANKS
from consult.tree.sources import COMMON_PRACTICE

QUESTION_TEXTS = ("ask", "coach", "choices")
"""Keys of a question with texts that are read out or shown."""
_ELSE = {True: "may stand in a choice", False: "or an amount, such as <110 kg>, may stand here"}
"""What a question takes, by whether it is the words of a choice, which are stored as they stand."""


_FOREIGN = re.compile(r"\$?\{+ *([a-z][a-z0-9_.]*) *\}+|%\(([a-z][a-z0-9_.]*)\)s")
"""Blanks as other programs write them: {seat_height}, {{ seat_height }}, %(seat_height)s."""
_TAG = re.compile(r"</?(?:b|i|u|em|strong|br|p|li|ul|span|div)\b[^<>]*/?>", re.I)
_STRESS = re.compile(r"\*\*(?=\S)[^*\n]+\*\*|(?<!\w)__(?=\S)[^_\n]+__(?!\w)")
_QUOTED = re.compile(
    "^[\u201e\u201c\u2018\u2019\u00ab\u00bb][^\u201c\u201d\u2019\u00ab\u00bb]*[\u201c\u201d\u2019\u00ab\u00bb]$"
)
_TWICE = re.compile(r"<<[^<>\n]*>>")
_READ_OUT = (
    (_TAG, "{} is written for a web page, and would be read out.", "Delete it."),
    (_STRESS, "{} would be read out with its signs.", "Write the words without signs."),
    (_QUOTED, "{} has quotes around it that YAML reads as part of the text.", "Delete them."),
    (_TWICE, "{} has one < and one > too many, which would be read out.", "Write one of each."),
)
"""Signs that other programs take for themselves; what is wrong, and what would be right."""
_NAME = r"([a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?)"
_ALMOST = re.compile(
    rf"(?:< +|[\[\u2039\u00ab$%@]|&lt;){_NAME}(?: *>|[\]\u203a\u00bb%]|&gt;|)"
    rf"|<{_NAME}(?![^<>\n]*>)"
)
"""What is one only with a name that can be filled in: [seat_height], < seat_height >, $weight."""


def check_texts(draft: Draft, contact_keys: Set[str] | None) -> None:
    """Note everything about texts; ``contact_keys`` is None where there is no contacts file."""
    valid = {
        *draft.questions,
        *MAKER_BLANKS,
        *(f"{owner}.{name}" for owner in ("body", "range") for name in QUANTITIES[owner]),
        *draft.figures,
    }
    for block in draft.questions.values():
        for steps in question_texts(block):
            _check_signs(block, steps, valid, draft)
            _check_asked(block, steps, draft)
        _check_labels(block, draft)
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks(part):
            here = valid | {"contact"} if "contact" in block.data else valid
            for key in ("say", "because", "source"):
                _check_blanks(block, (key,), here, draft)
            if part == "cautions":
                _check_contact(block, contact_keys, draft)
                continue
            for key, wish in (("because", "why"), ("source", "its source")):
                if block.data.get(key) is None:
                    name = block.text("name")
                    who = f"'{name}'" if name else "This"
                    message = f"{who} does not say {wish}."
                    true = f" {COMMON_PRACTICE}, if that is true." if key == "source" else ""
                    fix = f"Add {key}:{true}"
                    draft.says(block.place(), f"no-{key}", message, fix, warning=True)


def question_texts(block: Block) -> Iterator[tuple[str, ...]]:
    """The steps to each text of a question that may hold blanks."""
    yield ("ask",)
    yield ("coach",)
    choices = block.data.get("choices")
    for name in choices if isinstance(choices, dict) else ():
        yield ("choices", name)


def _check_labels(block: Block, draft: Draft) -> None:
    """Two choices that are read out in the same words, which the caller cannot tell apart."""
    choices = block.data.get("choices")
    first: dict[str, str] = {}
    for name, words in choices.items() if isinstance(choices, dict) else ():
        label = " ".join(str(words).casefold().split())
        if label in first:
            message = f"'{first[label]}' and '{name}' are read out in the same words."
            place = block.marked.value(*block.steps, "choices", name)
            draft.says(place, "same-label", message, "Change one of the two.", warning=True)
        first.setdefault(label, name)


def _check_signs(
    block: Block, steps: tuple[str, ...], valid: Collection[str], draft: Draft
) -> None:
    """Note the blanks of other programs, which would be read out as they stand."""
    text = block.text(*steps) or ""
    for pattern, message, fix in _READ_OUT:
        for match in pattern.finditer(text):
            where = block.inside(steps, match.start())
            draft.says(where, "other-blank", message.format(match.group()), fix)
    for match in (*_FOREIGN.finditer(text), *_ALMOST.finditer(text)):
        name = next(group for group in match.groups() if group)
        kinds = [kind for kind in QUANTITIES if name in QUANTITIES[kind]]
        if match.re is _ALMOST and name not in valid and not kinds:
            continue
        fix = f"Write <{f'{kinds[0]}.{name}' if kinds else name}>."
        message = f"{match.group().strip()} would be read out as it stands."
        draft.says(block.inside(steps, match.start()), "other-blank", message, fix)


def _check_asked(block: Block, steps: tuple[str, ...], draft: Draft) -> None:
    """Note every blank of a question that stays one: the adviser would read it out."""
    text = block.text(*steps) or ""
    label = steps[0] == "choices"
    for name, offset in (*blanks(text), *(amounts(text) if label else ())):
        if name in MAKER_BLANKS:
            continue
        fix = nearest(name.casefold(), MAKER_BLANKS) or (amount_meant(name) if not label else "")
        fix = fix or f"Only a blank of the settings, such as <maker.name>, {_ELSE[label]}."
        message = f"<{name}> would be read out, because nothing fills it in here."
        draft.says(block.inside(steps, offset), "unknown-blank", message, fix)


def _check_blanks(
    block: Block, steps: tuple[str, ...], valid: Collection[str], draft: Draft
) -> None:
    _check_signs(block, steps, valid, draft)
    for name, offset in blanks(block.text(*steps) or ""):
        where = block.inside(steps, offset)
        if name in valid:
            continue
        if (reckoned := sum_of(name)) is not None:
            _check_sum(reckoned, where, valid, draft)
        elif name == "contact":
            message = "This text has <contact>, but names no contact."
            fix = "Add contact: and a name from contacts.yaml to the caution."
            draft.says(where, "no-contact", message, fix)
        else:
            message = f"Nothing called <{name}> can be filled in here."
            fix = "A blank must be the name of a question, or start with fit. or body."
            fix = amount_meant(name) or nearest(name, valid) or fix
            draft.says(where, "unknown-blank", message, fix)


def _check_sum(reckoned: BlankSum, where: Where, valid: Collection[str], draft: Draft) -> None:
    """Lengths can be added up, and masses, but not both, nor what is neither."""
    units = set(reckoned.units)
    for _, name in reckoned.terms:
        if name not in valid:
            message = f"Nothing called '{name}' can be filled in here."
            draft.says(where, "unknown-blank", message, nearest(name, valid))
            return
        unit = unit_named(name)
        if name in draft.questions:
            answer = draft.questions[name].text("answer") or ""
            unit = {"length": "cm", "mass": "kg"}.get(answer, "")
        if unit not in ("cm", "kg"):
            message = f"'{name}' is no length and no mass, so it cannot be added up."
            draft.says(where, "blank-sum", message, "Write it as a blank of its own.")
            return
        units.add(unit)
    if len(units) > 1:
        message = "A length and a mass cannot be added up."
        draft.says(where, "blank-sum", message, "Use one of the two.")


def _check_contact(block: Block, keys: Set[str] | None, draft: Draft) -> None:
    contact = block.text("contact")
    if contact is None:
        return
    if "<contact>" not in (block.text("say") or ""):
        message = f"The caution names the contact '{contact}', but does not say it."
        fix = "Write Please <contact>. into say:, or delete contact:."
        draft.says(block.key("contact"), "contact-unsaid", message, fix, warning=True)
    elif keys is None:
        message = f"There is no contacts.yaml, so nobody hears whom '{contact}' is."
        fix = "Add the file with the words of each contact by country: see LANGUAGE.md."
        draft.says(block.place("contact"), "no-contacts", message, fix, warning=True)
    if keys is not None and contact not in keys:
        fix = nearest(contact, sorted(keys)) or f"It has {listed(sorted(keys))}."
        message = f"contacts.yaml has no contact '{contact}'."
        draft.says(block.place("contact"), "unknown-contact", message, fix)


# -- what must hold at the end of every call: whether it does is for the proofs to say ------------

_PARTS = {"caution": "cautions", "advice": "advice", "need": "needs"}


def check_always(draft: Draft) -> None:
    """Note what is wrong with the lines of ``always``."""
    blocks = draft.blocks("always")
    if not blocks:
        return
    kinds = name_kinds(draft)
    outcomes: dict[str, list[str]] = {owner: _names(part, draft) for owner, part in _PARTS.items()}
    outcomes["asked"] = list(draft.questions)
    for block in blocks:
        for key in ("when", "then"):
            sound_condition(block, (key,), draft, kinds, outcomes)


def check_contradicts(draft: Draft) -> None:
    """Note each ``contradicts`` that names no other advice of this tree."""
    names = _names("advice", draft)
    for block in draft.blocks("advice"):
        own = block.text("name")
        for steps, name in block.texts("contradicts"):
            if name == own:
                message = f"'{own}' cannot contradict itself."
                draft.says(block.place(*steps), "contradicts", message, "Name other advice.")
            elif name not in names:
                others = [other for other in names if other != own]
                fix = "" if draft.crowded else nearest(name, others)
                fix = fix or (f"There is {listed(others[:6])}." if others else "Delete it.")
                message = f"There is no advice '{name}'."
                draft.says(block.place(*steps), "unknown-advice", message, fix)


def _names(part: str, draft: Draft) -> list[str]:
    return [name for block in draft.blocks(part) if (name := block.text("name")) is not None]


# -- what advice says to an employer: it must tell nothing about the person who sits there --------

_SECOND_PERSON = re.compile(r"\b(?:you|your|yours|yourself)\b", re.IGNORECASE)


def check_employer(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each ``employer`` that depends on something private, or speaks to the wrong reader."""
    for written in conditions:
        words = written.block.text("employer") if written.part == "advice" else None
        if words is None:
            continue
        for name in sorted(written.condition.names):
            _check_name(name, written.block, draft)
        where = written.block.place("employer")
        for blank, _ in blanks(words):
            message = f"<{blank}> is not allowed in words for the employer."
            draft.says(where, "employer", message, "Write it without a blank.")
        if _SECOND_PERSON.search(words):
            message = "The employer's document speaks of the person, never to them."
            draft.says(where, "employer", message, "Write 'the person' in place of 'you'.")


def _check_name(name: str, block: Block, draft: Draft) -> None:
    about = ""
    if "." in name or name == "settled":
        about = "the person's body or fit"
    elif name in draft.questions:
        asked = draft.questions[name]
        if asked.text("private") is not None or asked.text("measures") is not None:
            about = "something private"
    if about:
        why = f"An employer could find out {about} from this, because its condition uses '{name}'."
        fix = "Delete employer here, or remove that name from the condition."
        draft.says(block.key("employer"), "employer", why, fix)
