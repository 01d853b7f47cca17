"""Differences in questions: which there are, their wording, their answers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from consult.content.changes.words import (
    Change,
    Weight,
    moved_members,
    now_when,
    only_in,
    quote_text,
    renamed,
    reworded,
    said,
    same,
)
from consult.content.names_in_words import quote
from consult.tree.model import END, Question, Route, Tree
from consult.units import to_unit

Trees = tuple["Tree", "Tree"]


def question_changes(old: Tree, new: Tree) -> Iterator[Change]:
    """Questions that were added, removed, moved or changed."""
    trees = (old, new)
    called = renamed(old.questions, new.questions, lambda asked: (asked.ask, asked.answer))
    for name in only_in(old.questions, new.questions):
        asked = old.questions[name]
        if name in called:
            text = f"The question {quote(name)} is now called {quote(called[name])}."
            yield Change(Weight.WAY, text)
        else:
            weight = Weight.SAFETY if _guards(asked, old) else Weight.WAY
            text = f"The question {quote(name)} was removed. It asked {quote_text(asked.ask)}"
            yield Change(weight, text, f"question.{name}", _warns(asked, old))
    for name in only_in(new.questions, old.questions):
        if name not in called.values():
            asked = new.questions[name]
            text = f"The question {quote(name)} is new. It asks {quote_text(asked.ask)}"
            yield Change(Weight.WAY, text)
            if asked.private:
                text = f"The new question {quote(name)} is about {_private(asked)}."
                yield Change(Weight.PRIVACY, text, f"question.{name}")
    for name, question in old.questions.items():
        other = new.questions.get(called.get(name, name))
        if other is not None and other is not question:
            yield from _one(question, other, trees)
    for name, place in moved_members(old.questions, new.questions, quote):
        text = f"The question {quote(name)} moved in the file: it is now {place}."
        yield Change(Weight.REST, text)


def _guards(asked: Question, tree: Tree) -> bool:
    """Whether a caution rests on the question."""
    return any(asked.name in caution.when.names for caution in tree.cautions)


def _warns(asked: Question, tree: Tree) -> bool:
    """Whether the question asks for warning signs, or a caution that sends to somebody reads it."""
    return bool(asked.signs or asked.cautioned) or any(
        asked.name in caution.when.names for caution in tree.cautions if caution.level != "note"
    )


def _one(old: Question, new: Question, trees: Trees) -> Iterator[Change]:
    """Whatever of a question that warns is not surely stronger counts as weaker."""
    about, warns = f"question.{old.name}", _warns(old, trees[0])
    is_grave = bool(old.signs) or old.sets == "consent"
    for change in _of_one(old, new, trees, Weight.SAFETY if is_grave else Weight.WORDS):
        weaker = change.weaker or (change.weight == Weight.SAFETY and (warns or is_grave))
        yield replace(change, about=about, weaker=weaker) if change.is_safety else change
    yield from _signs(old, new, about)
    for name in only_in(new.choices, old.choices):
        if name not in renamed(old.choices, new.choices, str).values():
            text = f"The choice {quote_text(new.choices[name])} of {quote(old.name)} is new."
            yield Change(Weight.SAFETY if warns else Weight.ANSWERS, text, about)
    if old.unknown_allowed != new.unknown_allowed:
        may = "may now be left unknown" if new.unknown_allowed else "must now be answered"
        weight = Weight.SAFETY if _guards(old, trees[0]) else Weight.ANSWERS
        text = f"The question {quote(old.name)} {may}."
        yield Change(weight, text, about, warns and new.unknown_allowed)
    if old.private != new.private:
        text = f"The question {quote(old.name)} now counts as {_private(new)}"
        less = _PRIVATE.index(new.private) < _PRIVATE.index(old.private)
        yield Change(Weight.PRIVACY, f"{text}; before, as {_private(old)}.", about, less)
    if old.stored_with_consent != new.stored_with_consent:
        how = "is now asked of everybody, and stored only with consent"
        if old.stored_with_consent:
            how = "is no longer asked of everybody and stored only with consent"
        text = f"The question {quote(old.name)} {how}."
        yield Change(Weight.PRIVACY, text, about, True)
    yield from route_changes(old, new, trees)


_PRIVATE = (None, "personal", "health")
"""The least private first."""


def _signs(old: Question, new: Question, about: str) -> Iterator[Change]:
    """Which choice names which warning sign, which is for doubt, and that each is cautioned."""
    of_question = f"of {quote(old.name)}"
    for choice in dict.fromkeys((*old.signs, *new.signs)):
        before, after = old.signs.get(choice, ()), new.signs.get(choice, ())
        if before != after:
            now, then = (" and ".join(map(quote, names)) or "no sign" for names in (after, before))
            text = f"The choice {quote(choice)} {of_question} now names {now}; before, {then}."
            yield Change(Weight.SAFETY, text, about, not set(before) <= set(after))
    if list(old.signs) != list(new.signs) and set(old.signs) == set(new.signs):
        text = f"The warning signs {of_question} are in a different order in the file."
        yield Change(Weight.SAFETY, text, about)
    if old.doubt != new.doubt:
        now, then = (quote(doubt) if doubt else "none" for doubt in (new.doubt, old.doubt))
        text = (
            f"The choice {of_question} for callers who are not sure is now {now}; before, {then}."
        )
        yield Change(Weight.SAFETY, text, about, old.doubt is not None)
    if old.cautioned != new.cautioned:
        has = "now has" if new.cautioned else "no longer has"
        text = f"Every choice {of_question} {has} to raise a caution by itself."
        yield Change(Weight.SAFETY, text, about, old.cautioned)


def _of_one(old: Question, new: Question, trees: Trees, words: Weight) -> Iterator[Change]:
    what = f"The question {quote(old.name)}"
    guards = Weight.SAFETY if _guards(old, trees[0]) else None
    if old.ask != new.ask:
        yield Change(words, reworded(what, old.ask, new.ask, "asks"))
    if old.coach != new.coach:
        yield Change(words, reworded(f"The help for {quote(old.name)}", old.coach, new.coach))
    if old.called != new.called:
        now, then = (", ".join(names) or "nothing else" for names in (new.called, old.called))
        yield Change(Weight.REST, f"{what} is now known as {now}; before, as {then}.")
    if old.answer != new.answer:
        text = f"{what} now takes a {new.answer}; before, a {old.answer}."
        yield Change(guards or Weight.ANSWERS, text)
    yield from _choices(old, new, guards or Weight.ANSWERS, guards or Weight.WORDS)
    yield from _measuring(old, new, what)
    spared = guards if new.asked_if or new.pool is not None else None
    yield from _asking(old, new, what, trees, spared or Weight.WAY)


def _private(asked: Question) -> str:
    return {"health": "health", "personal": "personal data"}.get(asked.private or "", "not private")


def _measuring(old: Question, new: Question, what: str) -> Iterator[Change]:
    for verb, before, after in (
        ("measures", old.measures, new.measures),
        ("sets", old.sets, new.sets),
        ("reads the card of", old.card, new.card),
    ):
        if before != after:
            now, then = (quote(name) if name else "nothing" for name in (after, before))
            consent = "consent" in (before, after)
            weight = Weight.PRIVACY if consent else Weight.ANSWERS
            text = f"{what} now {verb} {now}; before, {then}."
            yield Change(weight, text, weaker=consent)
    if old.for_order_team != new.for_order_team:
        now = "now" if new.for_order_team else "no longer"
        yield Change(Weight.PRIVACY, f"{what} is {now} shown to the order team.")
    if old.unit != new.unit:
        now, then = (unit or "no unit" for unit in (new.unit, old.unit))
        yield Change(Weight.ANSWERS, f"{what} is now read in {now}; before, in {then}.")
    if old.expect != new.expect:
        text = f"{what} now expects {_span(new)}; before, {_span(old)}."
        yield Change(Weight.ANSWERS, text)


def _span(asked: Question) -> str:
    """The usual values in the question's own unit."""
    if asked.expect is None:
        return "anything"
    low, high = asked.expect
    if asked.unit is not None:
        low, high = to_unit(low, asked.unit), to_unit(high, asked.unit)
    # As short as it can be without two different values reading alike.
    return f"{round(low, 6):.15g} to {round(high, 6):.15g}{f' {asked.unit}' if asked.unit else ''}"


def _asking(
    old: Question, new: Question, what: str, trees: Trees, weight: Weight
) -> Iterator[Change]:
    """When it is skipped, when it is asked, in which pool, and in which topic."""
    for before, after, is_so, gone, subject in (
        (old.skip_when, new.skip_when, "is now skipped", "is no longer skipped", "skipping"),
        (old.ask_when, new.ask_when, "is now asked only", "is asked of everybody", "asking"),
    ):
        if before is None and after is not None:
            yield Change(weight, f"{what} {is_so} when {said(after, trees[1])}.")
        elif before is not None and after is None:
            yield Change(weight, f"{what} {gone}; before, it was when {said(before, trees[0])}.")
        elif before is not None and after is not None and not same(before, after):
            text = now_when(f"The {subject} of {quote(old.name)}", before, after, trees)
            yield Change(weight, text)
    if old.pool != new.pool:
        now, then = (
            f"in the pool {quote(pool)}, where it is worth its time" if pool else "on the way"
            for pool in (new.pool, old.pool)
        )
        yield Change(weight, f"{what} is now asked {now}; before, {then}.")
    if old.topic != new.topic:
        now, then = (
            f"in the topic {quote(topic)}, where that is open" if topic else "in every call"
            for topic in (new.topic, old.topic)
        )
        yield Change(weight, f"{what} is now asked {now}; before, {then}.")


def _choices(old: Question, new: Question, weight: Weight, words: Weight) -> Iterator[Change]:
    of_question = f"of {quote(old.name)}"
    called = renamed(old.choices, new.choices, str)
    for name in only_in(old.choices, new.choices):
        if name in called:
            text = f"The choice {quote_text(old.choices[name])} {of_question} is now called"
            yield Change(weight, f"{text} {quote(called[name])}, not {quote(name)}.")
        else:
            yield Change(
                weight, f"The choice {quote_text(old.choices[name])} {of_question} was removed."
            )
    for name, label in old.choices.items():
        now = new.choices.get(name, label)
        if now != label:
            text = reworded(f"The choice {quote(name)} {of_question}", label, now)
            yield Change(words, text)
    labels = new.choices
    for name, place in moved_members(
        old.choices, labels, lambda choice: quote_text(labels[choice])
    ):
        yield Change(
            Weight.WORDS, f"The choice {quote_text(labels[name])} {of_question} is now {place}."
        )
    if old.exclusive != new.exclusive:
        now, then = (
            quote(choice) if choice else "none" for choice in (new.exclusive, old.exclusive)
        )
        text = f"The exclusive choice {of_question} is now {now}; before, {then}."
        yield Change(weight, text)


# -- differences in the routes of questions -------------------------------------------------------


def route_changes(old: Question, new: Question, trees: tuple[Tree, Tree]) -> Iterator[Change]:
    """Routes that were added, removed, changed or reordered."""
    before, after = (_by_condition(question.routes) for question in (old, new))
    heading = f"After {quote(old.name)}"
    is_grave = old.sets == "consent" or bool(old.signs)

    def when(route: Route, asked: Question) -> str:
        if route.when is None:
            return "otherwise" if len(asked.routes) > 1 else "always"
        return f"when {said(route.when, trees[1] if asked is new else trees[0])}"

    def change(text: str, *routes: Route) -> Change:
        if not is_grave and not any(_is_grave(route, tree) for route in routes for tree in trees):
            return Change(Weight.WAY, text)
        return Change(Weight.SAFETY, text, f"question.{old.name}", weaker=True)

    for key in only_in(before, after):
        route = before[key]
        text = f"{heading}, the route to {_to(route)} {when(route, old)} was removed."
        yield change(text, route)
    for key in only_in(after, before):
        route = after[key]
        text = f"{heading}, a route to {_to(route)} {when(route, new)} is new."
        yield change(text, route)
    for key, route in before.items():
        other = after.get(key)
        if other is not None and other.go != route.go:
            how = when(other, new)
            text = f"{heading}, the call {how} goes to {_to(other)} now; before, to {_to(route)}."
            yield change(text, route, other)
    for key, place in moved_members(before, after, lambda pair: f"the one to {_to(after[pair])}"):
        route = after[key]
        text = f"{heading}, the route to {_to(route)} {when(route, new)} is now tried {place}."
        yield change(text, route)


def _is_grave(route: Route, tree: Tree) -> bool:
    """Whether a route leads to warning signs, or reads what was said to consent."""
    to = tree.questions.get(route.go)
    if to is not None and to.signs:
        return True
    read = () if route.when is None else route.when.names
    return any(name in tree.questions and tree.questions[name].sets == "consent" for name in read)


def _by_condition(routes: tuple[Route, ...]) -> dict[tuple[str, int], Route]:
    """Routes by what they ask; two that ask the same are told apart by their order."""
    keyed: dict[tuple[str, int], Route] = {}
    for route in routes:
        text = "" if route.when is None else " ".join(route.when.text.split())
        twin = sum(1 for known, _ in keyed if known == text)
        keyed[text, twin] = route
    return keyed


def _to(route: Route) -> str:
    return "the end of the call" if route.go == END else quote(route.go)
