"""Amounts of money as people read them: one form on screens, in documents and on the telephone.

The currency is the range's, which follows the settings; its code stands before the amount, because
a sign such as $ means several currencies and is not in every face a document is set in.
"""

from __future__ import annotations

FREE = "no charge"


def money(amount: float, currency: str, *, whole: bool = False) -> str:
    """ "EUR 1,234.50"; "no charge" for nothing. ``whole`` leaves cents out where cells are few."""
    if not round(amount, 2):
        return FREE
    return f"{currency} {amount:,.{0 if whole else 2}f}"


def dearer(difference: float, currency: str) -> str:
    """A difference in price: "EUR 12.00 more"; '' where it costs the same."""
    if not round(difference, 2):
        return ""
    return f"{money(abs(difference), currency)} {'more' if difference > 0 else 'less'}"
