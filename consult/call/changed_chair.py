"""What the last answer changed in the chair, in one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.chosen_json import of_a_hundred
from consult.problems import listed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.call.state import State


def changed_chair(before: State, after: State) -> str:
    """The parts that were added, removed or replaced, and the change in price.

    Where only the chances moved, those. '' where nothing moved, or there are no two chairs.
    """
    if before.picked is None or after.picked is None:
        return ""
    if not before.picked.parts or not after.picked.parts:
        return ""
    said = [*_parts(before, after), *_price(before, after)]
    return ", ".join(said) or _odds(before, after)


def _parts(before: State, after: State) -> Iterator[str]:
    assert before.picked is not None
    assert after.picked is not None
    was, now = before.picked.parts, after.picked.parts
    for kind, part in now.items():
        if kind in was and was[kind].code != part.code:
            yield f"{_small(part.name)} instead of {_apart(was[kind].name, part.name)}"
    if added := [_small(part.name) for kind, part in now.items() if kind not in was]:
        yield f"{listed(added, 'and')} added"
    if gone := [_small(part.name) for kind, part in was.items() if kind not in now]:
        yield f"no {listed(gone, 'or')} any more"


def _price(before: State, after: State) -> Iterator[str]:
    assert before.picked is not None
    assert after.picked is not None
    more = after.picked.price - before.picked.price
    if abs(more) >= 0.005:
        yield f"{more:+.0f}" if abs(more - round(more)) < 0.005 else f"{more:+.2f}"


def _odds(before: State, after: State) -> str:
    was, now = (one.chosen.ordered if one.chosen else None for one in (before, after))
    if was is None or now is None:
        return ""
    old, new = of_a_hundred(was.p_fits), of_a_hundred(now.p_fits)
    return f"same chair, now fits {new} (before: {old})" if old != new else ""


def _apart(name: str, other: str) -> str:
    """A name without the words at its end that another has too: "large" beside "medium seat"."""
    words, same = _small(name).split(), _small(other).split()
    while len(words) > 1 and len(same) > 1 and words[-1] == same[-1]:
        words.pop()
        same.pop()
    return " ".join(words)


def _small(name: str) -> str:
    """A name inside a sentence: capitals that mean something stay."""
    return name if name[1:2].isupper() else f"{name[:1].lower()}{name[1:]}"
