"""The same seed is the same call, word for word, on any machine."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from consult.practice.exercise import Exercise
from tests.long import LONG
from tests.practice.callers import START, begun, listen, little

GOLDEN = Path(__file__).with_name("golden_call.txt")
"""A whole call with the caller below; running this file as a module writes it anew."""

CALLER = """
opening: ["Hello, it's about a chair.", Good morning to you.]
body: {stature: 155 to 162 cm}
truth:
  name: Bea Marsh
  sites: [back]
  since: days
  heel: 3 cm
manner: {units: mixed, chatty: yes, hurry: yes, vague: 20}
behaviours:
  - name: kneecap
    kind: wrong_tape
    at: leg
    off: 7 cm
    says: [Up to the kneecap.]
    explain: The tape ended too high.
  - name: muddled
    kind: contradicts
    at: when
    about: hours
    answer: 3
    says: ["I'm only there three hours, mind."]
    explain: It was said otherwise before.
  - name: vague_desk
    kind: vague
    at: kind
    explain: Nothing was said.
"""


def conversation(exercise: Exercise) -> str:
    """What was said by both, and what a listener made of it."""
    lines = []
    for turn in exercise.turns:
        if turn.adviser:
            lines.append(f"Adviser: {turn.adviser}")
        told = ", ".join(f"{name}={said}" for name, said in turn.tells.items())
        lines.append(f"Caller: {turn.caller}   <{told}> {' '.join(turn.shown)}".rstrip())
    return "\n".join(lines) + "\n"


def golden(folder: Path, seed: int = 7) -> str:
    """The conversation of a whole call."""
    basis, persona = little(folder, CALLER, seed)
    exercise = begun(basis, persona, seed)
    listen(exercise)
    exercise.close(START)
    return conversation(exercise)


def test_a_whole_call_is_the_one_on_paper(tmp_path: Path) -> None:
    """Every word of one call is as it was written down, whatever machine it is led on."""
    assert golden(tmp_path) == GOLDEN.read_text("utf-8")


def test_another_seed_is_another_call(tmp_path: Path) -> None:
    """The seed matters."""
    assert golden(tmp_path, 8) != golden(tmp_path, 7)


@pytest.mark.parametrize("hash_seed", ["0", "1", "4242"] if LONG else ["1"])
def test_hash_seeds_change_nothing(tmp_path: Path, hash_seed: str) -> None:
    """Another process with its own order of sets leads the same call."""
    code = (
        "import sys, hashlib; from pathlib import Path;"
        "from tests.practice.test_determinism import golden;"
        "print(hashlib.sha256(golden(Path(sys.argv[1])).encode()).hexdigest())"
    )
    said = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)],
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(Path.cwd())},
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()
    assert said == hashlib.sha256(GOLDEN.read_bytes()).hexdigest()


if __name__ == "__main__":
    from tempfile import mkdtemp

    GOLDEN.write_text(golden(Path(mkdtemp())), "utf-8")
