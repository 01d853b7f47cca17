"""What a maker sells: the parts on a day, their prices, and which of them go together."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import combinations, product
from typing import Any

from consult.range.fitting import Fitting
from consult.range.parts import NO_BASE, Kind, Part, Span, loaded_seat_height


@dataclass(frozen=True, slots=True)
class Reach:
    """What the range on sale can do; mm. Loaded seat heights, footrest top heights."""

    seat_height: Span
    footrest_height: Span | None = None


@dataclass(frozen=True, slots=True)
class Range:
    """One maker's range file."""

    name: str
    maker: str
    version: str
    currency: str
    """Three letters: GBP."""
    parts: Mapping[Kind, tuple[Part, ...]]
    """Every part, discontinued ones too, in the order of the file."""
    vat: str = ""
    """Whether it is 'included' in the prices or 'excluded'; '' where the file does not say."""
    fitting: Fitting | None = None
    """What the parts make, where a file declares it; None: chairs."""
    kept: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What was worked out from these parts alone."""

    @property
    def thing(self) -> str:
        """What is chosen, as screens and documents call it."""
        return self.fitting.thing if self.fitting is not None else "chair"

    def on_sale(self, kind: Kind) -> tuple[Part, ...]:
        """The parts of a kind that can be ordered."""
        listed = self.parts.get(kind, ())
        if kind == "base" and not listed:
            return (NO_BASE,)
        return tuple(part for part in listed if not part.discontinued)

    def model_of(self, codes: Collection[str]) -> Part | None:
        """The fixed model on sale that is made of these parts; others may be among them."""
        return next((m for m in self.on_sale("model") if m.made_of <= set(codes)), None)

    def sold_as(self, parts: Mapping[Kind, Part]) -> tuple[Part, ...]:
        """What is ordered and paid for these parts: a fixed model in place of those it has."""
        listed = [part for part in parts.values() if part.code]
        model = self.model_of([part.code for part in listed])
        if model is None:
            return tuple(listed)
        return (model, *(part for part in listed if part.code not in model.made_of))

    def price_of(self, parts: Mapping[Kind, Part], pieces: int = 1) -> float:
        """What these parts cost together, for one chair of so many."""
        return sum(round(part.price_for(pieces) * 100) for part in self.sold_as(parts)) / 100

    def delivery_to(self, country: str) -> Part | None:
        """What delivery to a country (GB, or GB-NIR) is; None where the list does not say."""
        entries = {part.country: part for part in self.on_sale("delivery")}
        return entries.get(country.partition("-")[0]) or entries.get("")

    def on(self, day: date) -> Range:
        """The range as it is on a day: parts whose last day is past are discontinued."""
        past = [
            part.code
            for parts in self.parts.values()
            for part in parts
            if part.until is not None and part.until < day and not part.discontinued
        ]
        return self._with({code: {"discontinued": True} for code in past})

    def priced_for(self, pieces: int) -> Range:
        """The range at the prices of so many pieces, so that the chair is chosen by them."""
        return self._with(
            {
                part.code: {"price": part.price_for(pieces)}
                for parts in self.parts.values()
                for part in parts
                if part.price_for(pieces) != part.price
            }
        )

    def _with(self, changes: Mapping[str, Mapping[str, Any]]) -> Range:
        """The range with something else of the parts with these codes; itself where there are
        none. Kept, for what is worked out of a range is kept with it."""
        if not changes:
            return self
        name = f"with {changes}"
        if name not in self.kept:
            parts = {
                kind: tuple(replace(part, **changes.get(part.code, {})) for part in of)
                for kind, of in self.parts.items()
            }
            self.kept[name] = replace(self, parts=parts)
        range_: Range = self.kept[name]
        return range_

    def products(self) -> Iterator[dict[Kind, Part]]:
        """Everything that one part of each declared kind can make."""
        assert self.fitting is not None, "asked of a range that declares what it is"
        kinds = self.fitting.kinds
        for parts in product(*map(self.on_sale, kinds)):
            if all(self.agree(*pair) for pair in combinations(parts, 2)):
                yield dict(zip(kinds, parts, strict=True))

    def compatible(self, part: Part, other: Part) -> bool:
        """Whether two parts of different kinds go on the same chair; either may object.

        Both go on a fixed model that has both, whatever they object to elsewhere.
        """
        if any({part.code, other.code} <= model.made_of for model in self.on_sale("model")):
            return True
        return self.go_freely(part, other)

    def apart(self, chair: Iterable[Part]) -> tuple[Part, Part] | None:
        """The first two parts that cannot be on one chair; None where all go together."""
        return next((two for two in combinations(chair, 2) if not self.compatible(*two)), None)

    def go_freely(self, part: Part, other: Part) -> bool:
        """The same of a chair that is put together freely."""
        return not part.models_only and not other.models_only and self.agree(part, other)

    def agree(self, part: Part, other: Part) -> bool:
        """Whether neither part objects to the other."""
        return self._allows(part, other) and self._allows(other, part)

    def _allows(self, part: Part, other: Part) -> bool:
        if other.code in part.not_with:
            return False
        if not part.fits_with or other.code in part.fits_with:
            return True
        return not any(same.code in part.fits_with for same in self.parts.get(other.kind, ()))

    def reach(self) -> Reach:
        """Loaded seat heights and footrest heights that the parts on sale give, mm.

        Raises:
            ValueError: no seat, gas lift and castors on sale go together; a loaded range has some.
        """
        if "reach" not in self.kept:
            self.kept["reach"] = self._reach()
        reach: Reach = self.kept["reach"]
        return reach

    def _reach(self) -> Reach:
        kinds: tuple[Kind, ...] = ("seat", "gas_lift", "castors", "base")
        chairs = product(*map(self.on_sale, kinds))
        spans = [loaded_seat_height(*parts) for parts in chairs if self.apart(parts) is None]
        if not spans:
            raise ValueError("no seat, gas lift and castors of this range go together")
        rests = [part.height for part in self.on_sale("footrest") if part.height is not None]
        return Reach(_around(spans), _around(rests) if rests else None)


def _around(spans: list[Span]) -> Span:
    return min(low for low, _ in spans), max(high for _, high in spans)
