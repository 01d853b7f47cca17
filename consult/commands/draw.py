"""``consult draw``: a tree as a drawing, or as a page for people who read no YAML."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from consult.commands.options import RUNS, flag, option
from consult.commands.outcome import Outcome, complain, outcome_of, print_problems, tell
from consult.paths import default_tree, trees_folder
from consult.problems import Problem

if RUNS:
    from consult.commands.out_file import write_out
    from consult.content.drawing.layers import INSTALL, layout_installed
    from consult.content.drawing.page import drawing, drawn_page
    from consult.content.drawing.view import TreeView, load_view
    from consult.tree.contacts import FILE as CONTACTS_FILE
    from consult.tree.contacts import load_contacts
    from consult.tree.folder import main_trees


def arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
    parser.description = (
        "Draw a tree as SVG, or with --walk write one HTML page with every "
        "question, where it leads and what depends on it, for people who do not read YAML."
    )
    parser.epilog = "example: consult draw seating --walk --out seating.html"
    option(parser, "tree TREE", "tree file, or its name (seating if left out)", nargs="?")
    option(parser, "--out FILE", "file to write (TREE.svg or TREE.html if left out)")
    option(parser, "--part NAME", "draw this sub-tree only")
    flag(parser, "--walk", "write the page instead of the drawing")
    option(
        parser, "--all OUTFOLDER", "write the page and drawing of every main tree into this folder"
    )


def run(options: Namespace) -> Outcome:
    """Draw one tree, or write every main tree out into a folder."""
    if options.all is not None:
        given = [flag for flag in ("tree", "out", "part") if getattr(options, flag) is not None]
        if given or options.walk:
            return complain("--all draws every tree. Leave out the tree and the other options.")
        return _all(Path(options.all).expanduser())
    path = _tree_file(options.tree)
    if not path.is_file():
        return complain(f"There is no tree file {path}.")
    if not options.walk and not layout_installed():
        return complain(INSTALL)
    try:
        view, problems = load_view(path, options.part)
    except ValueError as no_part:
        return complain(str(no_part))
    if view is None:
        return _broken(problems)
    ending = ".html" if options.walk else ".svg"
    out = Path(options.out or f"{options.part or path.stem}{ending}").expanduser()
    if options.walk and not layout_installed():
        complain(f"The page was written without its drawing. {INSTALL}")
    return _written(out, _page(view, path.parent) if options.walk else drawing(view))


def _tree_file(named: str | None) -> Path:
    """The file that is meant: a path, or the name of a tree of the trees folder."""
    if named is None:
        return default_tree()
    path = Path(named).expanduser()
    short = trees_folder() / f"{named}.yaml"
    return short if not path.exists() and path.name == named and short.is_file() else path


def _all(folder: Path) -> Outcome:
    trees = main_trees(trees_folder())
    if not trees:
        return complain(f"There is no tree file in {trees_folder()}.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        return complain(f"{folder} cannot be made ({error.strerror}).")
    outcome = Outcome.DONE
    if not layout_installed():
        outcome = complain(f"The pages are written without drawings. {INSTALL}")
    for path in trees.values():
        view, problems = load_view(path)
        if view is None:
            outcome = _broken(problems)
            continue
        found = [outcome_of(_written, folder / f"{path.stem}.html", _page(view, path.parent))]
        if layout_installed():
            found.append(outcome_of(_written, folder / f"{path.stem}.svg", drawing(view)))
        outcome = max(outcome, *found)
    return outcome


def _page(view: TreeView, folder: Path) -> str:
    contacts, _ = load_contacts(folder / CONTACTS_FILE)
    return drawn_page(view, contacts)


def _broken(problems: list[Problem]) -> Outcome:
    print_problems(problems)
    return complain(
        "A tree with errors cannot be drawn. Run consult check, and correct the errors first."
    )


def _written(out: Path, text: str) -> Outcome:
    write_out(out, text)
    tell(f"Written: {out}")
    return Outcome.DONE
