"""Photographs and the logo in the documents that may show them."""

from __future__ import annotations

import email.policy
import html
import re
from base64 import b64decode
from dataclasses import replace
from email import message_from_bytes
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from consult.call.basis import RANGE_FILE, Basis, load_basis
from consult.call.state import State, state
from consult.paths import shipped_trees
from consult.picture.svg_logo import clean_svg
from consult.summary import Paper
from consult.summary.render import Writer
from consult.tree.settings import Sender
from tests.picture.test_svg_logo import LOGO
from tests.ui.desk import demo


@cache
def with_photographs() -> tuple[Basis, State]:
    """The shipped trees with a photograph of every seat, and what a call comes to."""
    trees = shipped_trees()
    file = trees / RANGE_FILE
    text = file.read_text("utf-8").replace("    width: ", "    photo: seat.png\n    width: ")
    found, problems = load_basis(trees / "seating.yaml", texts={file: text})
    assert found is not None, problems
    return found, state(found, demo("01").call)


@pytest.fixture
def basis(tmp_path: Path) -> Basis:
    """The same with the files of the photographs, and a logo."""
    found, _ = with_photographs()
    Image.new("RGB", (300, 200), "navy").save(tmp_path / "seat.png")
    Image.new("RGB", (90, 30), "red").save(tmp_path / "logo.png")
    own = replace(
        found.settings,
        file=tmp_path / "settings.yaml",
        sender=Sender("Mill Road", logo="logo.png", signature="Monday to Friday"),
    )
    tree = replace(found.tree, files=(str(tmp_path / "seating.yaml"),))
    return replace(found, tree=tree, settings=own)


def writer(basis: Basis) -> Writer:
    return Writer(basis, with_photographs()[1], None, "7K3-M2Q", "Ann")


@pytest.mark.parametrize(("paper", "many"), [("caller", 2), ("employer", 2), ("order", 1)])
def test_a_page_holds_them_in_itself(basis: Basis, paper: Paper, many: int) -> None:
    """The chair where somebody may buy it, the logo everywhere; nothing is fetched from outside."""
    page = html.unescape(writer(basis).write("html", paper).decode())
    assert page.count("src=") == page.count('src="data:image/jpeg;base64,') == many
    assert "img-src data:" in page
    assert "default-src 'none'" in page
    # What follows is no part of the list of photographs.
    assert ('<p dir="auto">Medium seat</p>' in page) is (paper != "order")


@pytest.mark.parametrize("paper", ["caller", "employer"])
def test_a_pdf_holds_them_and_fits_its_pages(basis: Basis, paper: Paper) -> None:
    """Two JPEGs; the same bytes every time."""
    found = writer(basis).write("pdf", paper)
    assert found.count(b"/DCTDecode") == 2
    assert found == writer(basis).write("pdf", paper)
    assert len(PdfReader(BytesIO(found)).pages) <= (2 if paper == "caller" else 1)


def test_an_email_brings_the_logo_along(basis: Basis) -> None:
    """As a part that its page names, with the signature under the adviser's name."""
    mail_bytes = writer(basis).write("eml", "caller")
    mail = message_from_bytes(mail_bytes, policy=email.policy.default)
    (image,) = [one for one in mail.walk() if one.get_content_type() == "image/jpeg"]
    (page,) = [one for one in mail.walk() if one.get_content_type() == "text/html"]
    assert f"cid:{image['Content-ID'].strip('<>')}" in page.get_content()
    assert "img-src cid:" in page.get_content()
    plain = mail.get_body(("plain",))
    assert plain is not None
    said = plain.get_content().replace("\r", "")
    assert "Kind regards, Ann\n\nMonday to Friday\n" in said
    assert "picture" not in said
    assert writer(basis).write("eml", "caller") == mail_bytes


@pytest.mark.parametrize("paper", ["caller", "employer", "order"])
def test_a_logo_that_is_a_drawing(basis: Basis, tmp_path: Path, paper: Paper) -> None:
    """As shapes in the page and in the PDF; in an e-mail the PNG beside it, or none."""
    (tmp_path / "logo.svg").write_text(LOGO)
    sender = replace(basis.settings.sender, logo="logo.svg")
    own = writer(replace(basis, settings=replace(basis.settings, sender=sender)))
    page = html.unescape(own.write("html", paper).decode())
    (found,) = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)" width="(\d+)"', page)
    assert b64decode(found[0]) == clean_svg(LOGO.encode())[0]
    assert int(found[1]) == 121  # 32 mm
    pdf = PdfReader(BytesIO(own.write("pdf", paper)))
    drawn = [one.get_contents() for one in pdf.pages]
    assert any(one is not None and b"0.0667 0.4667 0.2 rg" in one.get_data() for one in drawn)
    if paper == "order":
        return
    for beside in (True, False):
        if not beside:
            (tmp_path / "logo.png").unlink()
            own = writer(own.basis)
        mail = message_from_bytes(own.write("eml", paper), policy=email.policy.default)
        kinds = [one.get_content_type() for one in mail.walk()]
        assert kinds.count("image/jpeg") == beside
        assert "image/svg+xml" not in kinds


@pytest.mark.parametrize("content", [None, b"junk"])
def test_no_document_fails_for_a_picture(
    basis: Basis, tmp_path: Path, content: bytes | None
) -> None:
    """It is left out, and the words stay the same."""
    whole = writer(basis)
    for name in ("seat.png", "logo.png"):
        (tmp_path / name).unlink()
        if content is not None:
            (tmp_path / name).write_bytes(content)
    bare = writer(basis)
    assert "<img" not in bare.write("html", "caller").decode()
    assert b"/DCTDecode" not in bare.write("pdf", "caller")
    assert bare.write("text", "caller") == whole.write("text", "caller")
    assert bare.write("eml", "caller")
