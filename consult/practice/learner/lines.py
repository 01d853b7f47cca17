"""A line of a learner's file: one exercise and a digest that tells whether it is whole."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from consult.practice.learner.as_json import done_json, done_of
from consult.practice.learner.model import Done

FORM = 1


class Newer(Exception):  # noqa: N818 - nothing is wrong with the line
    """A newer version wrote the line; it is left alone."""


def written(done: Done) -> bytes:
    """The line, its end included; all in plain letters, whatever the texts hold."""
    data = done_json(done)
    line = {"form": FORM, "digest": _digest(data), "exercise": data}
    return json.dumps(line, allow_nan=False).encode("ascii") + b"\n"


def read(line: bytes) -> Done:
    """The exercise of a line; ValueError where it is damaged, ``Newer`` where not ours to read."""
    try:
        data = json.loads(line)
        if isinstance(data, dict) and isinstance(data.get("form"), int) and data["form"] > FORM:
            raise Newer
        exercise = data["exercise"]
        whole = data["form"] == FORM and data["digest"] == _digest(exercise)
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise ValueError("This line is damaged.") from error
    if not whole:
        raise ValueError("This line is damaged.")
    return done_of(exercise)


def _digest(data: Any) -> str:
    text = json.dumps(data, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]
