"""The page under outside checks: the HTML validator, the accessibility rules of axe, a browser.

The validator is vnu.jar (needs Java) and the rules are axe-core (run in a headless Chromium); npm
fetches both for the test session. Where one of them is missing the check is skipped and says so.
"""

from __future__ import annotations

import asyncio
import base64
import json
import shutil
import subprocess
import tarfile
import unicodedata
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from consult.summary.html import to_html
from tests.commands.chromium import CHROMIUM, Tab, browser_tab
from tests.long import AT_MOST, in_a_long_run
from tests.summary.papers import DEMOS, HOSTILE, hostile, in_order, paper_of, sketch, texts

SIZES = [(390, 844), (1280, 800)]
SHEETS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}
"""Inches, as the browser wants them."""
needs_browser = pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")


def fetched(package: str, folder: Path) -> Path:
    """The folder of an npm package, fetched and unpacked."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip(f"no npm on this machine to fetch {package}")
    packed = subprocess.run(
        [npm, "pack", package, "--silent"],
        cwd=folder, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    if packed.returncode:
        pytest.skip(f"npm could not fetch {package}: {packed.stderr[-200:]}")
    with tarfile.open(folder / packed.stdout.split()[-1]) as archive:
        archive.extractall(folder, filter="data")
    return folder / "package"


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The script of axe-core."""
    return (fetched("axe-core", tmp_path_factory.mktemp("axe")) / "axe.min.js").read_text("utf-8")


def written(folder: Path) -> list[Path]:
    """Pages of every demo call, and of text that tries to do harm."""
    pages = {f"demo{number}": to_html(*paper_of(number), title="Summary") for number in DEMOS}
    drawn = {"sketch": sketch("a-"), "small": sketch("b-")}
    for number, text in enumerate(HOSTILE):
        if text.strip():
            pages[f"hostile{number}"] = to_html(hostile(text), drawn, title=f"Of {text}")
    files = []
    for name, html in pages.items():
        files.append(folder / f"{name}.html")
        files[-1].write_text(html, "utf-8")
    return files


def validated(folder: Path, *pages: Path) -> list[dict[str, Any]]:
    """What the HTML validator, fetched into a folder, says of pages."""
    java = shutil.which("java")
    if java is None:
        pytest.skip("no java on this machine to run the validator")
    jar = fetched("vnu-jar", folder) / "build" / "dist" / "vnu.jar"
    told = subprocess.run(
        [java, "-jar", str(jar), "--format", "json", "--stdout", *map(str, pages)],
        capture_output=True, text=True, timeout=240, check=False,
    )  # fmt: skip
    messages: list[dict[str, Any]] = json.loads(told.stdout)["messages"]
    return messages


@in_a_long_run
def test_validator_finds_nothing(tmp_path: Path) -> None:
    """The HTML validator finds no error on any page, and on those of calls nothing at all."""
    messages = validated(tmp_path, *written(tmp_path))
    assert [one for one in messages if one["type"] != "info"] == []
    # The validator does not reckon the digest in the policy; the browser below does. What it says
    # of harmful text is about the text: its language, its normal form.
    calls = [one for one in messages if "demo" in one["url"]]
    assert [one for one in calls if "Inline style violates" not in one["message"]] == []


@asynccontextmanager
async def opened(page: Path, browser: str) -> AsyncIterator[Tab]:
    """A tab of a browser that shows the page."""
    async with asyncio.timeout(AT_MOST), browser_tab(browser) as tab:
        await tab.go(page.as_uri())
        while await tab.value("document.readyState + location.protocol") != "completefile:":
            await asyncio.sleep(0.05)
        yield tab


async def faults(tab: Tab, axe: str) -> list[Any]:
    """What axe finds on the page as it is shown now."""
    await tab.ask("Runtime.evaluate", expression=axe)
    run = "axe.run().then(found => JSON.stringify(found.violations))"
    told = await tab.ask("Runtime.evaluate", expression=run, awaitPromise=True, returnByValue=True)
    found: list[Any] = json.loads(told["result"]["value"])
    return [(one["id"], [node["html"][:200] for node in one["nodes"]]) for one in found]


@needs_browser
@pytest.mark.parametrize("kind", ["demo01", "demo04", "hostile"])
async def test_accessible_in_a_browser(kind: str, axe: str, tmp_path: Path, browser: str) -> None:
    """On a phone and on a desk axe finds no fault, nothing runs off the page, all is styled."""
    if kind == "hostile":
        drawn = {"sketch": sketch("a-"), "small": sketch("b-")}
        blocks = [block for text in HOSTILE for block in hostile(text)]
        html = to_html(blocks, {"sketch": drawn["sketch"]}, title="Harmful text")
    else:
        html = to_html(*paper_of(kind.removeprefix("demo")), title="Summary")
    page = tmp_path / "page.html"
    page.write_text(html, "utf-8")
    async with opened(page, browser) as tab:
        for width, height in SIZES:
            await tab.size(width, height)
            assert await faults(tab, axe) == []
            assert await tab.value("document.documentElement.scrollWidth") <= width
            assert await tab.value("parseFloat(getComputedStyle(document.body).fontSize)") >= 16
            # The policy let the style in.
            assert await tab.value("getComputedStyle(document.body).margin") == "0px"
        assert tab.told("Log.entryAdded") == []
        asked = {one["request"]["url"] for one in tab.told("Network.requestWillBeSent")}
        assert asked <= {page.as_uri()}


@needs_browser
async def test_lines_are_as_long_as_can_be_read(tmp_path: Path, browser: str) -> None:
    """On a wide screen a line holds 60 to 75 letters (common practice in typesetting)."""
    page = tmp_path / "page.html"
    page.write_text(to_html(*paper_of("01"), title="Summary"), "utf-8")
    count = """(() => {
        const line = [...document.querySelectorAll("main p")].filter(p => p.offsetHeight > 40);
        return line.map(p => {
            const range = document.createRange(), text = p.firstChild;
            for (let at = 1; at < text.length; at++) {
                range.setStart(text, 0); range.setEnd(text, at);
                if (range.getClientRects().length > 1) return at - 1;
            }
            return 0;
        });
    })()"""
    async with opened(page, browser) as tab:
        await tab.size(1280, 800)
        lengths = await tab.value(count)
    assert len(lengths) > 3
    assert 60 <= max(lengths) <= 75


@needs_browser
@pytest.mark.parametrize("sheet", SHEETS)
@in_a_long_run
async def test_prints_on_two_pages(sheet: str, tmp_path: Path, browser: str) -> None:
    """The first demo call, with its drawings, is printed on two pages, every word of it."""
    blocks, drawn = paper_of("01")
    page = tmp_path / "page.html"
    page.write_text(to_html(blocks, drawn, title="Summary"), "utf-8")
    wide, high = SHEETS[sheet]
    async with opened(page, browser) as tab:
        told = await tab.ask("Page.printToPDF", paperWidth=wide, paperHeight=high)
    reader = PdfReader(BytesIO(base64.b64decode(told["data"])))
    assert len(reader.pages) <= 2
    said: Sequence[str] = [word for text in texts(blocks) for word in text.split()]
    # The browser joins some letters (fi, fl) into one.
    printed = unicodedata.normalize("NFKC", "".join(one.extract_text() for one in reader.pages))
    found = "".join(printed.split())
    missing = [w for w in said if unicodedata.normalize("NFKC", w) not in found]
    assert missing == []
    assert in_order(["Yourchair", "Follow-up", "Limits"], found) == ""
