"""Reads a spoken length, weight or count as a value with a margin, or as a question to ask.

``spoken`` turns words and typography into digits, ``slips`` mends typing errors, ``hedges`` marks
words such as "about" and "just under", ``phrase`` finds numbers and units, ``filling``
gives bare numbers their units, ``meaning`` decides.
"""

from consult.hearing.meaning import Listener
from consult.hearing.quantity import COUNT, LENGTH, MASS, Heard, Kind, Proposal, Unclear

__all__ = ["COUNT", "LENGTH", "MASS", "Heard", "Kind", "Listener", "Proposal", "Unclear"]
