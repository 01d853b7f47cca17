"""Active stops: a stop stays until it is lifted with a reason, whatever is amended.

A slip of the finger is lifted like any other stop, so that nobody is fitted a chair unaware. What
was lifted comes back only on a ground that is new: something it was not true through when it was
lifted, or the same sign told once more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from consult.call.call import UNNAMED_STOP, Answer, Call, Handled
from consult.call.route import read_answer
from consult.problems import Where
from consult.tree.condition import parse_condition
from consult.tree.evaluators import compiled, compiled_truth
from consult.tree.floor import the_floor
from consult.tree.model import Caution, Question, Tree
from consult.tree.nodes import And, Compare, Lookup, Name, Node, Not, Or, Value, named

WITHHELD = Caution(
    name=UNNAMED_STOP,
    where=Where("", 1, 1),
    level="stop",
    when=parse_condition("yes"),
    say=(
        "This call was stopped for safety, and the reason was not stored. Ask the warning signs "
        "again before you advise on a chair."
    ),
)
"""A stop of an earlier part of the call whose reason may not be stored."""


def stops_of(tree: Tree, call: Call) -> list[Caution]:
    """Every stop that could be active in this call."""
    own = [*tree.stops]
    known = any(handled.caution == WITHHELD.name for handled in call.handled)
    return [*own, WITHHELD] if known else own


def latched(call: Call, caution: Caution) -> bool:
    """Whether a stop was raised, or said to the caller, and not lifted since."""
    last = last_handled(call, caution)
    return last is not None and not last.lifted


def said_to_caller(call: Call, caution: Caution) -> Handled | None:
    """When a caution was last said to the caller.

    The first mark of a stop without a name says only that it was raised.
    """
    last = last_handled(call, caution)
    if last is None or last.lifted:
        return None
    own = [handled for handled in call.handled if handled.caution == caution.name]
    raised_only = len(own) < 2 or own[-2].lifted
    return None if caution.name == UNNAMED_STOP and raised_only else last


def last_lift(call: Call, caution: Caution) -> Handled | None:
    """The last time a stop was lifted, whether that still holds or not."""
    own = (handled for handled in reversed(call.handled) if handled.caution == caution.name)
    return next((handled for handled in own if handled.lifted), None)


def last_handled(call: Call, caution: Caution) -> Handled | None:
    """The last time a caution was dealt with in this call."""
    return next(
        (handled for handled in reversed(call.handled) if handled.caution == caution.name), None
    )


class LiftedStops:
    """Which lifted stops stay lifted, as the answers are now."""

    def __init__(self, tree: Tree, call: Call, known_after: Callable[[int], Lookup]) -> None:
        """``known_after`` gives what was known once so many answers had been given."""
        self._tree, self._call = tree, call
        self._known_after = known_after
        self._before: dict[str, frozenset[Ground]] = {}

    def lifted(self, caution: Caution, lookup: Lookup) -> Handled | None:
        """How a stop was lifted; None where it was not, or where a new ground raises it again."""
        last = last_handled(self._call, caution) if self._call.handled else None
        if last is None or not last.lifted:
            return None
        if last.after >= len(self._call.answers):
            return last
        now = grounds(caution.when.node, lookup)
        if now - self._grounds_then(caution, last):
            return None
        return None if self._told_again(now, last) else last

    def _grounds_then(self, caution: Caution, lift: Handled) -> frozenset[Ground]:
        if caution.name not in self._before:
            known = self._known_after(lift.after)
            self._before[caution.name] = grounds(caution.when.node, known)
        return self._before[caution.name]

    def _told_again(self, now: Iterable[Ground], lift: Handled) -> bool:
        """Whether a question behind one of these grounds was answered anew since the lift."""
        return any(
            self._answered_anew(question, lift.after)
            for name, _ in now
            for question in self._asked_for(name)
        )

    def _asked_for(self, name: str) -> Iterator[Question]:
        """The questions behind a name of a condition."""
        kind, _, rest = name.partition(".")
        for question in self._tree.questions.values():
            if question.name == name or (kind == "body" and question.measures == rest):
                yield question

    def _answered_anew(self, question: Question, after: int) -> bool:
        """Whether an answer since then says something, be it the same once more.

        Taking one of two signs away names the other again and tells nothing new; a note beside an
        answer is no answer.
        """
        before: Answer | None = None
        for at, answer in enumerate(self._call.answers):
            if answer.question != question.name:
                continue
            remark = before and before.said == answer.said and before.note != answer.note
            fewer = self._items(question, answer) < self._items(question, before)
            if at >= after and not remark and not fewer:
                return True
            before = answer
        return False

    def _items(self, question: Question, answer: Answer | None) -> frozenset[str | bool | None]:
        understood = read_answer(question, answer, self._call.today).understood
        return items(understood.value if understood else None)


def warning_questions(tree: Tree) -> tuple[Question, ...]:
    """The questions about warning signs: the list that everybody hears, then others in tree order.

    Others are those about health that a stop reads. What is asked only after another answer, such
    as how a knee hurts, is no list to read out, unless each of its choices is cautioned.
    """
    read_by_stops: set[str] = set()
    for stop in tree.stops:
        read_by_stops |= stop.when.names
    lists = [
        question
        for name, question in tree.questions.items()
        if question.signs
        or (
            name in read_by_stops
            and question.private == "health"
            and (question.cautioned or not question.asked_if)
        )
    ]
    return tuple(sorted(lists, key=lambda question: not question.signs))


SIGN_HEARD = "That may be a warning sign. Ask about it first: /signs."


def sign_reminder(tree: Tree, asked: Question, said: str) -> str:
    """What to remind the adviser of where words of an answer may tell of a sign; else ''.

    The words are taken for nothing: only the list itself is ever answered.
    """
    hears = the_floor().heard.search(said.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'"))
    asks = asked.signs or asked.doubt is not None
    return SIGN_HEARD if hears and not asks and warning_questions(tree) else ""


def health_off_the_way(tree: Tree, call: Call, on_the_way: Iterable[str]) -> tuple[str, ...]:
    """Answered questions about health that are not on the route.

    A caller may mention a sign before consent was asked, or after it was refused: that is no
    ground to fit a chair as if it had not been said.
    """
    passed = set(on_the_way)
    return tuple(
        name
        for name in call.latest()
        if name not in passed
        and name in tree.questions
        and tree.questions[name].private == "health"
    )


# -- why a condition is true: the questions, and the choices of them, that make it so -------------

Ground = tuple[str, str | bool | None]
"""A question (or ``fit.`` or ``body.`` quantity), and the choice of it; None for what has none."""


def grounds(node: Node, lookup: Lookup) -> frozenset[Ground]:
    """Everything a condition is true through; nothing where it is not true.

    Of parts joined by ``or`` those that are true count, of parts joined by ``and`` all do. A part
    about a whole list (``signs != none``) is true through each choice that was made.
    """
    return frozenset(_grounds(node, lookup, wanted=True))


def items(value: Value | None) -> frozenset[str | bool | None]:
    """An answer as the choices it makes; of a number, a text or a date only that there is one."""
    if isinstance(value, frozenset):
        return frozenset(value)
    if value is None:
        return frozenset()
    return frozenset([value if isinstance(value, (str, bool)) else None])


def _grounds(node: Node, lookup: Lookup, *, wanted: bool) -> Iterator[Ground]:
    if compiled_truth(node)(lookup) is not wanted:
        return
    match node:
        case Not(of=inner):
            yield from _grounds(inner, lookup, wanted=not wanted)
        case And(parts=parts) | Or(parts=parts):
            # Where all of them are needed, each is as wanted; where one is enough, some are not.
            for part in parts:
                yield from _grounds(part, lookup, wanted=wanted)
        case Compare(parts=(part, Name(name=name)), signs=("in",)) if wanted:
            choice = compiled(part)(lookup)
            yield name, choice if isinstance(choice, str) else None
        case _:
            for leaf in named(node):
                if isinstance(leaf, Name):
                    yield from ((leaf.name, item) for item in items(lookup(leaf.name)))
