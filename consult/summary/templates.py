"""A Jinja environment for templates of anybody: no template takes long, takes much memory or acts.

Jinja's sandbox keeps templates from acting. It does not keep them from looping for ever, or from
making a text of a gigabyte: here every line that is run is counted, and what could make much out
of little is refused or cut short. The limits are far beyond any paper (common practice, no source).
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from functools import wraps
from itertools import islice
from types import FrameType
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, Template, pass_context, pass_environment, pass_eval_context
from jinja2.compiler import CodeGenerator, Frame
from jinja2.exceptions import SecurityError
from jinja2.filters import sync_do_join, sync_do_sum
from jinja2.nodes import Concat, EvalContext
from jinja2.sandbox import ImmutableSandboxedEnvironment

from consult.call.fit_json import of_a_hundred
from consult.call.wording import NINE_IN_TEN
from consult.scale import days_words, money
from consult.sentence import amount_words
from consult.units import format_length, format_mass, format_range

if TYPE_CHECKING:
    from jinja2.runtime import Context

    from consult.summary.lines import Figure
    from consult.units import System


FILE_NAME = "<template> "
"""How the file name of a template begins, its name after it: what is known by that is counted."""
MOST_LINES = 200_000
"""Lines of templates run for one paper."""
MOST_DEEP = 50
"""Macros and blocks within each other; Python's own limit is met by whatever else it does then."""
MOST_TEXT = 2_000_000
"""Characters, or entries of a list, that anything in a template may have."""
_MOST_KNOWN = 10_000
"""Pairs of a type and a name that are remembered; after that all are forgotten."""
_MUCH_OF_LITTLE = {
    *("batch", "center", "format", "indent", "replace", "slice", "tojson", "wordwrap", "xmlattr")
}
"""Filters left out: a width or a count makes any length of text."""
_TEXT = {*("lower", "upper", "strip", "split", "startswith", "endswith", "title", "capitalize")}
"""What a text can be asked to do."""
_MANY = (list, tuple, set, frozenset)


class _Counted(CodeGenerator):
    def visit_Concat(self, node: Concat, frame: Frame) -> None:  # noqa: N802 - as Jinja names it
        """``a ~ b``, measured."""
        self.write("environment.joined((")
        for part in node.nodes:
            self.visit(part, frame)
            self.write(", ")
        self.write("))")


class BoundedEnvironment(ImmutableSandboxedEnvironment):
    """Runs templates within limits; SecurityError, which is a TemplateError, beyond them."""

    code_generator_class = _Counted
    intercepted_binops = frozenset({"+", "*", "**", "%"})

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self._safe: dict[tuple[type, str], bool] = {}
        self.globals.pop("lipsum", None)
        kept = {**self.filters, "join": _join, "sum": _sum}.items()
        self.filters = {
            name: _of_measured(work) for name, work in kept if name not in _MUCH_OF_LITTLE
        }

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        """Nothing that pads or repeats a text.

        The type and the name decide it, so that each pair is looked at once.
        """
        known = self._safe.get((type(obj), attr))
        if known is None:
            text = isinstance(obj, (str, bytes)) and attr not in _TEXT
            known = not text and super().is_safe_attribute(obj, attr, value)
            if len(self._safe) >= _MOST_KNOWN:
                self._safe.clear()
            self._safe[type(obj), attr] = known
        return known

    def wrap_str_format(self, value: Any) -> None:
        """No ``format``: a width makes any length of text."""

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """Arithmetic, whose result is measured before it is made."""
        if operator == "**" or (operator == "%" and isinstance(left, (str, bytes))):
            raise SecurityError(f"'{operator}' is not for templates")
        if operator == "*":
            for sized, count in ((left, right), (right, left)):
                if isinstance(count, int) and hasattr(sized, "__len__"):
                    _measure(len(sized) * count)
            if isinstance(left, int) and isinstance(right, int):
                _measure(left.bit_length() + right.bit_length())
        if operator == "+" and hasattr(left, "__len__") and hasattr(right, "__len__"):
            _measure(len(left) + len(right))
        return super().call_binop(context, operator, left, right)

    @staticmethod
    def joined(parts: Iterable[Any]) -> str:
        """Texts one after the other."""
        texts = [str(measured_value(part)) for part in parts]
        _measure(sum(map(len, texts)))
        return "".join(texts)


def _of_measured(work: Callable[..., Any]) -> Callable[..., Any]:
    """A filter that is given nothing too large to be made a text of."""

    @wraps(work)
    def measured(*given: Any, **named: Any) -> Any:
        # What gives its entries one by one can be measured by them alone.
        every = (list(islice(x, MOST_TEXT)) if isinstance(x, Iterator) else x for x in given)
        values = map(measured_value, every)
        return work(*values, **{name: measured_value(value) for name, value in named.items()})

    return measured


@pass_eval_context
def _join(
    context: EvalContext, value: Iterable[Any], between: str = "", attribute: str | None = None
) -> str:
    entries = list(value)
    _measure(len(entries) * len(str(between)))
    joined: str = sync_do_join(context, entries, between, attribute)
    return joined


@pass_environment
def _sum(
    environment: Environment, value: Iterable[Any], attribute: str | None = None, start: Any = 0
) -> Any:
    entries = list(value)
    _measure(sum(len(entry) for entry in entries if hasattr(entry, "__len__")))
    return sync_do_sum(environment, entries, attribute, start)


def measured_value(value: Any) -> Any:
    """The value, if no text of it would be too long; lists may hold one list again and again."""
    size, inside = 0, [value]
    while inside and size <= MOST_TEXT:
        part = inside.pop()
        if isinstance(part, str):
            size += len(part)
        elif isinstance(part, dict):
            inside += [[*part], [*part.values()]]
        elif isinstance(part, _MANY):
            # Two signs around it, and as many between two entries.
            size += 2 + 3 * len(part)
            inside += [entry for entry in part if isinstance(entry, (str, dict, *_MANY))]
    _measure(size)
    return value


def fill_template(template: Template, **values: Any) -> str:
    """What a template makes of values."""
    filled = ""
    with _counting():
        for chunk in template.generate(**values):
            filled += chunk
            _measure(len(filled))
    return filled


@contextmanager
def _counting() -> Iterator[None]:
    """Count the lines of templates run in this thread, and how deep; stop at the limits."""
    left, deep = MOST_LINES, 0

    def line(frame: FrameType, event: str, _: object) -> Any:  # noqa: ARG001
        nonlocal left, deep
        deep -= event == "return"
        left -= 1
        if left < 0:
            raise SecurityError("This template does not come to an end")
        return line

    def call(frame: FrameType, event: str, argument: object) -> Any:
        nonlocal deep
        if frame.f_code.co_filename.startswith(FILE_NAME):
            deep += 1
            if deep > MOST_DEEP:
                raise SecurityError("A macro of this template calls itself again and again")
            return line(frame, event, argument)
        return None

    before = sys.gettrace()
    sys.settrace(call)
    try:
        yield
    finally:
        sys.settrace(before)


def _measure(size: int) -> None:
    if size > MOST_TEXT:
        raise SecurityError("This makes far more than a paper holds")


# -- what a template may do with a value: write it as people read it ------------------------------

_FROM = {"floor": "floor", "loaded seat": "seat", "length": ""}
_LEVELS = {"stop": "Stop", "refer": "Ask somebody qualified", "note": "Please note"}


def filters(system: System) -> Mapping[str, Callable[..., Any]]:
    """By the name used in a template, for a reader with these units."""

    def length(mm: float) -> str:
        return format_length(mm, system)

    def band(figure: Figure) -> str:
        """The acceptable range: "41 to 46 cm", "40 cm or more"."""
        if math.isinf(figure.low):
            return "" if math.isinf(figure.high) else f"{length(figure.high)} or less"
        if math.isinf(figure.high):
            return f"{length(figure.low)} or more"
        return format_range(figure.low, figure.high, system)

    def figure(figure: Figure, setting: float | None) -> float:
        """What to set: the chair's setting where it is acceptable, else what the body asks."""
        if setting is not None and figure.low <= setting <= figure.high:
            return setting
        return figure.target

    def margin(figure: Figure) -> str:
        """How far nine of ten people lie from it; none where nothing was estimated."""
        return amount_words(NINE_IN_TEN * figure.sd, system) if figure.sd else "none"

    return {
        "length": length,
        "mass": lambda kg: format_mass(kg, system),
        "text": lambda sentence: sentence.text(system),
        # Free text as it was said.
        "answer": lambda line: line.meant.text(system) or line.said,
        "band": band,
        "figure": figure,
        "margin": margin,
        "money": money,
        "working_days": days_words,
        "label": _label,
        "day": long_date,
        "odds": of_a_hundred,
        "level": lambda name: _LEVELS[name],
        "measured_from": lambda name: _FROM[name],
    }


@pass_context
def _label(context: Context, name: str) -> str:
    """A requirement, setting, part or feature in words: "Seat height"; a quantity that a file
    declares as the file calls it."""
    declared: Mapping[str, str] = getattr(context.get("s"), "labels", {})
    return declared.get(name) or _LABELS.get(name) or name.replace("_", " ").capitalize()


# -- names and dates as people write them ---------------------------------------------------------

_LABELS = {
    "armrest_height": "Armrest height",
    "desk_height": "Desk height",
    "eye_height_sitting": "Eye height when sitting",
    "hip_breadth_sitting": "Hip width when sitting",
    "desk_raise": "Raise the desk by",
    "screen_top": "Top of the screen",
    "standing_desk_height": "Desk height, standing",
}


def long_date(day: date) -> str:
    """ "Wednesday 25 November 2026"."""
    return f"{day:%A} {day.day} {day:%B %Y}"
