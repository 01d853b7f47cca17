"""What a range makes of its parts, beside chairs: declared products."""

from __future__ import annotations

from dataclasses import replace

from consult.paths import shipped_trees
from consult.range.fitting_file import load_fitting
from consult.range.parts import Kind, Part

FILE = shipped_trees() / "examples" / "desk_fitting" / "fitting.yaml"


def test_every_product_has_parts_that_all_agree() -> None:
    """Three frames, three tops and two switches make 18; one pair that does not go together is in
    two of them, whichever of the two objects."""
    desks, problems = load_fitting(FILE)
    assert desks is not None, problems
    assert len(list(desks.products())) == 18
    pairs = (("FRAME-LOW", "TOP-160"), ("TOP-160", "FRAME-LOW"), ("HAND-PLAIN", "FRAME-LOW"))
    for (objects, to), left in zip(pairs, (16, 16, 15), strict=True):
        parts: dict[Kind, tuple[Part, ...]] = {
            kind: tuple(
                replace(one, not_with=frozenset({to})) if one.code == objects else one for one in of
            )
            for kind, of in desks.parts.items()
        }
        made = [
            {part.code for part in each.values()} for each in replace(desks, parts=parts).products()
        ]
        assert len(made) == left
        assert not any({objects, to} <= each for each in made)
