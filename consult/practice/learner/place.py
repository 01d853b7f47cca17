"""Where practice is kept: a folder of its own, never that of real calls."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from pathlib import Path

import platformdirs

from consult.practice.learner.model import PracticeTrouble

ENDING, ASIDE = ".jsonl", ".damaged"
_NOT_PLAIN = re.compile(r"[^a-z0-9]+")
_LONGEST = 24
"""Letters of a name that are enough for a person to find the file by."""


def practice_place(place: str | Path | None = None) -> Path:
    """What is given, else CONSULT_PRACTICE, else ``practice`` in this user's data folder."""
    chosen = place or os.environ.get("CONSULT_PRACTICE")
    if not chosen:
        return Path(platformdirs.user_data_dir("consult")) / "practice"
    try:
        return Path(chosen).expanduser()
    except RuntimeError as error:
        said = f"{chosen} starts with a user name unknown on this machine. Type the whole path."
        raise PracticeTrouble(said) from error


def same_name(name: str) -> str:
    """What two ways of writing one learner's name have in common; '' for no name.

    Capital letters, blanks and how accents are typed make no difference.
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def file_name(learner: str) -> str:
    """The name of a learner's file: nothing in it that a file system would obey."""
    plain = same_name(learner)
    if not plain:
        raise PracticeTrouble("The name of the learner is empty. Type one.")
    digest = hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    slug = _NOT_PLAIN.sub("-", plain)[:_LONGEST].strip("-")
    return f"{slug or 'learner'}-{digest}{ENDING}"
