"""What a maker is asked when a folder begins: lines of the settings, and options of the command."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SettingField:
    """One line of the settings, how it is asked for, and how the option shows its value."""

    name: str
    """As the file and the option have it."""
    ask: str
    shown: str = "WORDS"
    needed: bool = True
    choices: tuple[str, ...] = ()
    sender: bool = False
    """Whether it stands under ``sender`` in the file."""


SETTING_FIELDS = (
    SettingField("maker", "The maker's name, as callers know it", "NAME"),
    SettingField("country", "Country, or its two letters (Ireland, IE ...)", "CODE"),
    SettingField("currency", "Currency of your prices, three letters (EUR, GBP ...)", "CODE"),
    SettingField("units", "What callers measure in", choices=("metric", "imperial")),
    SettingField("prices", "Your prices are", choices=("with tax", "without tax")),
    SettingField("greeting", "What an adviser says first"),
    SettingField("address", "Your address, for documents", needed=False, sender=True),
    SettingField("telephone", "The number callers ring", "NUMBER", needed=False, sender=True),
    SettingField("email", "Your e-mail address", "ADDRESS", needed=False, sender=True),
)
