"""Trees and their sources on pages to read: ``consult draw`` and ``consult sources``."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import fill

from consult.commands.options import RUNS, flag, option
from consult.commands.outcome import Outcome, complain, outcome_of, print_json, print_problems, tell
from consult.paths import default_tree, trees_folder
from consult.problems import CannotDoError, nearest
from consult.visible import visible

if RUNS:
    from consult.commands.installation import write_out
    from consult.content.drawing.layers import INSTALL, layout_installed
    from consult.content.drawing.page import drawing, drawn_page, sources_page
    from consult.content.drawing.view import TreeView, load_view
    from consult.tree import contacts
    from consult.tree.folder import main_trees
    from consult.tree.sources import Source, Sources, sources_beside


def arguments(parser: ArgumentParser) -> None:
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
    view = _view(path, options.part)
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
        outcome = max(outcome, outcome_of(_both, path, folder))
    return outcome


def _both(path: Path, folder: Path) -> Outcome:
    """The page and the drawing of a tree; where one cannot be written, the other may."""
    view = _view(path)
    page = outcome_of(_written, folder / f"{path.stem}.html", _page(view, path.parent))
    if not layout_installed():
        return page
    return max(page, outcome_of(_written, folder / f"{path.stem}.svg", drawing(view)))


def _view(path: Path, part: str | None = None) -> TreeView:
    try:
        view, problems = load_view(path, part)
    except ValueError as no_part:
        raise CannotDoError(str(no_part)) from None
    if view is None:
        raise CannotDoError(
            "A tree with errors cannot be drawn. Run consult check, and correct the errors first.",
            problems,
        )
    return view


def _page(view: TreeView, folder: Path) -> str:
    return drawn_page(view, contacts.load_contacts(folder / contacts.CONTACTS_FILE)[0])


def _written(out: Path, text: str) -> Outcome:
    write_out(out, text)
    return tell(f"Written: {out}")


# -- ``consult sources``: where advice, rules and numbers come from, as a list or a page -----------


def sources_arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult sources --out sources.html"
    option(parser, "names NAME", "of an entry; all if none", nargs="*")
    written = parser.add_mutually_exclusive_group()
    option(written, "--out FILE", "write a page of HTML there")
    flag(written, "--json", "for other programs")


def tell_sources(options: Namespace) -> Outcome:
    """Print the entries named, or all; with ``--out`` write them as a page of HTML."""
    # A drawing needs neither, nor NumPy, which they load.
    from consult.call.fit_json import sources_json
    from consult.content.checks import cited_by

    folder = trees_folder()
    sources, problems = sources_beside(folder)
    if sources is None:
        print_problems(problems)
        return Outcome.FAILED
    for name in options.names:
        if name not in sources.entries:
            return complain(
                f"There is no source '{name}'. {nearest(name, sources.entries)}".strip()
            )
    wanted = options.names or sources.entries
    shown = Sources({name: sources.entries[name] for name in wanted})
    used = cited_by(folder)
    if options.out is not None:
        return _written(options.out, sources_page(shown, used))
    if options.json:
        entries = sources_json(shown, tuple(shown.entries))
        return print_json([{**entry, "cited_in": used.get(entry["id"], [])} for entry in entries])
    texts = (
        "\n".join(_source_lines(source, used.get(source.id, ())))
        for source in shown.entries.values()
    )
    print("\n\n".join(texts))
    return Outcome.DONE


def _source_lines(source: Source, files: Sequence[str]) -> Iterator[str]:
    yield source.id
    lines = [
        source.title,
        ", ".join(filter(None, (source.publisher, source.year))),
        source.place,
        source.says,
    ]
    lines += [f"How we have it: {source.have}."]
    lines += [f"Cited in: {', '.join(files)}."] if files else []
    for text in filter(None, lines):
        # An address stays whole, to be copied.
        yield fill(
            visible(text),
            78,
            initial_indent="  ",
            subsequent_indent="  ",
            break_long_words=False,
            break_on_hyphens=False,
        )
