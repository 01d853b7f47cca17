"""No test touches what belongs to the user who runs it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from consult.paths import home_note, library_folder


@pytest.fixture(scope="module")
def for_the_module() -> tuple[Path, Path]:
    """Where the program would write, asked before any test has folders of its own."""
    return home_note(), library_folder()


def test_nothing_of_the_user_is_used(for_the_module: tuple[Path, Path]) -> None:
    """Neither by a test nor by what is made for several; each test has other folders."""
    here = home_note(), library_folder()
    for place in (*for_the_module, *here):
        assert not place.is_relative_to(Path.home() / ".config")
        assert not place.is_relative_to(Path.home() / ".local")
        assert not place.exists()
    assert not set(for_the_module) & set(here)
    set_here = {name for name in os.environ if name.startswith("CONSULT_")}
    # Those that are for the tests alone.
    for_tests = {"LONG", "KILLS", "SURVEY_CSV", "USAF_CSV"}
    assert set_here <= {f"CONSULT_{name}" for name in for_tests}
