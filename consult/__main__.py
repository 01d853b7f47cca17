"""``python -m consult``, and the command ``consult``."""

import sys


def run() -> int:
    """Load the commands and run one; Ctrl+C is no error while they are still being loaded."""
    try:
        from consult.cli import main

        return main()
    except KeyboardInterrupt:
        # Loading runs code by exec(), and Python would end by the signal: see ``cli.main``.
        exec("")
        print("consult: Interrupted.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(run())
