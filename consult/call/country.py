"""The country of the caller: set by the adviser, else answered, else the setting."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.call import COUNTRY, Answer

if TYPE_CHECKING:
    from consult.call.call import Call
    from consult.call.understand import Value
    from consult.tree.contacts import Contacts


def country_of(contacts: Contacts, call: Call, delivery: Value | None) -> str:
    """The code of the country whose contacts are said.

    ``delivery`` is where the chair goes, as answered: callers mostly are where their chair goes.
    Where it goes to the whole of which the setting is a part, the part stands.
    """
    told = call.latest().get(COUNTRY)
    if told is not None:
        return contacts.find(told.said) or told.said
    answered = contacts.find(delivery) if isinstance(delivery, str) else None
    if answered is None or call.country.startswith(f"{answered}-"):
        return call.country
    return answered


def set_country(call: Call, code: str) -> Call:
    """The call at a desk in this country, wherever the caller was said to be."""
    told = call.latest().get(COUNTRY)
    return replace(call.add(Answer(COUNTRY, code)) if told else call, country=code)
