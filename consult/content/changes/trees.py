"""Differences between two trees, for people who do not read YAML."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from consult.content.changes.questions import question_changes
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
from consult.content.names_in_words import quote, spaced
from consult.moves import Moves
from consult.tree.floor import GRAVITIES, the_floor
from consult.tree.model import Advice, Always, Caution, Need, Topic, Tree


def changes(old: Tree, new: Tree) -> list[Change]:
    """Every difference but the places in the files, the most serious first."""
    differences = [*rule_changes(old, new), *question_changes(old, new), *topic_changes(old, new)]
    differences += _of_the_tree(old, new)
    # Sorting keeps the order within one weight, which is that of the tree.
    return list(dict.fromkeys(sorted(differences, key=lambda change: change.weight)))


def _of_the_tree(old: Tree, new: Tree) -> Iterator[Change]:
    if old.first != new.first:
        text = f"A call now starts with {quote(new.first)}; before, with {quote(old.first)}."
        yield Change(Weight.WAY, text)
    if old.after_stop != new.after_stop:
        now, then = (
            f"goes on with {quote(step)}" if step else "ends"
            for step in (new.after_stop, old.after_stop)
        )
        text = f"After a stop caution a call now {now}; before, it {then}."
        yield Change(Weight.SAFETY, text, f"tree.{old.name}", weaker=True)
    if old.advises != new.advises:
        now, then = (advised.replace("_", " ") for advised in (new.advises, old.advises))
        text = f"The tree {quote(old.name)} now advises {now}; before, {then}."
        yield Change(Weight.SAFETY, text, f"tree.{old.name}", new.advises == "a_buyer")
    if old.fits != new.fits:
        what = "fitting" if old.declared or new.declared else "chair"
        now = f"A {what} is now worked out" if new.fits else f"No {what} is worked out any more"
        yield Change(Weight.ADVICE, f"{now} in this tree.")
    elif old.declared != new.declared:
        now, then = (
            "what fitting.yaml declares" if tree.declared else "a chair" for tree in (new, old)
        )
        yield Change(Weight.ADVICE, f"This tree now works out {now}; before, {then}.")
    if old.title != new.title:
        yield Change(Weight.WORDS, reworded("The title", old.title, new.title))
    if old.name != new.name:
        yield Change(
            Weight.REST, f"The tree is now called {quote(new.name)}, not {quote(old.name)}."
        )
    if old.version != new.version:
        yield Change(Weight.REST, f"The version is now {new.version}; it was {old.version}.")
    before, after = ([Path(file).name for file in tree.files] for tree in (old, new))
    for file in only_in(after, before):
        yield Change(Weight.WAY, f"The file {file} is now part of the tree.")
    for file in only_in(before, after):
        yield Change(Weight.WAY, f"The file {file} is no longer part of the tree.")


# -- differences in cautions, advice and needs ----------------------------------------------------

Rule = Caution | Advice | Need | Always
_SORT = {Caution: "caution", Advice: "advice", Need: "need", Always: "promise"}
CAUTION_LEVELS = ("note", "refer", "stop")
"""The mildest first."""


def rule_changes(old: Tree, new: Tree) -> Iterator[Change]:
    """Cautions first, then what must always hold, then advice and what the chair must have."""
    trees = (old, new)
    yield from _list_changes(old.cautions, new.cautions, trees)
    yield from _list_changes(old.always, new.always, trees)
    yield from _list_changes(old.advice, new.advice, trees)
    yield from _list_changes(old.needs, new.needs, trees)


def _list_changes(
    old: Sequence[Rule], new: Sequence[Rule], trees: tuple[Tree, Tree]
) -> Iterator[Change]:
    before, after = ({rule.name: rule for rule in rules} for rules in (old, new))
    gone, come = only_in(before, after), only_in(after, before)
    called = renamed(before, after, _text)
    for name in gone:
        what, weight = _called(before[name]), _weight(before[name])
        if name in called:
            text = f"{what} is now called {quote(called[name])}."
            yield Change(weight, text, _about(before[name]))
        else:
            how = said(before[name].when, trees[0])
            text = f"{what} was removed. It counted when {how}, and was: {_text(before[name])}"
            promised = isinstance(before[name], Always)
            yield Change(weight, text, _about(before[name]), promised)
    for name in come:
        if name not in called.values():
            how = said(after[name].when, trees[1])
            text = (
                f"{_called(after[name])} is new. It counts when {how}, and is: {_text(after[name])}"
            )
            yield Change(_weight(after[name]), text, _about(after[name]))
    for name, rule in before.items():
        changed = after.get(called.get(name, name))
        if changed is not None and changed is not rule:
            yield from _one(rule, changed, trees)
    for name, place in moved_members(before, after, quote):
        text = f"{_called(after[name])} moved: it is now {place}."
        yield Change(_weight(after[name]), text, _about(after[name]))


def _one(old: Rule, new: Rule, trees: tuple[Tree, Tree]) -> Iterator[Change]:
    what, weight, about = _called(old), _weight(old), _about(old)
    whose = what.removeprefix("The ")
    if isinstance(old, Caution) and isinstance(new, Caution):
        if old.level != new.level:
            lower = CAUTION_LEVELS.index(new.level) < CAUTION_LEVELS.index(old.level)
            how = "lowered" if lower else "raised"
            yield Change(weight, f"{what} was {how} from {old.level} to {new.level}.", about)
        if old.contact != new.contact:
            now, then = (
                quote(contact) if contact else "nobody" for contact in (new.contact, old.contact)
            )
            text = f"{what} now sends callers to {now}; before, to {then}."
            yield Change(weight, text, about, not _is_graver(new.contact, old.contact))
        if old.forbids != new.forbids:
            text = f"{what} now forbids {_ways(new.forbids)}; before, {_ways(old.forbids)}."
            yield Change(weight, text, about, not old.forbids.items() <= new.forbids.items())
    if not same(old.when, new.when):
        # Of a caution it is found out elsewhere whether anybody it counted for is left out.
        text = now_when(what, old.when, new.when, trees)
        yield Change(weight, text, about, isinstance(old, Always))
    match old, new:
        case Caution(), Caution():
            yield from _words(weight, what, old.say, new.say, about, weaker=old.level != "note")
        case Advice(), Advice():
            yield from _of_advice(old, new, what, weight)
        case Need(), Need():
            if old.feature != new.feature:
                now, then = quote(new.feature), quote(old.feature)
                yield Change(weight, f"{what} now asks for {now}; before, for {then}.")
            if old.strength != new.strength:
                yield Change(weight, f"{what} is now a {new.strength}; it was a {old.strength}.")
        case Always(), Always() if not same(old.then, new.then):
            now, then = said(new.then, trees[1]), said(old.then, trees[0])
            text = f"{what} now promises that {now} ({new.then.text}); before, that {then}"
            yield Change(weight, f"{text} ({old.then.text}).", about, True)
    if not isinstance(old, Caution) and not isinstance(new, Caution):
        yield from _words(Weight.WORDS, f"The reason of the {whose}", old.because, new.because)
    now, then = (_adjusted(rule) for rule in (new, old))
    if now != then:
        yield Change(weight, f"{what} now changes {now}; before, {then}.")
    cited = (", ".join(rule.source) for rule in (old, new))
    yield from _words(Weight.REST, f"The source of the {whose}", *cited)


def _of_advice(old: Advice, new: Advice, what: str, weight: Weight) -> Iterator[Change]:
    if old.topic != new.topic:
        text = f"{what} is now about {quote(new.topic)}; before, about {quote(old.topic)}."
        yield Change(weight, text)
    yield from _words(weight, what, old.say, new.say, _about(old))
    if old.contradicts != new.contradicts:
        now, then = (
            " and ".join(map(quote, names)) or "nothing"
            for names in (new.contradicts, old.contradicts)
        )
        yield Change(weight, f"{what} now contradicts {now}; before, {then}.")
    yield from _words(weight, f"{what}, to an employer,", old.employer, new.employer)
    if old.country != new.country:
        now, then = (country or "every country" for country in (new.country, old.country))
        yield Change(weight, f"{what} is now for {now}; before, for {then}.")
    for verb in ("moves", "may_move"):
        now, then = (_ways(getattr(advice, verb)) for advice in (new, old))
        if now != then:
            yield Change(weight, f"{what} now {spaced(verb)} {now}; before, {then}.")


def _ways(moves: Moves) -> str:
    return ", ".join(f"{quote(thing)}: {way}" for thing, way in moves.items()) or "nothing"


def _adjusted(rule: Rule) -> str:
    change = rule.adjusts if isinstance(rule, Advice | Need) else None
    if change is None:
        return "no figure"
    by = quote(change.question) if change.amount is None else f"{change.amount / 10:g} cm"
    return f"the {change.figure} by {by}, to at most {change.at_most / 10:g} cm"


def _words(
    weight: Weight, what: str, old: str, new: str, about: str = "", *, weaker: bool = False
) -> Iterator[Change]:
    if old != new:
        yield Change(weight, reworded(what, old, new), about, weaker)


def _is_graver(new: str | None, old: str | None) -> bool:
    """Whether a contact surely takes a caller more seriously than another."""
    contacts = the_floor().contacts
    after, before = (contacts.get(key or "") for key in (new, old))
    if after is None or before is None:
        return after is not None and old is None
    return GRAVITIES.index(after.gravity) > GRAVITIES.index(before.gravity)


def _called(rule: Rule) -> str:
    level = f" ({rule.level})" if isinstance(rule, Caution) else ""
    return f"The {_SORT[type(rule)]} {quote(rule.name)}{level}"


def _about(rule: Rule) -> str:
    return f"{_SORT[type(rule)]}.{rule.name}"


def _weight(rule: Rule) -> Weight:
    return Weight.SAFETY if isinstance(rule, (Caution, Always)) else Weight.ADVICE


def _text(rule: Rule) -> str:
    if isinstance(rule, Need):
        return f"{rule.strength} {quote(rule.feature)}."
    if isinstance(rule, Always):
        return f"{rule.then.text}."
    return quote_text(rule.say)


# -- differences in topics: which there are, their lines in the list, what opens them -------------


def topic_changes(old: Tree, new: Tree) -> Iterator[Change]:
    """Topics that were added, removed or changed."""
    for name in only_in(old.topics, new.topics):
        yield Change(Weight.WAY, f"The topic {quote(name)} was removed.")
    for name in only_in(new.topics, old.topics):
        yield Change(Weight.WAY, f"The topic {quote(name)} is new.")
    for name, place in moved_members(old.topics, new.topics, quote):
        yield Change(Weight.REST, f"The topic {quote(name)} moved: it is now {place}.")
    for name, topic in old.topics.items():
        new_topic = new.topics.get(name)
        if new_topic is None:
            continue
        what = f"The topic {quote(name)}"
        if topic.title != new_topic.title:
            yield Change(Weight.WORDS, reworded(what, topic.title, new_topic.title, "is called"))
        if topic.changes != new_topic.changes:
            yield Change(
                Weight.WORDS, reworded(what, topic.changes, new_topic.changes, "could change")
            )
        yield from _opening(topic, new_topic, (old, new))


def _opening(old: Topic, new: Topic, trees: tuple[Tree, Tree]) -> Iterator[Change]:
    what, before, after = f"The topic {quote(old.name)}", old.open_when, new.open_when
    # Where a caution rests on an answer, fewer calls may hear the question.
    names = {*old.questions, *new.questions}
    guards = not all(caution.when.names.isdisjoint(names) for caution in trees[0].cautions)
    weight, about = (Weight.SAFETY, f"topic.{old.name}") if guards else (Weight.WAY, "")
    if before is None and after is not None:
        yield Change(weight, f"{what} now opens by itself when {said(after, trees[1])}.", about)
    elif before is not None and after is None:
        text = f"{what} no longer opens by itself; before, it was when {said(before, trees[0])}."
        yield Change(weight, text, about, guards)
    elif before is not None and after is not None and not same(before, after):
        text = now_when(f"The opening of {quote(old.name)}", before, after, trees)
        yield Change(weight, text, about, guards)
