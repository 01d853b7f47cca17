"""The inputs of every call besides its answers: tree, contacts, population, range."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.derived import with_derived
from consult.body.population import corrected, load_population
from consult.call.fitted import declares, derived_of, fitting_problems
from consult.call.options import with_options
from consult.fit.request import limits_of
from consult.marked.marks import is_there
from consult.problems import Problem
from consult.range.file import load_range
from consult.range.fitting_file import load_fitting
from consult.sentence import CHAIR
from consult.tree.contacts import CONTACTS_FILE, load_contacts
from consult.tree.folder import FITTING_FILE
from consult.tree.folder import RANGE_FILE as RANGE_FILE
from consult.tree.learned import NOTHING_LEARNED, Learned, learned_file, load_learned
from consult.tree.load import load_tree
from consult.tree.settings import Settings, settings_of
from consult.tree.shares import NO_SHARES, SHARES_FILE, Shares, load_shares
from consult.tree.sources import Sources, shipped_sources, sources_beside

if TYPE_CHECKING:
    from datetime import date

    from consult.body.population import Population
    from consult.marked.marks import Texts
    from consult.range.model import Range
    from consult.tree.condition import Limits
    from consult.tree.contacts import Contacts
    from consult.tree.model import Tree


@dataclass(frozen=True, slots=True, eq=False)
class Basis:
    """Everything fixed during a call."""

    tree: Tree
    contacts: Contacts
    population: Population
    range: Range | None = None
    """The chairs on sale; None: the fit is worked out without them."""
    shares: Shares = NO_SHARES
    """How callers answer, from which the worth of a question of a pool follows."""
    limits: Limits = field(default_factory=dict)
    """``range.<name>`` of the chairs on sale."""
    settings: Settings = field(default_factory=Settings)
    """Of the maker whose call it is."""
    sources: Sources = field(default_factory=shipped_sources)
    """What the tree, the contacts and the fit cite."""
    learned: Learned = NOTHING_LEARNED
    """From the maker's own calls; tree and population are as it says already."""
    ask_pools: bool = True
    """False: pools ask nothing, and only answers given early count."""

    @property
    def thing(self) -> str:
        """What is chosen, as screens and documents call it."""
        return self.range.thing if self.range is not None else CHAIR

    def on(self, day: date) -> Basis:
        """With the range as it is on a day; itself where no part on sale has ended by then."""
        here = self.range.on(day) if self.range is not None else None
        return self if here is self.range else replace(self, range=here)


def range_beside(tree_path: Path, texts: Texts | None = None) -> tuple[Range | None, list[Problem]]:
    """What a tree chooses from: what the file beside it declares, or chairs, if there are any."""
    if declares(tree_path, texts):
        return load_fitting(tree_path.with_name(FITTING_FILE), texts)
    file = tree_path.with_name(RANGE_FILE)
    return load_range(file, texts) if is_there(file, texts) else (None, [])


def limits_beside(tree_path: Path, texts: Texts | None = None) -> Limits:
    """``range.<name>`` by the range file beside a tree; empty where no sound one is there."""
    return limits_of(range_beside(tree_path, texts)[0], load_population())


def load_basis(
    tree_path: Path,
    population: Population | None = None,
    texts: Texts | None = None,
    *,
    learned: Learned | None = None,
) -> tuple[Basis | None, list[Problem]]:
    """Load a tree with the contacts and the range beside it; the default population if none.

    ``learned`` is taken in place of what the file beside the settings says.

    None where the tree or the contacts have errors; the problems say which. A range file with
    errors is a problem too, never silently left out, and so is a file of what was learned, and a
    callers file where a pool asks by it. ``texts`` are read in place of the files of
    the same paths.
    """
    folder = tree_path.parent
    contacts, contact_problems = load_contacts(folder / CONTACTS_FILE, texts)
    range_, range_problems = range_beside(tree_path, texts)
    learned_problems: list[Problem] = []
    if learned is None:
        learned, learned_problems = load_learned(learned_file(folder, texts), texts)
    people = population or load_population()
    if learned is not None:
        people = corrected(people, learned.of("mean"), learned.of("error"))
    limits = limits_of(range_, people)
    tree, tree_problems = load_tree(tree_path, texts, limits)
    if tree is not None and tree.declared:
        own = fitting_problems(tree, range_, folder / FITTING_FILE, texts)
        range_problems = [*range_problems, *own]
    if tree is not None:
        people = with_derived(people, derived_of(tree, range_))
    shares, shares_problems = None, list[Problem]()
    pooled = tree is not None and any(question.pool for question in tree.questions.values())
    if pooled and is_there(folder / SHARES_FILE, texts):
        shares, shares_problems = load_shares(folder / SHARES_FILE, texts)
    problems = [*tree_problems, *contact_problems, *range_problems, *shares_problems]
    problems += learned_problems
    if (
        tree is None
        or contacts is None
        or learned is None
        or any(p.severity == "error" for p in problems)
    ):
        return None, problems
    # A sources file with errors is among the problems of the tree already.
    sources = sources_beside(folder, texts)[0] or shipped_sources()
    basis = Basis(
        with_options(with_times(tree, learned), range_),
        contacts,
        people,
        range_,
        (shares or NO_SHARES).as_learned(learned.of("share")),
        limits,
        settings_of(folder, texts),
        sources,
        learned,
    )
    return basis, problems


# -- what calls begin with, with what was learned from the maker's own calls ----------------------


def with_times(tree: Tree, learned: Learned) -> Tree:
    """The tree whose questions take the seconds that were learned."""
    seconds = learned.of("time")
    if not seconds.keys() & tree.questions.keys():
        return tree
    questions = {
        name: replace(question, seconds=seconds.get(name))
        for name, question in tree.questions.items()
    }
    return replace(tree, questions=questions)
