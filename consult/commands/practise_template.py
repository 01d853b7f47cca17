"""``consult practise --template``: a new practice caller to begin with."""

from __future__ import annotations

import re
from argparse import Namespace

from consult.commands.out_file import UnwritableError, out_path, write_out
from consult.commands.outcome import Outcome, complain
from consult.practice.caller_file import caller_template
from consult.records.place import home_path
from consult.visible import visible

_NAME = re.compile(r"[a-z][a-z0-9_]*")


def run(options: Namespace) -> Outcome:
    """Write the file, and print what to do next."""
    path = home_path(options.template)
    if path.suffix != ".yaml" or not _NAME.fullmatch(path.stem):
        return complain(
            "--template takes the name of a file such as my_caller.yaml: small letters, digits and "
            "underscores."
        )
    if path.exists():
        return complain(f"{options.template} exists already. Choose another name.")
    try:
        out_path(path)
        write_out(path, caller_template(path.stem))
    except UnwritableError as unwritable:
        return complain(str(unwritable))
    print(visible(f"Wrote {path}. Change what you like; every key is explained in it."))
    print(visible(f"To check it: consult check {options.template}"))
    print(visible(f"To try it: consult practise {options.template}"))
    return Outcome.DONE
