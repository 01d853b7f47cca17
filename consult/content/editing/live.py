"""Check a folder being edited, from the texts in memory, after every change.

A tree is checked again only where a text that it reads has changed. Which files are sub-trees is
remembered from when they could last be read, so that one broken file does not make its sub-trees
look like trees of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from consult.call.basis import limits_beside, load_basis
from consult.call.fitted import declares, features_for
from consult.content.checks import callers_problems, photo_problems, sources_problems
from consult.marked.marks import load_marked
from consult.marked.plain import block_at
from consult.problems import Problem
from consult.range.file import load_range
from consult.range.fitting_file import load_fitting
from consult.tree.condition import Limits
from consult.tree.contacts import load_contacts
from consult.tree.draft import read_draft
from consult.tree.folder import FITTING_FILE, RANGE_FILE, beginnings, includes
from consult.tree.learned import LEARNED, load_learned
from consult.tree.load import problems_of
from consult.tree.readability import PLAIN_WORDS, load_plain_words
from consult.tree.settings import SETTINGS_KEY as SETTINGS
from consult.tree.settings import load_settings
from consult.tree.sources import SOURCES, SOURCES_FILE


@dataclass(frozen=True, slots=True)
class _Checked:
    texts: Mapping[Path, str | None]
    """Every text the check has read; None for a file that was not there."""
    names: frozenset[Path]
    """All files there were: a tree may come to include one that is new."""
    problems: tuple[Problem, ...]


class LiveCheck:
    """The checks of one folder, as far as they need not be done again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._checked: dict[Path, _Checked] = {}
        self._kinds: dict[Path, str] = {}
        self._includes: dict[str, tuple[str, ...]] = {}
        self._range: tuple[str | None, Limits] | None = None
        # A screen checks in a thread beside the one it edits in.
        self._lock = Lock()

    def problems(self, texts: Mapping[str, str]) -> list[Problem]:
        """Everything wrong, in the order of files and lines; ``texts`` by file name."""
        overlay = {
            self.folder / name: text for name, text in texts.items() if name.endswith(".yaml")
        }
        with self._lock:
            for path in overlay:
                self._look(path, overlay)
            problems = {
                problem
                for path in self._roots(overlay)
                for problem in self._problems(path, overlay)
            }
        return sorted(
            problems, key=lambda problem: (problem.where, problem.severity, problem.message)
        )

    def _look(self, path: Path, overlay: Mapping[Path, str]) -> None:
        marked, _ = load_marked(path, overlay)
        if marked is None:
            return
        data = block_at(marked.data)
        kinds = (
            *(SETTINGS, LEARNED, "range", "fitting", "contacts", "callers"),
            *(SOURCES, PLAIN_WORDS, "transcript"),
        )
        self._kinds[path] = next((kind for kind in kinds if kind in data), "tree")
        self._includes[path.stem] = includes(data)

    def _roots(self, overlay: Mapping[Path, str]) -> list[Path]:
        """The files to check by themselves: those that no other takes in, or all of a circle."""
        names = [path.stem for path in sorted(overlay) if path.suffix == ".yaml"]
        included = {name: self._includes.get(name, ()) for name in names}
        return [self.folder / f"{name}.yaml" for name in beginnings(included)]

    def _problems(self, path: Path, overlay: Mapping[Path, str]) -> tuple[Problem, ...]:
        known = self._checked.get(path)
        names = frozenset(overlay)
        if (
            known is not None
            and known.names == names
            and all(overlay.get(file) == text for file, text in known.texts.items())
        ):
            return known.problems
        others = (load_marked(name, overlay)[0] for name in names - {path})
        if self._kinds.get(path) in ("callers", SOURCES) and any(
            marked is None for marked in others
        ):
            # Questions that cannot be read now are not missing.
            return known.problems if known else ()
        read, problems = self._check(path, overlay)
        texts = {read_path: overlay.get(read_path) for read_path in read}
        self._checked[path] = _Checked(texts, names, tuple(problems))
        return self._checked[path].problems

    def _check(self, path: Path, overlay: Mapping[Path, str]) -> tuple[list[Path], list[Problem]]:
        kind = self._kinds.get(path, "tree")
        if kind == SETTINGS:
            return [path], load_settings(path, overlay)[1]
        if kind == LEARNED:
            return [path], load_learned(path, overlay)[1]
        if kind == "range":
            return [path], [*load_range(path, overlay)[1], *photo_problems(path, overlay)]
        if kind == "fitting":
            return [path], load_fitting(path, overlay)[1]
        if kind == "contacts":
            return [path, path.with_name(SOURCES_FILE)], load_contacts(path, overlay)[1]
        if kind == "callers":
            # It is held against every tree of the folder.
            return list(overlay), callers_problems(path, overlay)
        if kind == PLAIN_WORDS:
            return [path], load_plain_words(path, overlay)[1]
        if kind == SOURCES:
            return list(overlay), sources_problems(path, overlay)
        if kind == "transcript":
            return [path], load_marked(path, overlay)[1]
        draft = read_draft(path, overlay, self._limits(path, overlay))
        problems = problems_of(draft, path, features_for(path, overlay))
        beside = [path.with_name(RANGE_FILE), path.with_name(FITTING_FILE)]
        if declares(path, overlay):
            more = load_basis(path, texts=overlay)[1]
            problems = [*problems, *(problem for problem in more if problem not in problems)]
        return [*map(Path, draft.files), *beside], problems

    def _limits(self, path: Path, overlay: Mapping[Path, str]) -> Limits:
        """Worked out again only where the text of the range changed."""
        text = overlay.get(path.with_name(RANGE_FILE))
        if self._range is None or self._range[0] != text:
            self._range = text, limits_beside(path, overlay)
        return self._range[1]
