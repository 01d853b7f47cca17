"""``consult practise --report``: results of a group of learners, from their exports."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from consult.commands.outcome import Outcome, complain
from consult.in_file import UnreadableError, read_file
from consult.practice.catalogue import callers_folder, choices_in
from consult.practice.learner.export import read_export
from consult.practice.learner.report import group_report, to_practise
from consult.practice.learner.report_text import report_csv, report_json, report_text
from consult.visible import visible


def run(options: Namespace) -> Outcome:
    """Print the report; a file that is no export is an error that names the file."""
    records = []
    for name in options.report:
        try:
            text = read_file(Path(name)).decode("utf-8-sig")
        except UnreadableError as unreadable:
            return complain(str(unreadable))
        except ValueError:
            return complain(f"{name} cannot be read: it is not text.")
        records.append(read_export(text, name))
    report = group_report(records)
    choices, _ = choices_in(callers_folder())
    nexts = to_practise(report, {one.name: one.behaviours for one in choices})
    if options.csv:
        # As bytes for a spreadsheet: its line ends and its first mark stay as they are.
        print(report_csv(report), end="")
    elif options.json:
        print(report_json(report, nexts), end="")
    else:
        print(visible(report_text(report, nexts)), end="")
    return Outcome.DONE
