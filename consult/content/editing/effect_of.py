"""What the draft changes for simulated callers, as lines to read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.call.transcript import transcripts_in
from consult.content.callers.simulation import CallerSource, drawn
from consult.content.changes.folders import changed_trees, safety_lines
from consult.content.effect.compared import effect
from consult.content.effect.result import impact_lines
from consult.content.library.files import LibraryTrouble
from consult.content.library.library import the_library
from consult.content.library.lost import lost_in_trees
from consult.paths import demo_folder, trees_folder
from consult.sentence import of_thing
from consult.tree.shares import NO_SHARES, SHARES_FILE, load_shares

if TYPE_CHECKING:
    from datetime import date

    from consult.content.editing.folder import DraftFolder
    from consult.tree.shares import Shares

_CALLERS = 200
"""Enough to meet every warning sign, and done while one still waits."""
_SEED = 1
"""The same callers every time, so that a loss found once is found again."""


def effect_lines(
    folder: DraftFolder, tree: str, today: date, show: Callable[[str], None]
) -> list[str]:
    """The effect on one main tree; ``show`` hears how far it has come. May run in a thread."""
    new, _ = folder.basis(tree)
    if new is None:
        return [f"{tree} has mistakes, so callers cannot be run through it. Alt+M goes to them."]
    before, called = compared_with(folder)
    file = before / f"{tree}.yaml"
    if not file.is_file():
        return [f"{tree} is new, so {called} has nothing to compare it with."]
    old, _ = load_basis(file, new.population)
    if old is None:
        return [f"The {tree} of {called} cannot be read, so there is nothing to compare with."]
    shares = _shares(folder, before)
    callers = drawn(CallerSource(shares, old.population, _SEED, today), _CALLERS)

    def progress(done: int) -> None:
        if done % 10 == 0:
            show(
                f"Impact: simulated caller {done} of {_CALLERS} run through both versions. Esc "
                "cancels."
            )

    impact = effect(old, new, callers, transcripts_in(demo_folder()), progress)
    lines = [f"The draft compared with {called}, tree {tree}.", ""]
    weaker = (loss.what for loss in lost_in_trees(old.tree, new.tree))
    lines += [*safety_lines(changed_trees(old.tree, new.tree), weaker), ""]
    if impact.lost_cautions:
        names = ", ".join(dict.fromkeys(lost.caution for lost in impact.lost_cautions))
        lines += [
            f"!! WARNINGS REMOVED: {names}. Callers who heard them would no longer hear them.",
            "",
        ]
    return [*lines, *(of_thing(line, new.thing) for line in impact_lines(impact))]


def compared_with(folder: DraftFolder) -> tuple[Path, str]:
    """The folder the draft is held against, and what to call it."""
    try:
        library = the_library()
        if library.draft.exists() and folder.path.resolve() == library.draft.resolve():
            live = library.live()
            return live.folder, f"the live version ({live.version})"
    except LibraryTrouble:
        pass
    if folder.changed or folder.path.resolve() == trees_folder().resolve():
        return folder.path, "the saved files"
    return trees_folder(), "the live version"


def _shares(folder: DraftFolder, before: Path) -> Shares:
    """What callers say: as the draft has it, then as it was before."""
    overlay = {folder.path / name: text for name, text in folder.texts.items()}
    shares = NO_SHARES
    if SHARES_FILE in folder.texts:
        shares = load_shares(folder.path / SHARES_FILE, overlay)[0] or NO_SHARES
    if (before / SHARES_FILE).is_file():
        shares = shares.over(load_shares(before / SHARES_FILE)[0] or NO_SHARES)
    return shares
