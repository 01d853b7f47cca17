"""The country given on the command line, as the contacts file knows it."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from consult.problems import listed

if TYPE_CHECKING:
    from consult.tree.contacts import Contacts


def chosen_country(said: str | None, contacts: Contacts) -> str:
    """The code of the country named, else of CONSULT_COUNTRY, else of the contacts' default.

    ValueError, in words, where no country is called so.
    """
    country = said or os.environ.get("CONSULT_COUNTRY") or ""
    code = contacts.find(country) if country else contacts.default
    if code is None:
        names = listed([contacts.name(one) for one in contacts.countries])
        raise ValueError(f"No country is called “{country}” here. Known are {names}.")
    return code
