"""The walk-through page: all of the tree in words, for everybody, and harmless."""

from __future__ import annotations

import re
from base64 import b64encode
from functools import cache
from hashlib import sha256
from itertools import pairwise
from typing import Any

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.drawing.page import to_page
from consult.content.drawing.view import TreeView, view_of
from consult.content.drawing.walk import in_short, walk_of
from consult.paths import shipped_trees
from consult.problems import Where
from consult.tree.condition import parse_condition
from consult.tree.contacts import CONTACTS_FILE, load_contacts
from consult.tree.load import load_tree
from consult.tree.model import Advice, Always, Need
from tests.content.drawing.made import FILE as TREE_FILE
from tests.content.drawing.made import question, stop, tree
from tests.content.drawing.test_svg import HOSTILE
from tests.long import examples

_HERE = Where(TREE_FILE, 1, 1)


def parsed(page: str) -> Any:
    """The page, read strictly: a mistake in it raises."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def text(node: Any) -> str:
    return " ".join("".join(node.itertext()).split())


def of(view: TreeView, drawing: str | None = None) -> str:
    return to_page(walk_of(view, load_contacts(shipped_trees() / CONTACTS_FILE)[0]), drawing)


def shipped(name: str, part: str | None = None) -> TreeView:
    found = load_tree(shipped_trees() / f"{name}.yaml")[0]
    assert found is not None
    return view_of(found, part)


@cache
def shipped_page(name: str, part: str | None = None) -> tuple[str, Any]:
    """The page of a shipped tree, and what is read of it."""
    page = of(shipped(name, part))
    return page, parsed(page)


def article(page: str, name: str) -> str:
    found = parsed(page).find(f".//article[@id='question-{name}']")
    assert found is not None
    return text(found)


def made(say: str = "Stop here. Please <contact>.") -> TreeView:
    return view_of(
        tree(
            [
                question("consent", called=("permission",),
                         routes=[("consent", "sites"), (None, "close")]),
                question("sites", "choices", choices={"none": "Nowhere", "neck": "Neck"},
                         exclusive="none", private="health", coach="Ask where.", next="close"),
                question("close", "text", skip_when="known(consent)", ask="Bye, <consent>?"),
            ],
            cautions=[stop("bad_neck", "neck in sites", say, contact="emergency",
                           source=("our_words",))],
            advice=[
                Advice("both", _HERE, parse_condition("consent and neck in sites"), "seat_angle",
                       "Tilt to <fit.seat_height>.", "It helps.", ("common_practice",)),
                Advice("lone", _HERE, parse_condition("fit.desk_too_high"), "desk", "Lower it.",
                       contradicts=("both",)),
            ],
            needs=[Need("arms", _HERE, parse_condition("neck in sites"), "arms_height", "must",
                        "Elbows.", ("common_practice",))],
            always=[Always("safe", _HERE, parse_condition("consent"),
                           parse_condition("asked.sites", outcomes=True), "We said so.")],
            after_stop="close",
        )
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "part"), [("seating", None), ("follow_up", None), ("seating", "desk")]
)
def test_shipped_trees(name: str, part: str | None) -> None:
    """Each is a sound page: strict HTML, ids once, every link inside the page leads somewhere."""
    view = shipped(name, part)
    _, page = shipped_page(name, part)
    ids = [one.get("id") for one in page.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    links = [one.get("href") for one in page.iter("a")]
    assert all(link.startswith("#") for link in links)
    assert {link[1:] for link in links} <= set(ids)
    asked = [one.get("id") for one in page.iter("article")]
    assert asked == [f"question-{each}" for each in view.questions]


def test_everything_of_a_tree_is_said() -> None:
    """Every text of the main tree stands on its page: ask, coach, choices, cautions, advice."""
    view = shipped("seating")
    said = text(shipped_page("seating")[1])
    for one in view.questions.values():
        for each in (one.ask, one.coach, *one.choices.values()):
            assert " ".join(each.split()).partition("<")[0] in said
    cautions, advice = view.tree.cautions, view.tree.advice
    for say in (*(one.say for one in cautions), *(one.say for one in advice)):
        assert " ".join(say.split()).partition("<")[0] in said
    for cited in (*(one.source for one in cautions), *(one.source for one in advice)):
        assert all(each.title in said for each in view.sources.of(cited))
    for need in view.tree.needs:
        assert need.because in said


def test_a_heading_is_what_is_asked() -> None:
    """The sentence that asks, cut where it is long; the first where none asks."""
    assert in_short("Thank you. Where does it hurt? Name all.") == "Where does it hurt?"
    assert in_short("I read this out. Then we go on.") == "I read this out."
    assert in_short(f"{'word ' * 40}?").endswith("word ...")


def test_a_question() -> None:
    """It has its number, words, coaching, answers, ways with links, and what depends on it."""
    said = article(of(made()), "sites")
    for each in (
        "2 What about sites?",
        "“What about sites?”",
        "About health",
        "How it is coached: Ask where.",
        "Answer: Any of 2 choices.",
        "Nowhere (cannot be combined with others)",
        "it comes from 1 What about consent?",
        "In every case 3 Bye, [answer to 'consent']?",
        "When a STOP comes up (bad neck) 3 Bye, [answer to 'consent']?",
        "STOP: advice on chairs ends: bad neck",
        "When the caller says “Neck” under 'sites'.",
        "Please [whom to contact].",
        "Whom to contact: emergency: “call 999 or go to A&E now”",
        "Source: Our own words",
        "Advice on seat angle: both",
        "Say: Tilt to [the worked-out seat height].",
        "Because: It helps.",
        "The chair must have: arms height",
    ):
        assert each in said, each


def test_what_depends_on_several_questions_stands_once() -> None:
    """It is in full at the last of them; the others lead there."""
    page = of(made())
    first = article(page, "consent")
    assert "Advice on seat angle: both" in first
    assert "Tilt to" not in first
    assert page.count("Tilt to") == 1


def test_conditions_and_blanks_read_as_words() -> None:
    """When a route is taken, when a question is skipped, and blanks, are said in words."""
    page = of(made())
    assert (
        "When the answer is yes 2 What about sites? Otherwise 3 Bye, [answer to 'consent']?"
        in article(page, "consent")
    )
    assert "Also typed as: permission" in article(page, "consent")
    last = article(page, "close")
    assert "Skipped when 'consent' is known." in last
    assert "Bye, [answer to 'consent']?" in last
    assert "any STOP" in last


def test_what_no_question_decides_and_what_always_holds() -> None:
    """Advice that follows from the fit alone, and promises, stand at the end."""
    said = text(parsed(of(made())))
    assert "When the fit says the desk is too high. Say: Lower it." in said
    assert "Never together with: 'both'" in said
    assert "Whenever the caller says yes to 'consent', then 'sites' is asked." in said


def test_whom_to_contact_by_country() -> None:
    """A contact that is used has the words of every country, in a table with headers."""
    page = parsed(of(made()))
    table = page.find(".//table[@id='contact-emergency']")
    assert table is not None
    rows = {text(row.find("th")): text(row.find("td")) for row in table.find("tbody")}
    assert rows["Ireland"].startswith("call 112 or 999")
    assert page.find(".//table[@id='contact-clinician']") is None


def test_without_contacts() -> None:
    """Where nobody knows whom to contact, the contact is only named."""
    page = to_page(walk_of(made()))
    assert "Whom to contact: emergency" in article(page, "sites")
    parsed(page)


def test_for_everybody() -> None:
    """Language, one main heading, a link past the contents, headings in order, table headers."""
    _, page = shipped_page("seating")
    assert page.get("lang") == "en"
    assert len(list(page.iter("h1"))) == 1
    first = next(page.iter("a"))
    assert (first.get("class"), first.get("href")) == ("skip", "#questions")
    levels = [int(one.tag[1]) for one in page.iter() if re.fullmatch("h[1-6]", str(one.tag))]
    assert all(b <= a + 1 for a, b in pairwise(levels))
    assert all(one.find("thead/tr/th[@scope='col']") is not None for one in page.iter("table"))
    assert all(one.find("caption") is not None for one in page.iter("table"))


def test_nothing_runs_and_nothing_is_fetched() -> None:
    """The policy lets in the page's own style by its digest and nothing else."""
    page, root = shipped_page("seating")
    policy = root.find(".//meta[@http-equiv='Content-Security-Policy']").get("content")
    style = root.find(".//style").text
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{digest}';")
    assert not list(root.iter("script"))
    assert "http" not in re.sub(r'http-equiv="[^"]*"', "", page)
    assert not [
        one for one in root.iter() for name in one.attrib if name.startswith(("on", "style"))
    ]


def test_the_drawing_is_at_the_top() -> None:
    """With the library there the drawing stands before the questions, its boxes linked to them."""
    pytest.importorskip("fast_sugiyama")
    from consult.content.drawing.page import drawing

    view = made()
    page = of(view, drawing(view, prefix="drawing-", links=True))
    assert page.index("<svg") < page.index("<nav")
    parsed(page)
    assert '<a href="#question-sites"><g' in page


@settings(max_examples=examples(40), deadline=None)
@given(st.text(max_size=200))
def test_any_text(words: str) -> None:
    """Whatever is written in a tree, the page is sound."""
    parsed(of(made(words)))


def test_hostile_text_is_literal() -> None:
    """Markup in a text is shown as text."""
    page = of(made(HOSTILE))
    assert "<script" not in page
    assert '<script>alert("1")</script> & [b]]]>' in text(parsed(page))
    parsed(of(made("long " * 2000)))


def test_the_same_page_every_time() -> None:
    """The same tree gives the same bytes."""
    assert of(shipped("seating")) == of(shipped("seating"))
