"""No test reads or writes what belongs to the user who runs it, nor asks what day it is.

``--clock machine`` lets the program read the machine's clock: for tests that are marked
``any_day``, on a machine whose clock was shifted (see ``.ci/run``).
"""

from __future__ import annotations

import gc
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from importlib import import_module
from itertools import count
from pathlib import Path

import pytest

HERE = Path(__file__).parent
STOPPED = str(HERE / "stopped")
OWN = ("DATA", "STATE", "CACHE", "CONFIG")
SETTINGS = (
    *("TREES", "FOLDER", "COUNTRY", "UNITS", "RECORDS", "RECOVERY", "KEY", "KEY_FILE", "PRACTICE"),
    *("RECORDS_FILE", "ADVISER", "POPULATION", "RETENTION_DAYS", "HEALTH_DAYS"),
)
"""What a user may have set for consult; ``CONSULT_LONG`` and the like are for the tests."""
CORE = ("test_units.py", "body", "call", "fit", "range", "tree")
SLOW = (
    "test_batch.py",
    "test_beginners_product.py",
    "test_by_name.py",
    "test_chair_outcome.py",
    "test_chosen.py",
    "test_expectation.py",
    "test_follow_up.py",
    "test_fuzz.py",
    "test_operated_hip.py",
    "test_options.py",
    "test_pieces.py",
    "test_pools.py",
    "test_private.py",
    "test_proposals.py",
    "test_rating_words.py",
    "test_session.py",
    "test_sharing.py",
    "test_thorough.py",
    "test_an_amended_answer_keeps_the_later_ones",
    "test_no_answers_make_a_call_fail",
)
"""Files and tests of the core that take as long as all the rest of it, and tell less a second."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Which clock the program reads."""
    parser.addoption("--clock", choices=("stopped", "machine"), default="stopped")


@cache
def _is_quick(path: Path) -> bool:
    """Whether a file is of the core, or a folder leads there."""
    steps = path.relative_to(HERE).parts if path.is_relative_to(HERE) else ()
    return not steps or (steps[0] in CORE and steps[-1] not in SLOW)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """With ``-m quick`` nothing else is even read: that alone takes as long as the quick tests."""
    return True if config.option.markexpr == "quick" and not _is_quick(collection_path) else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the quick tests, for a change in the core: fit, body, tree, units and calls."""
    for item in items:
        if _is_quick(item.path) and getattr(item, "originalname", "") not in SLOW:
            item.add_marker("quick")


def pytest_configure(config: pytest.Config) -> None:
    """Stop the program's clock, here and in every process started from here."""
    _keep_bytecode(config)
    _leave_the_user_alone(config)
    if config.getoption("--clock") == "stopped":
        sys.path.append(STOPPED)
        inherited = filter(None, [os.environ.get("PYTHONPATH")])
        os.environ["PYTHONPATH"] = os.pathsep.join([STOPPED, *inherited])
        import_module("tests.stopped.sitecustomize")


def pytest_collection(session: pytest.Session) -> None:
    """In every process that reads tests, and in none that only hands them out.

    Nothing of what is read then is garbage: to look for some takes a sixth of the time. Hypothesis
    is loaded here, because it takes half a second and is compiled anew before bytecode is kept.
    """
    gc.disable()
    quick = session.config.option.markexpr == "quick"
    import_module("tests.properties").set_examples(quick=quick)


def pytest_collection_finish(session: pytest.Session) -> None:
    """What is loaded by now stays: looking for garbage in it again and again takes an eighth."""
    if "sqlalchemy" in sys.modules:
        patch = pytest.MonkeyPatch()
        session.config.add_cleanup(patch.undo)
        import_module("tests.statements").share_statements(patch)
    gc.enable()
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """Look for garbage once more; as the process ends, that would be done several times."""
    gc.collect()
    gc.freeze()


def _leave_the_user_alone(config: pytest.Config) -> None:
    """Nothing of the user's own is read or written, by fixtures of any scope either."""
    folder = tempfile.TemporaryDirectory(prefix="consult-tests-", ignore_cleanup_errors=True)
    config.add_cleanup(folder.cleanup)
    for name in OWN:
        os.environ[f"XDG_{name}_HOME"] = str(Path(folder.name) / name.lower())
    for name in SETTINGS:
        os.environ.pop(f"CONSULT_{name}", None)


def _keep_bytecode(config: pytest.Config) -> None:
    """Compile each file once, even where Python is told to leave no files beside the sources.

    Else every process, and every one started by a test, compiles all that it imports: half of the
    time of a whole run.
    """
    cache = getattr(config, "cache", None)
    if not sys.dont_write_bytecode or cache is None:
        return
    with suppress(OSError):  # a checkout that nobody may write to
        sys.pycache_prefix = str(cache.mkdir("bytecode"))
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        sys.dont_write_bytecode = False


@pytest.fixture(scope="session")
def _folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A new folder each time, that nothing is in."""
    # Not ``mktemp`` for each: it lists all folders there are to find the next number.
    above = tmp_path_factory.mktemp("users")
    return (above / str(number) for number in count())


@pytest.fixture
def tmp_path(_folders: Iterator[Path]) -> Path:
    """A folder of the test's own; pytest's own way lists those of all tests before it."""
    folder = next(_folders)
    folder.mkdir()
    return folder


@pytest.fixture(autouse=True)
def _own_folders(monkeypatch: pytest.MonkeyPatch, _folders: Iterator[Path]) -> None:
    """Records, recovery files and the cache go into a folder of the test."""
    folder = next(_folders)
    folder.mkdir()
    for name in OWN:
        monkeypatch.setenv(f"XDG_{name}_HOME", str(folder / name.lower()))
