"""What a spreadsheet would take for a formula."""

FORMULA = frozenset("=+-@＝＋－＠")
"""Signs at the beginning of a cell; the wide ones are read like the others."""
