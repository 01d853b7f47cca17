"""Number words and the typography of numbers."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from consult.hearing.spoken import in_digits, plain
from tests.long import every_case


@every_case(
    [
        ("six", "6"),
        ("nineteen", "19"),
        ("Forty", "40"),
        ("forty-two", "42"),
        ("ninety nine", "99"),
        ("a hundred", "100"),
        ("a hundred and fifty seven", "157"),
        ("one hundred fifty-seven", "157"),
        ("hundred and five", "105"),
        ("one fifty-seven", "157"),
        ("one-sixty", "160"),
        ("one ten", "110"),
        ("one thousand five hundred and seventy", "1570"),
        ("nothing", "0"),
        ("one point five seven", "1.57"),
        ("5 point 2", "5.2"),
        ("nought point five", "0.5"),
        ("nine point five", "9.5"),
        ("fortyish", "40 ish"),
    ]
)
def test_number_words_become_digits(said: str, digits: str) -> None:
    """A number said in words is the same number in digits."""
    assert in_digits(said) == digits


@every_case(
    [
        ("half an inch", "1/2 inch"),
        ("an inch and a half", "1 inch and 1/2"),
        ("a foot", "1 foot"),
        ("five foot two and a half", "5 foot 2 and 1/2"),
        ("three quarters of an inch", "3/4 inch"),
        ("a quarter of an inch", "1/4 inch"),
        ("twenty nine three quarters", "29 3/4"),
        ("two thirds", "2/3"),
        ("one half", "1/2"),
        ("seven eighths", "7/8"),
        ("3 quarters", "3/4"),
        ("hundred and a half", "100 and 1/2"),
        ("29½", "29 1/2"),
        ("⅓", "1/3"),
        ("5' 2¾\"", "5 ' 2 3/4 \""),
    ]
)
def test_spoken_fractions_stay_fractions(said: str, digits: str) -> None:
    """Halves and quarters become fractions in digits, never decimals."""
    assert in_digits(said) == digits


@every_case(
    [
        ("５’２”", "5'2\""),
        ("5′2″", "5'2\""),
        ("5''", '5"'),
        ("٤٠", "40"),
        ("४०", "40"),
        ("١٫٥", "1.5"),
        ("40\u00a0CM", "40 cm"),
        ("40 – 42", "40 - 42"),
        ("\u200f40\u200e", "40"),
        ("40 ㎝", "40 cm"),
        ("5²", "5²"),
        ("5㎡", "5㎡"),
    ]
)
def test_typography_is_evened_out(typed: str, clean: str) -> None:
    """Digits of any script, quotes, primes, dashes and spaces come out in one form."""
    assert plain(typed) == clean


def test_ranges_in_words_stay_ranges() -> None:
    """Two numbers joined by a word are not added together."""
    assert in_digits("between a hundred and fifty and a hundred and sixty") == "between 150 and 160"
    assert in_digits("six to eight") == "6 to 8"
    assert in_digits("six-eight") == "6 - 8"


@given(st.integers(0, 9999))
def test_every_number_in_words_comes_back(number: int) -> None:
    """Any whole number up to 9999, spelled the British way, becomes its own digits."""
    assert in_digits(_spelled(number)) == str(number)


_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety"


def _spelled(number: int) -> str:
    if number < 20:
        return _ONES.split()[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS.split()[tens] + (f"-{_spelled(ones)}" if ones else "")
    size, name = (100, "hundred") if number < 1000 else (1000, "thousand")
    many, rest = divmod(number, size)
    joint = " and " if rest < 100 else " "
    return f"{_spelled(many)} {name}" + (f"{joint}{_spelled(rest)}" if rest else "")
