from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.errors import UnitError
from ease.units import (
    CM_PER,
    NEWTON_PER,
    canonical_unit,
    length_text,
    number_from_text,
    parse_length,
    parse_load,
    parse_quantity,
    percent_text,
    pressure_text,
)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("12.5", 12.5, ""),
        ("12,5", 12.5, ""),
        (" 3 7/8 ", 3.875, ""),
        ("3-7/8", 3.875, ""),
        ("3⅞", 3.875, ""),
        ("⅞", 0.875, ""),
        ('7/8"', 0.875, "in"),
        ("3⁄4 in", 0.75, "in"),
        ("5'", 5.0, "ft"),
        ("12.5cm", 12.5, "cm"),
        ("12,5 mm", 12.5, "mm"),
        ("1.8 kg", 1.8, "kg"),
        ("500gf", 500.0, "g"),
        ("10 lbf", 10.0, "lb"),
        ("-3.5", -3.5, ""),
        ("−3.5", -3.5, ""),
        ("1e-3", 0.001, ""),
        ("12\u00a0cm", 12.0, "cm"),
        ("30 minutes", 30.0, "min"),
    ],
)
def test_what_makers_write_is_read(text: str, value: float, unit: str) -> None:
    quantity = parse_quantity(text)
    assert quantity.value == pytest.approx(value, rel=1e-15)
    assert quantity.unit == unit


@pytest.mark.parametrize(
    "text",
    [
        *("", "abc", "nan", "inf", "infinity", "1_000", "1e999", "3 7/0", "--5", "/8"),
        *("1.2.3", "1.000,5", "٣", "3 7", "0x10"),
    ],
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        number_from_text(text)


@pytest.mark.parametrize(
    ("text", "default", "cm"),
    [
        ("10", "cm", 10.0),
        ("10", "in", 25.4),
        ("100 mm", "in", 10.0),
        ("1 ft", "cm", 30.48),
    ],
)
def test_a_length_comes_out_in_cm(text: str, default: str, cm: float) -> None:
    assert parse_length(text, default) == pytest.approx(cm, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5 ft 6 in", 66),
        ("5 ft 6 1/2 in", 66.5),
        ("5ft6in", 66),
        ("5 ft. 6 in.", 66),
        ("5 feet, 6 inches", 66),
        ("1 foot 1 inch", 13),
        ("5' 6\"", 66),
        ("5'6½\"", 66.5),
        ("5′ 6″", 66),
        ("5’ 6”", 66),
        ("5' 6''", 66),
        ("5 ft 6,5 in", 66.5),
        ("-1 ft 1/2 in", -12.5),
        ("0 ft 11 7/8 in", 11.875),
        ("5 ft", 60),
    ],
)
def test_feet_and_inches(text: str, inches: float) -> None:
    assert parse_length(text) == pytest.approx(inches * 2.54, rel=1e-15)


@given(
    st.integers(0, 999),
    st.integers(0, 12 * 64 - 1),
    st.sampled_from(["{} ft {} in", "{}' {}\"", "{}′{}″", "{} feet, {} inches"]),
)
def test_feet_and_inches_come_back(feet: int, parts: int, form: str) -> None:
    """Every 64th of an inch below a foot, beside any whole feet; exact in a float."""
    whole, rest = divmod(parts, 64)
    written = form.format(feet, f"{whole} {rest}/64")
    assert parse_quantity(written).unit == "in"
    assert parse_quantity(written).value == 12 * feet + Fraction(parts, 64)
    assert parse_quantity(f"-{written}").value == -(12 * feet + Fraction(parts, 64))


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("5 ft 12 in", "fewer than 12 inches"),
        ("5 ft 6", "write 5 ft 6 1/2 in"),
        ("5 ft 6 cm", "write 5 ft 6 1/2 in"),
        ("5 ft 6 ft", "write 5 ft 6 1/2 in"),
        ("5 ft 6/0 in", "divides by zero"),
        ("5.5 ft 6 in", "no unit of length"),
        ("5 in 6 ft", "no unit of length"),
    ],
)
def test_feet_and_inches_that_are_no_length(text: str, match: str) -> None:
    with pytest.raises(UnitError, match=match):
        parse_length(text)


def test_a_load_is_no_length() -> None:
    with pytest.raises(UnitError, match="no unit of length; accepted are mm, cm"):
        parse_length("5 N")
    with pytest.raises(UnitError, match="no unit of load"):
        parse_load("5 cm")


def test_a_bare_number_takes_no_unit() -> None:
    with pytest.raises(UnitError, match="carries a unit"):
        number_from_text("5 cm")


def test_units_by_exact_definition() -> None:
    # Inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2: by definition.
    assert CM_PER["in"] == 25.4 / 10
    assert NEWTON_PER["lb"] == pytest.approx(0.45359237 * 9.80665, rel=1e-15)
    assert NEWTON_PER["kg"] == 9.80665
    assert NEWTON_PER["oz"] * 16 == NEWTON_PER["lb"]


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted(CM_PER)))
def test_a_length_comes_back_from_any_unit(value: float, unit: str) -> None:
    text = f"{value / CM_PER[unit]!r} {unit}"
    assert parse_length(text) == pytest.approx(value, rel=1e-12, abs=1e-300)


@given(st.floats(0, 1e6), st.sampled_from(sorted(NEWTON_PER)))
def test_a_load_comes_back_from_any_unit(value: float, unit: str) -> None:
    text = f"{value / NEWTON_PER[unit]!r}{unit}".replace(".", ",")
    assert parse_load(text) == pytest.approx(value, rel=1e-12, abs=1e-300)


@given(st.integers(-8000, 8000))
def test_eighths_of_an_inch_come_back(eighths: int) -> None:
    shown = length_text(eighths / 8 * 2.54, "in")
    assert parse_length(shown, "in") == pytest.approx(eighths / 8 * 2.54, abs=1e-9)


@given(st.integers(0, 999), st.integers(1, 63))
def test_whole_and_fraction_add_up(whole: int, top: int) -> None:
    assert number_from_text(f"{whole} {top}/64") == float(whole + Fraction(top, 64))


def test_inches_go_to_the_nearest_eighth() -> None:
    assert length_text(10 * 2.54 + 0.1, "in") == "10"
    assert length_text(-2.54 * 1.5, "in") == "-1 1/2"
    assert length_text(0.0, "in") == "0"
    assert length_text(2.54 / 8, "in") == "1/8"


def test_no_minus_before_a_shown_zero() -> None:
    assert length_text(-0.01) == "0.0"
    assert length_text(-0.01, "in") == "0"
    assert percent_text(-0.0001) == "0.0"


def test_pressure_shows_both_units() -> None:
    # 1 mmHg is 133.322 Pa (conventional).
    assert pressure_text(0.133322) == "0.13 kPa (1.0 mmHg)"


@pytest.mark.parametrize(
    ("spelled", "unit"),
    [("(cm)", "cm"), ("[N]", "N"), ("Inches", "in"), ("CM", "cm"), ("lbs.", "lb")],
)
def test_spellings_of_units(spelled: str, unit: str) -> None:
    assert canonical_unit(spelled) == unit
