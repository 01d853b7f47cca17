"""What callers say becomes mm, kg or a number; or a question, never a guess."""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Callable

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from consult.units import (
    Heard,
    System,
    Unclear,
    bare_length,
    format_length,
    format_mass,
    format_range,
    format_stature,
    from_unit,
    parse_count,
    parse_length,
    parse_mass,
    to_unit,
)
from tests.long import every_case

STATURE = (1400.0, 2050.0)
HEEL = (0.0, 100.0)
WEIGHT = (40.0, 180.0)
FT_5_2 = 1574.8
ST_9_4 = 9 * 6.35029318 + 4 * 0.45359237
SYSTEMS: list[System] = ["metric", "imperial", "both"]


def pair(heard: Heard) -> tuple[float, float]:
    return heard.value, heard.spread


@every_case(
    [
        ("5ft 2", FT_5_2),
        ("5'2\"", FT_5_2),
        ("5' 2½\"", 1587.5),
        ("5’2", FT_5_2),
        ("5′2″", FT_5_2),
        ("5’ 2”", FT_5_2),
        ("5 ft 2 in", FT_5_2),
        ("5 ft. 2 in.", FT_5_2),
        ("5 FT.2", FT_5_2),
        ("5 foot 2 and a half", 1587.5),
        ("five foot two", FT_5_2),
        ("five-foot-two", FT_5_2),
        ("five foot two and a half inches", 1587.5),
        ("five foot and two inches", FT_5_2),
        ("5 ft, 2", FT_5_2),
        ("5 foot 2 inches and a half", 1587.5),
        ("5 and a half foot", 1676.4),
        ("5 ft and 1/2 in", 1536.7),
        ("5.75 ft", 1752.6),
        ("5.0 ft", 1524),
        ("six foot tall", 1828.8),
        ("157", 1570),
        ("157cm", 1570),
        ("157 CM", 1570),
        ("157\u00a0cm.", 1570),
        ("157 centimetres", 1570),
        ("a hundred and fifty seven", 1570),
        ("one fifty-seven", 1570),
        ("1.57m", 1570),
        ("1,57 m", 1570),
        ("1m57", 1570),
        ("1 m 57 cm", 1570),
        ("1 metre 57", 1570),
        ("one metre fifty-seven", 1570),
        ("1m05", 1050),
        ("1 m 570 mm", 1570),
        ("42 cm 5 mm", 425),
        ("1570mm", 1570),
        ("62in", FT_5_2),
        ("62 inches", FT_5_2),
        ("62 Inch", FT_5_2),
        ("62''", FT_5_2),
        ("29 and a half inches", 749.3),
        ('29½"', 749.3),
        ("29 1/2 in", 749.3),
        ("29-inch", 736.6),
        ("twenty nine and three quarter inches", 755.65),
        ("an inch and a half", 38.1),
        ("half an inch", 12.7),
        ("a metre and a half", 1500),
        (".5 m", 500),
        ("25 mil", 25),
        ("٤٠", 400),
        ("４０ｃｍ", 400),
        ("exactly 40 cm", 400),
        ("it's 40 cm high", 400),
        ("157 cm (5 ft 2)", 1570),
        ("5 ft 2 (157 cm)", FT_5_2),
        ("157 cm = 5'2\"", 1570),
        ("157 cm, 5 ft 2", 1570),
        ("1.57m / 5ft2", 1570),
    ]
)
def test_lengths_callers_say(text: str, mm: float) -> None:
    """Each way of saying a length gives that length, with no spread."""
    assert pair(parse_length(text)) == pytest.approx((mm, 0), abs=1e-9)


@every_case(
    [
        ("9st 4", ST_9_4),
        ("9 stone 4 lb", ST_9_4),
        ("9 st 4lbs", ST_9_4),
        ("nine stone four", ST_9_4),
        ("nine stone and four pounds", ST_9_4),
        ("9 stone nothing", 9 * 6.35029318),
        ("9 and a half stone", 9.5 * 6.35029318),
        ("nine stone and a half", 9.5 * 6.35029318),
        ("130lb", 58.9670081),
        ("130 pounds", 58.9670081),
        ("59kg", 59),
        ("59 kilos", 59),
        ("59", 59),
        ("59,5", 59.5),
        ("fifty nine", 59),
        ("59 kg (9 st 4)", 59),
    ]
)
def test_masses_callers_say(text: str, kg: float) -> None:
    """Each way of saying a weight gives that weight, with no spread."""
    assert pair(parse_mass(text)) == pytest.approx((kg, 0), abs=1e-9)


@every_case(
    [
        # "about" adds 10 mm: common practice, no source
        ("about 40 cm", 400, 10),
        ("~40", 400, 10),
        ("≈ 40", 400, 10),
        ("roughly 40", 400, 10),
        ("around 40cm", 400, 10),
        ("40ish", 400, 10),
        ("40-ish", 400, 10),
        ("fortyish", 400, 10),
        ("40 cm or so", 400, 10),
        ("40 cm, give or take", 400, 10),
        ("40 cm, or so", 400, 10),
        ("just under 5 ft 2", FT_5_2 - 5, 5),
        ("40-42 cm", 410, 10),
        ("40 – 42", 410, 10),
        ("40 to 42 cm", 410, 10),
        ("40 or 42 cm", 410, 10),
        ("42 to 40 cm", 410, 10),
        ("between 40 and 42", 410, 10),
        ("from 40 to 42", 410, 10),
        ("40cm - 42cm", 410, 10),
        ("40 cm to 42", 410, 10),
        ("forty to forty-two", 410, 10),
        ("5ft 2 to 5ft 3", 1587.5, 12.7),
        ("5 ft 2 to 3", 1587.5, 12.7),
        ("between five foot and five foot two", 1549.4, 25.4),
        ("between 29 and a half and 30 inches", 755.65, 6.35),
        ("between half an inch and 1 inch", 19.05, 6.35),
        ("between 0 and 1/2 in", 6.35, 6.35),
        ("about 40 to 42", 410, 20),
        ("40 ± 1 cm", 400, 10),
        ("40 cm ± 5 mm", 400, 5),
        ("40 +/- 1", 400, 10),
        ("40 cm plus or minus half an inch", 400, 12.7),
        ("5 ft 2 ± 1", FT_5_2, 25.4),
        ("about 40 ± 1 cm", 400, 10),
    ]
)
def test_spread_of_lengths(text: str, middle: float, spread: float) -> None:
    """A range is its middle with half its width; "about" adds 10 mm."""
    assert pair(parse_length(text)) == pytest.approx((middle, spread), abs=1e-9)


def test_spread_of_masses() -> None:
    """ "About" adds 2 kg (common practice, no source); a range gives half its width."""
    assert parse_mass("about 59 kg") == Heard(59, 2)
    assert parse_mass("58-60") == Heard(59, 1)
    assert parse_mass("9 st 4 to 6").spread == pytest.approx(0.45359237, abs=1e-9)


@every_case(
    [
        ("7", Heard(7)),
        ("7 and a half", Heard(7.5)),
        ("7½", Heard(7.5)),
        ("7.5", Heard(7.5)),
        ("5.2", Heard(5.2)),
        ("about 6", Heard(6, 1)),
        ("6-8", Heard(7, 1)),
        ("8-6", Heard(7, 1)),
        ("six", Heard(6)),
        ("0", Heard(0)),
        ("6 ± 1", Heard(6, 1)),
    ]
)
def test_counts(text: str, heard: Heard) -> None:
    """A plain number is taken as it is, zero included."""
    assert parse_count(text) == heard


@every_case(
    [
        ("62", "cm", STATURE, "62 cm is short for this. Did they say 62 in (157.5 cm)?"),
        ("5.2", "cm", STATURE, "Is that 5 ft 2 in (157.5 cm) or 5.2 ft (158.5 cm)?"),
        ("5.2 ft", "cm", None, "Is that 5 ft 2 in (157.5 cm) or 5.2 ft (158.5 cm)?"),
        ("5.2'", "cm", STATURE, "Is that 5 ft 2 in (157.5 cm) or 5.2 ft (158.5 cm)?"),
        ("5.10ft", "cm", STATURE, "Is that 5 ft 10 in (177.8 cm) or 5.1 ft (155.4 cm)?"),
        ("6", "cm", STATURE, "6 cm is short for this. Did they say 6 ft (182.9 cm)?"),
        (
            "60-62",
            "cm",
            STATURE,
            "60 to 62 cm is short for this. Did they say 60 to 62 in (152.4 cm to 157.5 cm)?",
        ),
        ("5 2", "cm", STATURE, "I read 5 and 2. Is that 5 ft 2 in (157.5 cm)?"),
        ("5 2", "cm", None, "I read 5 and 2. Is that 5 ft 2 in (157.5 cm) or 52 cm?"),
        ("1 57", "cm", STATURE, "I read 1 and 57. Is that 1.57 m (157 cm)?"),
        ("five ten", "cm", STATURE, "I read 5 and 10. Is that 5 ft 10 in (177.8 cm)?"),
        ("40 42", "cm", None, "I read two numbers, 40 and 42. Which one is it, or is it a range?"),
        ("1,570 mm", "cm", None, "Is that 1.57 mm or 1570 mm?"),
    ]
)
def test_doubtful_lengths_are_asked_back(
    text: str, bare: str, expect: tuple[float, float] | None, question: str
) -> None:
    """The question names every reading that would make sense."""
    assert _question(lambda: parse_length(text, bare, expect)) == question


@pytest.mark.parametrize(
    ("text", "expect", "question"),
    [
        (
            "200",
            WEIGHT,
            "200 kg is heavy for this. Did they say 200 lb (90.7 kg), or is it 200 kg?",
        ),
        ("11", WEIGHT, "11 kg is light for this. Did they say 11 st (69.9 kg)?"),
        ("9 4", WEIGHT, "I read 9 and 4. Is that 9 st 4 lb (59 kg) or 94 kg?"),
        ("9.4", WEIGHT, "Is that 9 st 4 lb (59 kg) or 9.4 st (59.7 kg)?"),
        ("9.4 stone", None, "Is that 9 st 4 lb (59 kg) or 9.4 st (59.7 kg)?"),
    ],
)
def test_doubtful_masses_are_asked_back(
    text: str, expect: tuple[float, float] | None, question: str
) -> None:
    """Kilograms, stones and pounds are told apart by asking."""
    assert _question(lambda: parse_mass(text, expect=expect)) == question


@every_case(
    [
        ("", "Nothing was typed"),
        ("  \n", "Nothing was typed"),
        ("tall", "no number"),
        ("0", "zero"),
        ("-5", "below zero"),
        ("−40 cm", "below zero"),
        ("minus forty", "below zero"),
        ("5 ft 12", "12 inches in a foot"),
        ("5 ft 14 in", "14 inches after the feet"),
        ("1 m 120 cm", "100 centimetres in a metre"),
        ("1m5", "How many centimetres"),
        ("157 (5 ft 4)", "157 cm and 5 ft 4 in (162.6 cm) are not the same"),
        ("59 kg", "kg is for a weight"),
        ("11 m", "far too long"),
        ("1000 ft", "far too long"),
        ("9-4", "9 ft 4 in (284.5 cm), or a range"),
        ("5ft-6", "5 ft 6 in (167.6 cm), or a range"),
        ("5 to 6 ft 2", "Which unit goes with the 5?"),
        ("40 ± 50", "as large as the value"),
        ("40 to", "What is meant"),
        ("between 40", "What is meant"),
        ("5.5 ft 2", "What is meant"),
        ("5 ft 2 cm", "are not the same"),
        ("cm 40", "What is meant"),
        ("5/10", "What is meant"),
        ("1.2.3", "What is meant"),
        ("157 158 159", "What is meant"),
        ("more than 40", '"more"'),
        ("nan", "no number"),
        ("inf", "no number"),
        ("1e9", '"e"'),
        ("0x10", '"x"'),
        ("5²", '"²"'),
        ("40 [bold]cm[/]", '"bold"'),
        ("40 🪑", '"🪑"'),
        ("40 سم", '"سم"'),
        ("9" * 201, "too long"),
        ("9" * 150, "far too long"),
        ("q" * 199, "…"),
    ]
)
def test_lengths_without_one_meaning_are_refused_in_words(text: str, part: str) -> None:
    """Anything that is not one possible length gets a question that says why."""
    assert part in _question(lambda: parse_length(text))


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("62 in", "in is for a length"),
        ("9st 14", "14 pounds in a stone"),
        ("0", "zero"),
        ("501 kg", "far too heavy"),
        ("9-4", "9 st 4 lb (59 kg), or a range"),
    ],
)
def test_masses_without_one_meaning_are_refused_in_words(text: str, part: str) -> None:
    """Anything that is not one possible weight gets a question that says why."""
    assert part in _question(lambda: parse_mass(text, expect=None))


@pytest.mark.parametrize(
    "text", ["7 cm", "7 kg", "7 hours", "1,570", "5 2", "seven-ish eggs", "-1"]
)
def test_counts_take_plain_numbers_only(text: str) -> None:
    """A count with a unit or a second meaning is asked back."""
    assert _question(lambda: parse_count(text)).endswith("?")


def test_a_said_unit_is_believed_within_reason() -> None:
    """A length with its unit may be unusual, but not under a quarter or over three times usual."""
    assert parse_length("62 cm", expect=STATURE).value == 620
    assert parse_length("350 mm", expect=STATURE).value == 350
    assert "far too short" in _question(lambda: parse_length("349 mm", expect=STATURE))
    assert parse_length("615 cm", expect=STATURE).value == 6150
    assert "far too long" in _question(lambda: parse_length("616 cm", expect=STATURE))


def test_a_bare_number_with_no_better_unit_is_believed() -> None:
    """An unusual bare number that no other unit explains is kept, to be measured again."""
    assert parse_length("210", expect=STATURE).value == 2100


def test_usual_values_are_inclusive() -> None:
    """The ends of the usual values are usual."""
    assert parse_length("140", expect=STATURE).value == 1400
    assert parse_length("205", expect=STATURE).value == 2050


def test_zero_needs_a_question_that_allows_it() -> None:
    """No heel is 0 mm; no weight is 0 kg; a count of zero counts unless it is unusual."""
    assert parse_length("0", expect=HEEL).value == 0
    assert parse_length("0 to 2 cm", expect=HEEL) == Heard(10, 10)
    assert "zero" in _question(lambda: parse_length("0", expect=STATURE))
    assert "zero" in _question(lambda: parse_mass("0", expect=(0, 180)))
    assert "zero" in _question(lambda: parse_count("0", expect=(1, 12)))


def test_thousands_or_decimal_is_settled_by_the_usual_values() -> None:
    """ "1,570 mm" is 1570 mm where a stature is asked, since 1.57 mm is none."""
    assert parse_length("1,570 mm", expect=STATURE).value == 1570
    assert parse_length("1,570 m", expect=STATURE).value == 1570


def test_bare_takes_the_unit_of_the_question() -> None:
    """A number without a unit is in the unit the question names."""
    assert parse_length("25", bare="mm").value == 25
    assert parse_length("29", bare="in").value == pytest.approx(736.6, abs=1e-9)
    assert parse_mass("130", bare="lb").value == pytest.approx(58.9670081, abs=1e-9)


@every_case(
    [
        (375, "37.5 cm", "14¾ in"),
        (370, "37 cm", "14½ in"),
        (1219.2, "121.9 cm", "48 in"),
        (1263.7, "126.4 cm", "49¾ in"),
        (1825.6, "182.6 cm", "71¾ in"),
        (1828.8, "182.9 cm", "6 ft"),
        (1905, "190.5 cm", "6 ft 3 in"),
        (10, "1 cm", "½ in"),
        (0, "0 cm", "0 in"),
        (-40, "−4 cm", "−1½ in"),
        (-0.2, "0 cm", "0 in"),
        (-FT_5_2, "−157.5 cm", "−62 in"),
    ]
)
def test_format_length(mm: float, metric: str, imperial: str) -> None:
    """Lengths read as people write them; differences may be below zero."""
    assert format_length(mm, "metric") == metric
    assert format_length(mm, "imperial") == imperial
    assert format_length(mm, "both") == f"{metric} ({imperial})"


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (FT_5_2, "157.5 cm", "5 ft 2 in"),
        (1587.5, "158.8 cm", "5 ft 2½ in"),
        (1524, "152.4 cm", "5 ft"),
        (1523, "152.3 cm", "5 ft"),
        (1829, "182.9 cm", "6 ft"),
    ],
)
def test_format_stature(mm: float, metric: str, imperial: str) -> None:
    """The height of a person reads in feet and inches, however tall they are."""
    assert format_stature(mm, "metric") == metric
    assert format_stature(mm, "imperial") == imperial
    assert format_stature(mm, "both") == f"{metric} ({imperial})"


@pytest.mark.parametrize(
    ("low", "high", "metric", "imperial"),
    [
        (515, 535, "51.5 to 53.5 cm", "20¼ to 21 in"),
        (660, 660, "66 cm", "26 in"),
        (660, 661, "66 to 66.1 cm", "26 in"),
        (1200, 1900, "120 to 190 cm", "47¼ in to 6 ft 2¾ in"),
    ],
)
def test_format_range(low: float, high: float, metric: str, imperial: str) -> None:
    """The unit is said once, and a range of nothing is one length."""
    assert format_range(low, high, "metric") == metric
    assert format_range(low, high, "imperial") == imperial
    assert format_range(low, high, "both") == f"{metric} ({imperial})"


@pytest.mark.parametrize(
    ("kg", "metric", "imperial"),
    [
        (59, "59 kg", "9 st 4 lb"),
        (59.44, "59.4 kg", "9 st 5 lb"),
        (63.5029318, "63.5 kg", "10 st"),
        (63.4, "63.4 kg", "10 st"),
        (2, "2 kg", "4 lb"),
        (0, "0 kg", "0 lb"),
        (-2, "−2 kg", "−4 lb"),
    ],
)
def test_format_mass(kg: float, metric: str, imperial: str) -> None:
    """Masses read as people write them, to a tenth of a kilogram or a pound."""
    assert format_mass(kg, "metric") == metric
    assert format_mass(kg, "imperial") == imperial
    assert format_mass(kg, "both") == f"{metric} ({imperial})"


@pytest.mark.parametrize("system", SYSTEMS)
@given(mm=st.floats(4, 9990))
@example(mm=1219.9)
@example(mm=1523.9)
def test_a_written_length_is_read_back(system: System, mm: float) -> None:
    """What the program writes, it reads as the same length within its rounding."""
    rounding = 25.4 / 8 if system == "imperial" else 0.5
    heard = parse_length(format_length(mm, system))
    assert heard.value == pytest.approx(mm, abs=rounding + 1e-6)
    assert heard.spread == 0


@pytest.mark.parametrize("system", SYSTEMS)
@given(kg=st.floats(0.3, 499))
@example(kg=63.4)
def test_a_written_mass_is_read_back(system: System, kg: float) -> None:
    """What the program writes, it reads as the same mass within its rounding."""
    rounding = 0.45359237 / 2 if system == "imperial" else 0.05
    assert parse_mass(format_mass(kg, system)).value == pytest.approx(kg, abs=rounding + 1e-6)


@given(st.floats(-1e6, 1e6), st.sampled_from(["mm", "cm", "m", "in", "ft", "kg", "lb", "st"]))
def test_conversion_goes_both_ways(value: float, unit: str) -> None:
    """A value taken to another unit and back is the same value."""
    assert from_unit(to_unit(value, unit), unit) == pytest.approx(value, rel=1e-12)


def test_unknown_units_are_named() -> None:
    """A unit the program does not have is named in the error."""
    with pytest.raises(ValueError, match="'yd' is not a unit here"):
        from_unit(1, "yd")


_PIECES = (
    "5 2 62 157 1.57 1,570 1/2 ½ 0 12 ft in cm m mm st lb kg ' \" - to and or between a half an "
    "inch foot quarter hundred one five twenty point about ± ( ) , / . ish of minus [ ٣"
)
_WORDS = st.sampled_from(_PIECES.split())
_SAID = st.text() | st.lists(_WORDS, max_size=9).map(" ".join) | st.lists(_WORDS).map("".join)
_USUAL = st.sampled_from([None, STATURE, HEEL, (1.0, 12.0)])


@given(_SAID, _USUAL)
def test_any_text_is_heard_or_asked_back(text: str, usual: tuple[float, float] | None) -> None:
    """Whatever is typed gives a finite value from 0 up, or a short question; nothing else."""
    parsers: list[Callable[[], Heard]] = [
        lambda: parse_length(text, expect=usual),
        lambda: parse_mass(text, expect=usual),
        lambda: parse_count(text, expect=usual),
    ]
    for parse in parsers:
        heard = _heard_or_asked(parse)
        if isinstance(heard, str):
            assert 0 < len(heard) < 250
            assert heard.endswith("?")
        else:
            assert math.isfinite(heard.value)
            assert heard.value >= 0
            assert math.isfinite(heard.spread)
            assert heard.spread >= 0


def test_a_long_text_is_not_repeated() -> None:
    """A page of text gets a short question that holds none of it."""
    assert "zz" not in _question(lambda: parse_length("5 zz" * 2500))
    assert len(_question(lambda: parse_length("4 " + "z" * 150))) < 120


def test_units_need_no_heavy_libraries() -> None:
    """Reading a length loads neither numpy nor the screen library, so commands start fast."""
    code = "import sys, consult.units; print({'numpy', 'textual', 'yaml'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def _question(parse: Callable[[], Heard]) -> str:
    with pytest.raises(Unclear) as caught:
        parse()
    return str(caught.value)


def _heard_or_asked(parse: Callable[[], Heard]) -> Heard | str:
    try:
        return parse()
    except Unclear as question:
        return str(question)


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [(0, "0", "0"), (441.9, "44.2", "17½"), (1263.65, "126.4", "49¾"), (-25.4, "−2.5", "−1")],
)
def test_bare_lengths_stay_in_one_unit(mm: float, metric: str, imperial: str) -> None:
    """A column headed in inches never goes over into feet."""
    assert bare_length(mm, "metric") == metric
    assert bare_length(mm, "imperial") == imperial
