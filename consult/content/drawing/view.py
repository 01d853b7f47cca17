"""What of a tree is shown, in the order of the way: all of it, or one of its files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePath

from consult.content.names_in_words import spaced
from consult.marked.marks import load_marked
from consult.problems import Problem, listed, nearest
from consult.tree.folder import included_in, mains_above
from consult.tree.load import load_tree
from consult.tree.model import END, Caution, Question, Tree
from consult.tree.sources import Sources, shipped_sources, sources_beside


@dataclass(frozen=True)
class TreeView:
    """The questions shown, and where their ways lead."""

    tree: Tree
    """All of it: conditions may name questions that are not shown."""
    title: str
    first: str
    questions: Mapping[str, Question]
    """In the order of the way."""
    whole: bool
    """Whether it is the whole tree."""
    sources: Sources
    """What the tree cites."""

    @cached_property
    def numbers(self) -> Mapping[str, int]:
        """Question -> its number, from 1."""
        return {name: number for number, name in enumerate(self.questions, 1)}

    def place(self, go: str) -> str:
        """Where a route leads: a question shown, or the end."""
        return go if go in self.questions else END

    def beyond(self) -> tuple[str, ...]:
        """Questions of the rest of the tree that the ways out of this part lead to."""
        goes = [route.go for question in self.questions.values() for route in question.routes]
        return tuple(dict.fromkeys(go for go in goes if go != END and go not in self.questions))

    @property
    def after_stop(self) -> str:
        """Where a stop leads."""
        return self.place(self.tree.after_stop or END)

    def group(self, name: str) -> str:
        """What the sub-tree of a question is called; empty for the main file's own."""
        file = self.questions[name].where.file
        return "" if not self.whole or file == self.tree.files[0] else _called(file)

    def topics(self) -> Iterator[tuple[str, str]]:
        """The question shown that each topic begins with, and the topic."""
        met: set[str | None] = {None}
        for name, question in self.questions.items():
            if question.topic not in met:
                met.add(question.topic)
                yield name, question.topic or ""

    def stops_after(self, name: str) -> tuple[Caution, ...]:
        """The stop cautions that the answer to a question can raise."""
        return tuple(caution for caution in self.tree.stops if name in caution.when.names)


def view_of(tree: Tree, part: str | None = None, sources: Sources | None = None) -> TreeView:
    """The whole tree, or the questions of one of its files.

    Args:
        tree: a loaded tree.
        part: the name of a sub-tree, or of the tree itself for the main file alone.
        sources: what the tree may cite; those that ship if left out.

    Raises:
        ValueError: the tree has no such part; the message says which it has.
    """
    order = way(tree)
    cited = sources or shipped_sources()
    if part is None:
        questions = {name: tree.questions[name] for name in order}
        return TreeView(tree, tree.title, tree.first, questions, True, cited)
    files = {PurePath(tree.questions[name].where.file).stem: name for name in reversed(order)}
    if part not in files:
        fix = nearest(part, files) or f"It has {listed(reversed(files))}."
        raise ValueError(f"The tree has no part '{part}'. {fix}")
    file = tree.questions[files[part]].where.file
    shown = {
        name: question for name in order if (question := tree.questions[name]).where.file == file
    }
    # A sub-tree has one way in, and the order of the way begins with it.
    return TreeView(tree, _called(file), files[part], shown, False, cited)


def _called(file: str) -> str:
    stem = spaced(PurePath(file).stem)
    return stem[:1].upper() + stem[1:]


def way(tree: Tree) -> list[str]:
    """Every question once, each after all that lead to it; first routes first, strays last."""
    names: list[str] = []
    for start in (tree.first, tree.after_stop, *tree.questions):
        names += way_from(start, tree, names) if start else ()
    return names


def way_from(start: str, tree: Tree, passed: Iterable[str] = ()) -> list[str]:
    """What is reached from one question and was not passed, in the order of the way."""
    last_first: list[str] = []
    seen = set(passed)
    waiting = [(start, False)]
    while waiting:
        name, is_done = waiting.pop()
        if is_done:
            last_first.append(name)
        elif name in tree.questions and name not in seen:
            seen.add(name)
            waiting.append((name, True))
            waiting += [(route.go, False) for route in tree.questions[name].routes]
    return last_first[::-1]


# -- reading a tree to be shown, whole or as a part of the tree around it -------------------------


def load_view(path: Path, part: str | None = None) -> tuple[TreeView | None, list[Problem]]:
    """A tree to be shown; a sub-tree as a part of the tree that takes it in.

    A sub-tree leans on the questions of the tree around it and goes on there. None where the tree
    has errors; the problems say which. ValueError where the file is no tree, or has no such part.
    """
    marked, _ = load_marked(path)
    if marked is not None and not (isinstance(marked.data, dict) and "tree" in marked.data):
        raise ValueError(f"{path} is not a tree, because no line begins with 'tree:'.")
    sources, _ = sources_beside(path.parent)
    # On its own a sub-tree has no list of warning signs, so it cannot be loaded as a tree.
    for root in mains_above(path.stem, included_in(path.parent)):
        tree = load_tree(path.with_name(f"{root}.yaml"))[0]
        if tree is not None:
            return view_of(tree, part or path.stem, sources), []
    tree, problems = load_tree(path)
    return (view_of(tree, part, sources) if tree else None), problems
