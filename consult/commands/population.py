"""Which population this installation estimates callers from."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from consult.body.populations import DEFAULT_ID, load_named

if TYPE_CHECKING:
    from consult.body.population import Population


def chosen_population(named: str | None) -> Population:
    """The one named, else that of CONSULT_POPULATION, else the default; ValueError in words."""
    return load_named(named or os.environ.get("CONSULT_POPULATION") or DEFAULT_ID)
