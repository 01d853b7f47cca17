"""Long runs: ``CONSULT_LONG=1 pytest`` tries more of what random keys and screen sizes may break.

Without it a run keeps to what a person waits for; nothing is left out, only tried less often.
"""

from __future__ import annotations

import os

LONG = os.environ.get("CONSULT_LONG") == "1"
