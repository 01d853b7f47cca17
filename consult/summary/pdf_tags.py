"""The structure of a PDF: what is a heading, a list, a table or a drawing, for screen readers.

ISO 32000-1, 14.7 and 14.8. fpdf2 tags images and nothing else, and what is not tagged a screen
reader leaves out; so everything is tagged here, in a tree of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from fpdf.structure_tree import StructElem, StructureTreeBuilder

if TYPE_CHECKING:
    from fpdf.output import PDFPage
    from fpdf.syntax import PDFObject

Heads = Literal["H1", "H2", "H3"]
Running = Literal["P", "Note", "Figure"]
Listed = Literal["L", "LI", "Lbl", "LBody"]
Tabled = Literal["Table", "TR", "TH", "TD"]
Kind = Heads | Running | Listed | Tabled


class Tag(StructElem):
    """One element of the structure."""

    __slots__ = ("a",)

    def __init__(self, kind: Kind, parent: StructElem, alt: str | None = None) -> None:
        # Every piece of content names its own page, so the element's is of no account.
        super().__init__(f"/{kind}", parent, [], page_number=1, alt=alt)
        self.a: str | None = None
        parent.k.append(self)


class _Piece:
    """A piece of a page that belongs to an element (a marked-content reference)."""

    def __init__(self, page: PDFPage, number: int) -> None:
        self._page, self._number = page, number

    def serialize(self, **_: object) -> str:
        """As it is written into the element's list of kids."""
        return f"<</Type /MCR /Pg {self._page.ref} /MCID {self._number}>>"


class Tags(StructureTreeBuilder):
    """The elements of one document."""

    def __init__(self) -> None:
        super().__init__()
        self._all: list[Tag] = []

    def add(self, kind: Kind, under: Tag | None = None, alt: str | None = None) -> Tag:
        """A new element, after those already there; of the document itself if ``under`` none."""
        tag = Tag(kind, under or self.doc_struct_elem, alt)
        self._all.append(tag)
        return tag

    def head(self, under: Tag, of: Literal["Column", "Row"]) -> Tag:
        """A head cell of a table."""
        tag = self.add("TH", under)
        tag.a = f"<</O /Table /Scope /{of}>>"
        return tag

    def piece(self, tag: Tag, page: PDFPage, page_number: int) -> int:
        """The number of a new piece of a page, which belongs to ``tag``."""
        parents = self.spid_per_page_number
        parent = parents.setdefault(page_number, len(parents))
        page.struct_parents = parent
        owners = self.struct_tree_root.parent_tree.nums[parent]
        owners.append(tag)
        tag.k.append(_Piece(page, len(owners) - 1))
        return len(owners) - 1

    def __iter__(self) -> Iterator[PDFObject]:
        yield self.struct_tree_root
        yield self.doc_struct_elem
        yield self.struct_tree_root.parent_tree
        yield from self._all
