"""Names of before that trees and ranges may still use, so that earlier files can be read."""

from __future__ import annotations

from collections.abc import Mapping

_FEATURES: Mapping[str, str] = {"beyond_vertical": "tilts_forward"}


def feature_now(name: str) -> str:
    """What a feature of the range is called now."""
    return _FEATURES.get(name, name)
