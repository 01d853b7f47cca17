"""``python -m consult``, and the command ``consult``."""

import gc
import sys

_LOADED = 200_000
"""Objects made between two collections of garbage: a command makes about as many while it loads,
and drops few of them."""


def run() -> int:
    """Load the commands and run one; Ctrl+C is no error while they are still being loaded."""
    gc.set_threshold(_LOADED)
    try:
        from consult.cli import main

        return main()
    except KeyboardInterrupt:
        # Loading runs code by exec(), and Python would end by the signal: see ``cli.main``.
        exec("")
        print("consult: Interrupted.", file=sys.stderr)
        return 130
    finally:
        # What is left goes with the process: to look through it would take a tenth of a short one.
        gc.freeze()


if __name__ == "__main__":
    sys.exit(run())
