"""The desk companion of a telephone seating adviser."""

__version__ = "0.1.0"
