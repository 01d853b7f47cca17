"""The country and the units of a call: of the command line, else of the environment, else of the
settings."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from consult.paths import trees_folder
from consult.problems import listed
from consult.tree.settings import settings_of

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.units import System


def chosen_country(said: str | None, basis: Basis) -> str:
    """The code of the country named, else of CONSULT_COUNTRY, else of the settings, else the
    contacts' default.

    ValueError, in words, where no country is called so.
    """
    contacts = basis.contacts
    country = said or os.environ.get("CONSULT_COUNTRY") or basis.settings.country
    code = contacts.find(country) if country else contacts.default
    if code is None:
        names = listed([contacts.name(one) for one in contacts.countries])
        raise ValueError(f"No country is called “{country}” here. Known are {names}.")
    return code


def usual_units() -> System:
    """The units that callers are taken to measure in: CONSULT_UNITS, else those of the settings."""
    match os.environ.get("CONSULT_UNITS"):
        case "metric":
            return "metric"
        case "imperial":
            return "imperial"
        case _:
            return settings_of(trees_folder()).units
