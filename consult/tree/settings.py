"""Whose consult this is: the maker's name, country, money and sender, from one settings file.

It stands beside the trees, or in a folder above them, so that a draft and every published version
read the same one. Texts name it by blanks, ``<maker.name>``, which are filled when they are read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, cast

from consult.marked.marks import Texts, is_there
from consult.marked.schema import load_followed
from consult.problems import Problem
from consult.tree.placeholders import fill

SETTINGS_FILE = "settings.yaml"
SETTINGS_KEY = "settings"
"""What the file begins with."""
_ABOVE = 3
"""Folders from a published version up to the folder it was published in: versions, library."""
_SCHEMA = Path(__file__).with_name("settings.schema.json")
_MONEY = {"EUR": "euros", "GBP": "pounds", "USD": "dollars", "CHF": "francs", "SEK": "kronor"}


@dataclass(frozen=True, slots=True)
class Sender:
    """Who documents are from; '' for what is not said."""

    address: str = ""
    telephone: str = ""
    email: str = ""
    logo: str = ""
    """Name of a picture file beside the settings."""
    signature: str = ""
    """Under the adviser's name in every e-mail."""


@dataclass(frozen=True, slots=True)
class Terms:
    """The maker's own terms, each a sentence as an adviser says it."""

    trial: str = "I'll find out how long you can try it."
    damage: str = "If anything arrives damaged, tell us on the same day."
    service: str = "They also tell you who pays."


@dataclass(frozen=True, slots=True)
class Settings:
    maker: str = ""
    greeting: str = ""
    country: str = ""
    """Two letters, GB, or with a part of it, GB-NIR; '' where no file says."""
    currency: str = ""
    """Three letters."""
    units: Literal["metric", "imperial"] = "metric"
    with_tax: bool | None = None
    """Whether the prices of the range include tax; None where that is not said."""
    sender: Sender = field(default_factory=Sender)
    terms: Terms = field(default_factory=Terms)
    file: Path | None = None
    """None: there is no file, and nothing is known of the maker."""

    @property
    def money(self) -> str:
        """The currency as people say it: euros."""
        return _MONEY.get(self.currency, self.currency)

    def words(self) -> Mapping[str, str]:
        """Every blank ``<maker.something>`` and what stands there."""
        return {
            "maker.name": self.maker or "our firm",
            "maker.greeting": self.greeting or "Hello.",
            "maker.money": self.money or "money",
            "maker.trial": self.terms.trial,
            "maker.damage": self.terms.damage,
            "maker.service": self.terms.service,
        }

    def fill(self, text: str) -> str:
        """The text with every ``<maker.something>`` filled in."""
        if "<maker." not in text:
            return text
        known = self.words()
        return fill(text, lambda name: known.get(name, f"<{name}>"))


MAKER_BLANKS = frozenset(Settings().words())


def settings_file(folder: Path, texts: Texts | None = None) -> Path | None:
    """The settings file of a folder of trees: in it, or in a folder above it."""
    folder = folder.absolute()
    above = [folder, *folder.parents[:_ABOVE]]
    return next(
        (path / SETTINGS_FILE for path in above if is_there(path / SETTINGS_FILE, texts)), None
    )


def settings_of(folder: Path, texts: Texts | None = None) -> Settings:
    """The settings of a folder of trees; those of nobody where there is no sound file."""
    file = settings_file(folder, texts)
    return (load_settings(file, texts)[0] if file else None) or Settings()


def load_settings(path: Path, texts: Texts | None = None) -> tuple[Settings | None, list[Problem]]:
    """Read a settings file; None where it has errors."""
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None:
        return None, problems
    data: Mapping[str, Any] = marked.data
    sender: Mapping[str, str] = data.get("sender") or {}
    terms: Mapping[str, str] = data.get("terms") or {}
    prices = data.get("prices")
    settings = Settings(
        maker=_on_one_line(data["maker"]),
        greeting=_on_one_line(data["greeting"]),
        country=data["country"],
        currency=data["currency"],
        units=cast("Any", data.get("units", "metric")),
        with_tax=None if prices is None else prices == "with tax",
        sender=Sender(
            **{
                name: text if name in ("email", "logo") else _on_one_line(text)
                for name, text in sender.items()
            }
        ),
        terms=Terms(**{name: _on_one_line(text) for name, text in terms.items()}),
        file=path,
    )
    return settings, problems


def _on_one_line(text: str) -> str:
    return " ".join(text.split())
