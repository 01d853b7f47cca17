"""The product that a file beside a tree declares: its fit, and the choice of it for a call."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.derived import derivable
from consult.call.chosen import SURE, Agreed, Chosen
from consult.fit.declared import choose_declared, declared_ready
from consult.fit.settings import Picked, Shortfall
from consult.marked.marks import is_there, load_marked
from consult.problems import Problem, Where, listed
from consult.range.fitting_file import declared_features, unknown_names
from consult.range.parts import FEATURES
from consult.tree.folder import FITTING_FILE
from consult.tree.placeholders import names_in
from consult.tree.quantities import BODY_DIMENSIONS
from consult.tree.sources import sources_beside, uncited

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence, Set

    from consult.fit.choose import ChairChoice
    from consult.fit.request import FitRequest
    from consult.fit.requirements import Fit
    from consult.marked.marks import Texts
    from consult.range.model import Range
    from consult.range.parts import Kind
    from consult.tree.condition import Condition
    from consult.tree.model import Advice, Caution, Need, Tree


def declares(tree_path: Path, texts: Texts | None = None) -> bool:
    """Whether a tree fits what a file beside it declares, and not a chair."""
    marked, _ = load_marked(tree_path, texts)
    data = marked.data if marked is not None else None
    return isinstance(data, dict) and data.get("works_out") == "fitting"


def features_for(tree_path: Path, texts: Texts | None = None) -> Set[str] | None:
    """The features that the needs of a tree may name; None where that cannot be known now."""
    file = tree_path.with_name(FITTING_FILE)
    if declares(tree_path, texts):
        return declared_features(file, texts)
    # Whoever has written what a product is did not mean a chair.
    return None if is_there(file, texts) else frozenset(FEATURES)


def fitting_problems(
    tree: Tree, range_: Range | None, path: Path, texts: Texts | None = None
) -> Iterator[Problem]:
    """What a tree and the file of what it fits do not agree about; ``path`` is the file's."""
    if not is_there(path, texts):
        message = f"This tree works out a fitting, and there is no {path.name} beside it."
        yield Problem(Where(tree.files[0], 1, 1), message, "Write it.", "no-fitting")
    if range_ is None or range_.fitting is None:
        return
    questions = {name: question.answer for name, question in tree.questions.items()}
    yield from unknown_names(range_, path, questions, BODY_DIMENSIONS, texts)
    marked, sources = load_marked(path, texts)[0], sources_beside(path.parent, texts)[0]
    if marked is not None and sources is not None:
        yield from uncited(marked, sources)
    quantities = range_.fitting.quantities
    figures = [quantity.name for quantity in quantities if quantity.test == "within"]
    limits = {quantity.name: quantity for quantity in quantities if quantity.test != "within"}
    for where, names in _reading(tree):
        for name in sorted(names):
            owner, _, rest = name.partition(".")
            if owner == "fit" and rest in limits:
                message = f"'{name}' is a limit of the parts, and no figure that can be said."
                reads = [read for read in limits[rest].figure.names if "." not in read]
                fix = f"Name what it is made of: {listed(reads)}." if reads else "Leave it out."
                yield Problem(where, message, fix, "limit-named")
            elif owner == "fit" and rest and rest not in figures:
                message = f"{path.name} works out no '{name}'."
                fix = f"It works out {listed([f'fit.{figure}' for figure in figures])}."
                yield Problem(where, message, fix, "unknown-name")


def derived_of(tree: Tree, range_: Range | None) -> tuple[str, ...]:
    """The body dimensions in use that a survey has no row of."""
    used = {question.measures for question in tree.questions.values()}
    used |= {name.removeprefix("body.") for _, names in _reading(tree) for name in names}
    if range_ is not None and range_.fitting is not None:
        used |= set(range_.fitting.dimensions)
    return tuple(name for name in derivable() if name in used)


def _reading(tree: Tree) -> Iterator[tuple[Where, Set[str]]]:
    """Each piece of a tree, and every name that its conditions and blanks read."""
    for question in tree.questions.values():
        routes = [route.when for route in question.routes if route.when is not None]
        conditions: list[Condition] = [*question.asked_if, *routes]
        yield question.where, frozenset().union(*(condition.names for condition in conditions))
    pieces: list[Caution | Advice | Need] = [*tree.cautions, *tree.advice, *tree.needs]
    for piece in pieces:
        words = " ".join(getattr(piece, key, "") for key in ("say", "because"))
        yield piece.where, piece.when.names | set(names_in(words))


def chosen_product(
    request: FitRequest,
    fit: Fit,
    answers: Callable[[str], float | None],
    agreed: Sequence[str] | None,
) -> Chosen:
    """The product for a call; ``agreed`` are the codes settled on, if they differ."""
    chair_choice = choose_declared(request, answers)
    picked, taken = _ready(request, fit, chair_choice), None
    if agreed:
        only: dict[Kind, str] = {
            part.kind: part.code
            for kind in request.range.parts
            for part in request.range.on_sale(kind)
            if part.code in agreed
        }
        choice = choose_declared(request, answers, only)
        picked = _ready(request, fit, choice)
        taken = Agreed(tuple(only.values()), choice.best, picked, choice.none_because)
    best = chair_choice.best
    sure = best is None or (best.p_fits > SURE and not chair_choice.left_out)
    return Chosen(chair_choice, picked, request, lambda: (), None, taken, sure)


def _ready(request: FitRequest, fit: Fit, chair_choice: ChairChoice) -> Picked:
    """What was chosen made ready; nothing to order, and why."""
    if chair_choice.best is not None:
        return declared_ready(request.range, fit, chair_choice.best.parts, request.needs)
    why = chair_choice.none_because
    short = (Shortfall(None, "rating", 0.0, why),) if why else ()
    return Picked({}, {}, short, 0.0, 0, ())
