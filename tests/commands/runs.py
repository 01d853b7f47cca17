"""Running the program as a shell would, inside the test."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from consult.cli import main


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output read as JSON."""
        return json.loads(self.out)


Run = Callable[..., Ran]
"""``run("fit", "--json")``"""


def ran(argv: tuple[str, ...], read: Callable[[], Any]) -> Ran:
    """The exit code, also where the command line itself is refused, and both streams."""
    try:
        code = main(argv)
    except SystemExit as left:
        code = int(left.code or 0)
    out, err = read()
    assert "Traceback" not in err
    return Ran(code, out, err)
