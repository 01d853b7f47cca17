"""Nothing that is committed tells on which machine it was made."""

from __future__ import annotations

import html
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
_NAME = r"[A-Za-z0-9_.-]+"
PLACES = re.compile(
    rf"(?<![\w.:/-])(?:/home/(?!ada\b){_NAME}|/Users/{_NAME}|/root\b|/workspace\b|/builds?/{_NAME}"
    rf"|/var/folders/{_NAME}|/private/{_NAME}|/tmp/(?:tmp|pytest){_NAME}|/dev/shm/{_NAME})"
    r"|[A-Z]:\\Users\\|\\\\Users\\\\"
)
"""A home, or where things are checked out, built or tried. Ada's home is invented."""
_TAGS = re.compile(r"<[^>]*>")


def committed() -> list[Path]:
    """Every file that git has; skipped away from a checkout."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True
        ).stdout
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this is no checkout")
    return [ROOT / name for name in listed.decode().split("\0") if name]


def shown(file: Path) -> str:
    """The text of a file; of a picture also what it shows, in one piece."""
    text = file.read_bytes().decode("utf-8", "replace")
    if file.suffix != ".svg":
        return text
    words = html.unescape(_TAGS.sub("", text)).replace("\N{NO-BREAK SPACE}", " ")
    return f"{text}\n{words}\n{''.join(words.split())}"


def places_in(text: str) -> list[str]:
    """The paths in a text that somebody's machine has."""
    own = [str(one) for one in (ROOT, Path.home()) if len(one.parts) > 1 and str(one) in text]
    return [*own, *PLACES.findall(text)]


def test_no_path_of_a_machine() -> None:
    """No home, no checkout and no temporary folder stands in any committed file."""
    found = {
        str(file.relative_to(ROOT)): places
        for file in committed()
        if file.is_file() and file != Path(__file__) and (places := places_in(shown(file)))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("saved in /home/wren/calls", True),
        ("/Users/wren/consult/trees", True),
        ("'/root/venv/bin'", True),
        ("/tmp/pytest-of-wren/x", True),
        (r"C:\Users\wren", True),
        (str(ROOT / "trees"), True),
        ("https://example.test/home/ada-x", False),
        ("consult/commands/page", False),
        ("/home/ada/x", False),
    ],
)
def test_what_counts_as_one(text: str, told: bool) -> None:
    """Homes of people do, on every system; addresses and folders of the project do not."""
    assert bool(places_in(text)) is told
