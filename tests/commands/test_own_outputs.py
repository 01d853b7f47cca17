"""An Irish maker with 42 rows of price list: nothing that goes out is the demonstration's.

No document, screen, order, sheet or page of theirs has the name, the currency or the pound sign of
the maker that comes with the program.
"""

from __future__ import annotations

import re
import shutil
from contextlib import redirect_stdout
from dataclasses import replace
from datetime import datetime
from io import StringIO
from pathlib import Path

import pytest
from PIL import Image

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer, Call
from consult.call.state import State, state, with_chair
from consult.call.transcript import load_transcript
from consult.cli import main
from consult.paths import demo_folder, trees_folder
from consult.records.call_trees import FirstCalls
from consult.records.desk_calls import Begun, DeskCalls
from consult.summary import PAPERS, Form
from consult.summary.model import summarise
from consult.summary.order import is_order, order_csv, order_json, order_text
from consult.summary.render import Writer
from consult.ui.app import ConsultApp
from tests.commands.runs import Run
from tests.long import LONG

LIST = Path(__file__).parents[1] / "content" / "price_list" / "boyne_whole.csv"
FORMS: tuple[Form, ...] = ("text", "md", "html", "json", "eml")
FOREIGN = re.compile(r"Tarnbeck|£|&pound;|=C2=A3|\bGBP\b|\bSEAT-[SML]\b")
LAW = re.compile(r"(employed|yourself) in the United Kingdom|Great\s+Britain")
"""Laws of another country; an Irish contact may be one of both countries."""
TREES = ("seating", "my_chair", "set_up", "follow_up", "team_order")


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder as ``begin`` makes it, with the list imported; the draft stands in as published:
    proving it takes minutes, and changes nothing of what is said."""
    folder = tmp_path_factory.mktemp("own") / "boyne"
    own = [
        *("--maker", "Boyne Seating", "--country", "IE", "--telephone", "+353 1 555 0100"),
        *("--address", "Unit 4, Mill Road, Ballymarl", "--email", "desk@boyne.example"),
    ]
    with pytest.MonkeyPatch.context() as patch:
        # Or all that this process makes for several tests would be of that maker.
        patch.setenv("XDG_CONFIG_HOME", str(folder.with_name("config")))
        assert main(["begin", str(folder), *own]) == 0
    settings = folder / "settings.yaml"
    settings.write_text(settings.read_text("utf-8") + "  logo: logo.png\n", "utf-8")
    prices = folder / "prices.csv"
    shutil.copy(LIST, prices)
    for name in ("logo.png", "seat-m.png", "basic.jpg"):
        Image.new("RGB", (60, 40), "navy").save(folder / name)
    library = folder / "library"
    out = StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out):
        patch.setenv("CONSULT_FOLDER", str(folder))
        assert main(["range", "import", str(prices), "--callers", "0"]) == 0, out.getvalue()
    assert "warning" not in out.getvalue()
    shutil.copytree(library / "draft", library / "versions" / "2026.11.29")
    (library / "live").write_text("2026.11.29\n")
    return folder


@pytest.fixture
def boyne(begun: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same as the folder in use; no test writes in it."""
    monkeypatch.setenv("CONSULT_FOLDER", str(begun))


def basis_of(tree: str) -> Basis:
    basis, problems = load_basis(trees_folder() / f"{tree}.yaml")
    assert basis is not None, problems
    return basis


def demo_calls(tree: str) -> list[Call]:
    """What the callers of the demo calls said, rung from Ireland."""
    found = []
    for path in sorted(demo_folder().glob("*.yaml")):
        transcript, _ = load_transcript(path)
        if transcript is not None and transcript.tree == tree:
            found.append(replace(transcript.call, country="IE"))
    # Two of each tree take every paper through every form.
    return found[: 6 if LONG else 2]


def foreign(text: str) -> list[str]:
    """What stands there of another maker, each with its neighbours."""
    return [text[max(0, m.start() - 40) : m.end() + 40] for m in FOREIGN.finditer(text)]


@pytest.mark.usefixtures("boyne")
@pytest.mark.parametrize("tree", TREES)
def test_no_document_is_of_another_maker(tree: str) -> None:
    """Every paper in every form, of calls of every tree; the sender stands in those that go out."""
    basis = basis_of(tree)
    assert demo_calls(tree)
    for number, call in enumerate(demo_calls(tree), TREES.index(tree)):
        now = with_chair(basis, state(basis, call))
        writer = Writer(basis, now, datetime(2026, 11, 29, 12, 0).astimezone(), "7K3-M2Q", "Nuala")
        for paper in PAPERS:
            # In a short run each paper in the forms in turn.
            in_turn = FORMS[(number + PAPERS.index(paper)) % len(FORMS)]
            for form in FORMS if LONG else (in_turn,):
                text = writer.write(form, paper).decode()
                assert not foreign(text), (paper, form)
                assert now.country != "IE" or not LAW.search(text), (paper, form)
            if paper in ("caller", "employer", "order"):
                text = " ".join(writer.write("text", paper).decode().split())
                assert "Boyne Seating, Unit 4, Mill Road, Ballymarl." in text
                assert "Telephone +353 1 555 0100." in text
        order = summarise(basis, now, reader="order", reference="7K3-M2Q")
        if is_order(order):
            assert not foreign(order_text(order) + order_csv(order))
            assert order.specification is not None
            assert (order.specification.currency, order.specification.vat) == ("EUR", "included")


@pytest.mark.usefixtures("boyne")
def test_an_order_with_everything_the_list_says_is_theirs() -> None:
    """Fabric, headrest, several pieces, delivery, both codes of the arms, guarantee, photograph,
    tilt and its lever; and of a fixed model its one code and price."""
    basis = basis_of("seating")
    (call,) = demo_calls("seating")[:1]
    parts = "S/100-M, G-60, B-60, L-0, A-2/L, C-1, F/PL"
    chosen = (("agreed", "other"), ("agreed_parts", parts), ("fabric", "blue"), ("pieces", "5"))
    also = (("headrest_wanted", "headrest"), ("delivery_country", "Ireland"))
    now = with_answers(basis, call, *chosen, *also)
    assert now.picked is not None
    writer = Writer(basis, now, datetime(2026, 11, 29, 12, 0).astimezone(), "7K3-M2Q", "Nuala")
    order = order_json(summarise(basis, now, reader="order", reference="7K3-M2Q"))
    lines = {line["code"]: line for line in order["lines"]}
    assert {"S/100-M", "A-2/L", "A-2/R", "W/BL", "H/1", "F/PL", "D/IE"} <= set(lines)
    assert (lines["S/100-M"]["price"], lines["S/100-M"]["quantity"]) == (175.0, 5)
    assert (lines["D/IE"]["quantity"], order["currency"]) == (1, "EUR")
    summary = " ".join(writer.write("text", "caller").decode().split())
    for words in ("Guarantee, Medium seat: 5 years.", "leans back 20 degrees", "3 degrees forward"):
        assert words in summary
    assert "Seat tilt: knob on the right" in " ".join(writer.write("text", "card").decode().split())
    page = writer.write("html", "caller").decode()
    assert page.count("<img") == 2
    model = "S/100-M, G-60, B-20, L-0, A-0, C-1, F/PL"
    fixed = with_answers(basis, call, ("agreed", "other"), ("agreed_parts", model))
    sold = order_json(summarise(basis, fixed, reader="order"))["lines"]
    assert ("M/BASIC", 419.0) in [(one["code"], one["price"]) for one in sold]
    assert "S/100-M" not in [one["code"] for one in sold]
    for each in (now, fixed):
        writer = Writer(basis, each, datetime(2026, 11, 29, 12, 0).astimezone(), "7K3-M2Q")
        for paper in PAPERS:
            for form in ("text", "html", "json"):
                assert not foreign(writer.write(form, paper).decode()), (paper, form)


def with_answers(basis: Basis, call: Call, *said: tuple[str, str]) -> State:
    """The call with other answers, and its chair."""
    told = {name for name, _ in said}
    kept = [one for one in call.answers if one.question not in told]
    asked = replace(call, answers=(*kept, *(Answer(*one) for one in said)))
    return with_chair(basis, state(basis, asked))


@pytest.mark.usefixtures("boyne")
def test_no_page_of_a_command_is(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The measuring sheet, the pages and drawings of the trees, the price list, the check."""
    # Templates are checked elsewhere, which takes a second.
    monkeypatch.setattr("consult.commands.check.template_problems", lambda _: [])
    for words in (
        ("sheet", "--form", "html"),
        ("range", "export"),
        ("check",),
        ("versions",),
        ("fit", "--sex", "female", "--stature", "165cm"),
        ("fit", "--sex", "female", "--stature", "165cm", "--json"),
    ):
        made = run(*words)
        assert made.code in (0, 1), (words, made.err)
        assert not foreign(made.out + made.err), words
    for tree in TREES:
        out = tmp_path / f"{tree}.html"
        assert run("draw", tree, "--walk", "--out", str(out)).code == 0
        assert not foreign(out.read_text("utf-8")), tree


@pytest.mark.usefixtures("boyne")
async def test_no_screen_is(tmp_path: Path) -> None:
    """The call screen from the greeting to the read-back, its help and its pages."""
    basis = basis_of("seating")
    (call,) = demo_calls("seating")[:1]

    def clock() -> datetime:
        return datetime(2026, 11, 29, 12, 0).astimezone()

    for begun in (Call(call.today, "metric", "IE"), call):
        place = tmp_path / f"{len(begun.answers)}.db"
        kept = DeskCalls(basis, place, "Nuala", clock)
        app = ConsultApp(Begun(basis, begun, kept, clock, firsts=FirstCalls(place)))
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.pause()
            seen = [app.export_screenshot()]
            for key in ("f1", "escape", "f8", "escape", "ctrl+g", "escape"):
                await pilot.press(key)
                await pilot.pause()
                seen.append(app.export_screenshot())
        text = " ".join(seen).replace("&#160;", " ")
        assert not foreign(text)
        assert "Boyne" in text or begun.answers


def test_the_test_can_fail(run: Run) -> None:
    """The demonstration itself has all of it."""
    assert foreign(run("range", "export").out)
    assert foreign(run("versions").out)
