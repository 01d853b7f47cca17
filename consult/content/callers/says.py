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

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from consult.body.derived import derived_from, with_derived
from consult.body.measured import Sex
from consult.body.population import Array, Group, Population
from consult.content.callers.chance import normal, normal_within, one_of, rounded, some_of, uniform
from consult.tree.model import SETS_CHOICES, Question
from consult.tree.shares import QuestionShares, Shares, chances_of, usual_number, weights_of

SAYS_NOT_KNOWN = "?"

_WEEKS = ("a week", "2 weeks", "3 weeks", "4 weeks", "5 weeks", "6 weeks")
_AS_IT_COMES = "as it comes"


def says(
    question: Question,
    caller: Person,
    population: Population,
    shares: Shares,
    known_as: str,
    had: Collection[str] = (),
) -> str:
    """What the caller says, as the adviser types it.

    ``known_as`` is the name that chance goes by: the question's own, or the one it had before;
    ``had`` are the choices it had then. One more of several is then given beside them and takes
    none of them away.
    """
    entry = shares.questions.get(known_as) or shares.questions.get(question.name)
    key = (caller.seed, caller.number, known_as)
    if question.unknown_allowed:
        stated = entry.unknown if entry is not None else None
        unknown = shares.unknown if stated is None else stated
        if uniform(*key, "not known") < unknown / 100:
            return SAYS_NOT_KNOWN
    match question.answer:
        case "choice":
            return one_of(_choice_weights(question, caller, entry), *key)
        case "yes-no":
            named = entry.shares if entry else {}
            return one_of(weights_of(("yes", "no"), named), *key)
        case "choices":
            return ", ".join(_several(question, entry, key, had))
        case "length" | "mass" | "count":
            return rounded(question, _measure(question, caller, population, entry, known_as))
        case "date":
            wordings = entry.says if entry and entry.says else tuple(f"in {day}" for day in _WEEKS)
            return _any_of(wordings, key)
        case "text":
            if question.sets == "caller_name" and not (entry and entry.says):
                return f"Caller {caller.number}"
            return _any_of(entry.says if entry and entry.says else (_AS_IT_COMES,), key)


def _several(
    question: Question,
    entry: QuestionShares | None,
    key: tuple[str | int, ...],
    had: Collection[str],
) -> list[str]:
    share, chances = chances_of(question, entry.chances if entry else {})
    if question.exclusive is not None and uniform(*key, "alone") < share:
        return [question.exclusive]
    earlier = {name: chance for name, chance in chances.items() if name in had} or chances
    chosen = some_of(earlier, *key)
    new = (name for name in chances if name not in earlier)
    chosen |= {name for name in new if uniform(*key, name, "new") < chances[name]}
    return [name for name in question.choices if name in chosen]


def _choice_weights(
    question: Question, caller: Person, entry: QuestionShares | None
) -> Mapping[str, float]:
    """A caller who says her sex, or how she knows her stature, says what is true."""
    true = ""
    if question.sets == "sex":
        true = caller.sex
    elif question.sets == "stature_origin":
        true = "remembered" if caller.remembers else "measured"
    named = entry.shares if entry else {}
    if true not in question.choices:
        return weights_of(list(question.choices), named)
    settable = SETS_CHOICES[question.sets or ""]
    others = [name for name in question.choices if name not in settable]
    even = 100 / len(question.choices)
    weights = {name: named.get(name, even) for name in others}
    return {**weights, true: max(100 - sum(weights.values()), even)}


def _measure(
    question: Question,
    caller: Person,
    population: Population,
    entry: QuestionShares | None,
    known_as: str,
) -> float:
    """mm, kg or a plain number, as the caller reads it."""
    key = (caller.seed, caller.number, known_as)
    dimension = question.measures
    if dimension is not None and dimension in caller.body:
        true = caller.body[dimension]
        bias, sd = 0.0, with_derived(population, (dimension,)).measurement_sd(dimension)
        if dimension == "stature" and caller.remembers and population.remembered_sd is not None:
            bias, sd = population.remembered_bias or 0.0, population.remembered_sd
        if dimension == "weight":
            bias, sd = -population.understated * true, population.told_sd(dimension, true)
        return true + bias + sd * normal(*key, "error")
    mean, spread = usual_number(question, entry)
    within = entry.within if entry is not None else None
    if within is not None and within.of == question.answer:
        return normal_within(mean, spread, within.low, within.high, *key, "value")
    return max(mean + spread * normal(*key, "value"), 0.0)


def _any_of(wordings: Sequence[str], key: tuple[str | int, ...]) -> str:
    return one_of(dict.fromkeys(wordings, 1.0), *key, "said")


# -- the person behind a simulated caller: a sex and a true body, drawn from the survey -----------


@dataclass(frozen=True, slots=True)
class Person:
    """One simulated caller before anything is asked."""

    seed: int
    number: int
    sex: Sex
    body: Mapping[str, float]
    """True value of every dimension of the population, mm or kg."""
    remembers: bool
    """Says the stature from memory rather than measuring it."""


def person(population: Population, shares: Shares, seed: int, number: int) -> Person:
    """Caller ``number``: the same for the same seed, whatever tree is asked."""
    stated = {sex: share for sex, share in (shares.sex or {}).items() if sex in population.groups}
    weights = stated if any(stated.values()) else dict(population.share)
    # one_of gives back one of the names it was given.
    drawn = one_of({str(sex): share for sex, share in weights.items()}, seed, number, "sex drawn")
    sex = next(weight for weight in weights if weight == drawn)
    group = population.groups[sex]
    normals = [normal(seed, number, "body", name) for name in population.order]
    body = group.mean + _root(group) @ np.array(normals)
    # Nobody is of no size at all, whatever spread a population file states.
    body = np.maximum(body, group.mean / 4)
    true = {name: float(value) for name, value in zip(population.order, body, strict=True)}
    true |= derived_from(true, lambda name: normal(seed, number, "body", name))
    return Person(
        seed=seed,
        number=number,
        sex=sex,
        body=true,
        remembers=uniform(seed, number, "stature remembered") < shares.remembered / 100,
    )


@lru_cache(maxsize=8)
def _root(group: Group) -> Array:
    """What standard normals are turned into the covariance of a group with."""
    spread, axes = np.linalg.eigh(group.covariance)
    return np.asarray((axes * np.sqrt(np.maximum(spread, 0.0))) @ axes.T, np.float64)
