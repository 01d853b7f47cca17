"""``consult sources``: where advice, rules and numbers come from, as a list or a page."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from textwrap import fill

from consult.commands.options import RUNS, flag, option
from consult.commands.outcome import Outcome, complain, print_json, print_problems, tell
from consult.paths import trees_folder
from consult.problems import nearest
from consult.visible import visible

if RUNS:
    from consult.call.fit_json import sources_json
    from consult.commands.out_file import write_out
    from consult.content.checks import cited_by
    from consult.content.drawing.page import sources_page
    from consult.tree.sources import Source, Sources, sources_beside

_WIDTH = 78


def arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
    parser.epilog = "example: consult sources --out sources.html"
    option(parser, "names NAME", "of an entry; all if none", nargs="*")
    written = parser.add_mutually_exclusive_group()
    option(written, "--out FILE", "write a page of HTML there")
    flag(written, "--json", "for other programs")


def run(options: Namespace) -> Outcome:
    """Print the entries named, or all; with ``--out`` write them as a page of HTML."""
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
        write_out(options.out, sources_page(shown, used))
        tell(f"Written: {options.out}")
    elif options.json:
        entries = sources_json(shown, tuple(shown.entries))
        print_json([{**entry, "cited_in": used.get(entry["id"], [])} for entry in entries])
    else:
        texts = ("\n".join(_lines(one, used.get(one.id, ()))) for one in shown.entries.values())
        print("\n\n".join(texts))
    return Outcome.DONE


def _lines(one: Source, files: Sequence[str]) -> Iterator[str]:
    yield one.id
    told = [one.title, ", ".join(filter(None, (one.publisher, one.year))), one.place, one.says]
    told += [f"How we have it: {one.have}."]
    told += [f"Cited in: {', '.join(files)}."] if files else []
    for text in filter(None, told):
        # An address stays whole, to be copied.
        yield fill(
            visible(text),
            _WIDTH,
            initial_indent="  ",
            subsequent_indent="  ",
            break_long_words=False,
            break_on_hyphens=False,
        )
