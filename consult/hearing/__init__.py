"""Reads a spoken length, weight or count as a value with a margin, or as a question to ask.

``spoken`` turns words and typography into digits, ``phrase`` mends typing errors, marks words such
as "about" and finds numbers and units, ``filling`` gives bare numbers their units, ``meaning``
decides.
"""
