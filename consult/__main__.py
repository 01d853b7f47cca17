"""``python -m consult``."""

import sys

from consult.cli import main

if __name__ == "__main__":
    sys.exit(main())
