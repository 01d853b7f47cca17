"""The answer of a simulated caller, random by caller and question only.

Defaults, for what the callers file says nothing of:

=============  ================================================================================
choice         every choice as often as the others; yes and no too
choices        every choice as likely as the others, half as many again as one each
length, mass,  around the middle of ``expect``, with a quarter of its width as standard
count          deviation; without one around 300 mm, 75 kg or 5, with a third of that
date           in one to six weeks
text           the caller's number for a name, else a few plain words
=============  ================================================================================
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from consult.content.callers.chance import normal, normal_within, one_of, some_of, uniform
from consult.content.callers.rounded import rounded
from consult.tree.model import SETS_CHOICES
from consult.tree.shares import chances_of, number_of, weights_of

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.content.callers.person import Person
    from consult.tree.model import Question
    from consult.tree.shares import Entry, Shares

NOT_KNOWN = "?"

_WEEKS = ("a week", "2 weeks", "3 weeks", "4 weeks", "5 weeks", "6 weeks")
_AS_IT_COMES = "as it comes"


def says(
    question: Question, caller: Person, population: Population, shares: Shares, known_as: str
) -> str:
    """What the caller says, as the adviser types it.

    ``known_as`` is the name that chance goes by: the question's own, or the one it had before.
    """
    entry = shares.questions.get(known_as) or shares.questions.get(question.name)
    key = (caller.seed, caller.number, known_as)
    if question.unknown_allowed:
        stated = entry.unknown if entry is not None else None
        unknown = shares.unknown if stated is None else stated
        if uniform(*key, "not known") < unknown / 100:
            return NOT_KNOWN
    match question.answer:
        case "choice":
            return one_of(_choice_weights(question, caller, entry), *key)
        case "yes-no":
            named = entry.shares if entry else {}
            return one_of(weights_of(("yes", "no"), named), *key)
        case "choices":
            return ", ".join(_several(question, entry, key))
        case "length" | "mass" | "count":
            return rounded(question, _measure(question, caller, population, entry, known_as))
        case "date":
            said = entry.says if entry and entry.says else tuple(f"in {one}" for one in _WEEKS)
            return _any_of(said, key)
        case "text":
            if question.sets == "caller_name" and not (entry and entry.says):
                return f"Caller {caller.number}"
            return _any_of(entry.says if entry and entry.says else (_AS_IT_COMES,), key)


def _several(question: Question, entry: Entry | None, key: tuple[str | int, ...]) -> list[str]:
    share, chances = chances_of(question, entry.chances if entry else {})
    if question.exclusive is not None and uniform(*key, "alone") < share:
        return [question.exclusive]
    found = some_of(chances, *key)
    return [name for name in question.choices if name in found]


def _choice_weights(question: Question, caller: Person, entry: Entry | None) -> Mapping[str, float]:
    """A caller who says her sex, or how she knows her stature, says what is true."""
    true = ""
    if question.sets == "sex":
        true = caller.sex
    elif question.sets == "stature_origin":
        true = "remembered" if caller.remembers else "measured"
    named = entry.shares if entry else {}
    if true not in question.choices:
        return weights_of(list(question.choices), named)
    told = SETS_CHOICES[question.sets or ""]
    others = [name for name in question.choices if name not in told]
    even = 100 / len(question.choices)
    weights = {name: named.get(name, even) for name in others}
    return {**weights, true: max(100 - sum(weights.values()), even)}


def _measure(
    question: Question,
    caller: Person,
    population: Population,
    entry: Entry | None,
    known_as: str,
) -> float:
    """mm, kg or a plain number, as the caller reads it."""
    key = (caller.seed, caller.number, known_as)
    dimension = question.measures
    if dimension is not None and dimension in caller.body:
        true = caller.body[dimension]
        bias, sd = 0.0, population.measurement_sd(dimension)
        if dimension == "stature" and caller.remembers and population.remembered_sd is not None:
            bias, sd = population.remembered_bias or 0.0, population.remembered_sd
        if dimension == "weight":
            bias, sd = -population.understated * true, population.told_sd(dimension, true)
        return true + bias + sd * normal(*key, "error")
    mean, spread = number_of(question, entry)
    within = entry.within if entry is not None else None
    if within is not None and within.of == question.answer:
        return normal_within(mean, spread, within.low, within.high, *key, "value")
    return max(mean + spread * normal(*key, "value"), 0.0)


def _any_of(said: Sequence[str], key: tuple[str | int, ...]) -> str:
    return one_of(dict.fromkeys(said, 1.0), *key, "said")
