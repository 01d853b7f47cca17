"""The call summary: one model of what a call came to, and its written forms.

Which papers there are, and in which forms, is said here and loads nothing, so that a command line
may ask.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

Form = Literal["text", "md", "html", "pdf", "json", "eml", "png", "ics"]
FORMS: tuple[Form, ...] = get_args(Form)
ENDINGS: Mapping[Form, str] = {"text": ".txt", **{f: f".{f}" for f in FORMS if f != "text"}}
Paper = Literal["caller", "employer", "order", "file", "card"]
"""Each reader's own, and the set-up card, which is the caller's."""
PAPERS: tuple[Paper, ...] = get_args(Paper)
