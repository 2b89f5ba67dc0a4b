"""Sentences with lengths speak in the user's unit, and in cm where none is named."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.errors import BodyError, Problem, RefusedError
from ease.sentence import Length, Sentence, in_units, lengths
from ease.units import parse_length


def test_a_sentence_is_a_text_in_cm_and_can_be_said_in_inches() -> None:
    said = Sentence("{}: {} of {}, {:.0f} %", "bust", Length(25.4), Length(50.8), 50.0)
    assert said == "bust: 25.4 cm of 50.8 cm, 50 %"
    assert said.in_units("in") == "bust: 10 in of 20 in, 50 %"
    assert said.in_units("cm") == said


def test_a_sentence_holds_sentences() -> None:
    inner = Sentence("it is {} long", Length(2.54))
    assert Sentence("{}; {}", "a", inner).in_units("in") == "a; it is 1 in long"


def test_braces_of_a_user_are_no_gaps() -> None:
    assert Sentence("no {} gap") == "no {} gap"
    assert Sentence("{} is {}", "{0}", Length(1.0)).in_units("in") == "{0} is 3/8 in"


def test_an_error_says_its_lengths_in_the_unit_it_is_given() -> None:
    error = RefusedError(Sentence("the loop of {} cannot be met", Length(155.0)))
    assert str(error) == "the loop of 155.0 cm cannot be met"
    error.units = "in"
    assert str(error) == "the loop of 61 in cannot be met"
    plain = RefusedError("no level of 10 cm")
    plain.units = "in"
    assert str(plain) == "no level of 10 cm"


def test_every_fault_of_a_file_is_told_in_the_unit() -> None:
    what = Sentence("accepted are {} to {}", *lengths(25.4, 50.8, digits=None))
    faults = [Problem("line 3, column bust", what), Problem("", "is empty")]
    error = BodyError("anna.csv", faults)
    assert str(error) == (
        "anna.csv: line 3, column bust: accepted are 25.4 to 50.8 cm\nanna.csv: is empty"
    )
    error.units = "in"
    assert str(error).startswith(
        "anna.csv: line 3, column bust: accepted are 10 to 20 in\n"
    )


def test_a_plain_text_stays_as_it_is() -> None:
    assert in_units("10 cm", "in") == "10 cm"


def test_a_sentence_goes_to_another_process_and_back() -> None:
    said = Sentence("{} off", Length(2.54))
    back = pickle.loads(pickle.dumps(said))
    assert back == said
    assert in_units(back, "in") == "1 in off"


@given(st.integers(1, 16 * 80))
def test_a_reading_off_a_ruler_comes_back_as_it_was_read(sixteenths: int) -> None:
    said = Length(sixteenths / 16 * 2.54, None).text("in")
    assert parse_length(said) == pytest.approx(float(Fraction(sixteenths, 16)) * 2.54)


@pytest.mark.parametrize(
    ("length", "cm", "inches"),
    [
        (Length(100.0), "100.0 cm", "39 3/8 in"),
        (Length(0.05, 2), "0.05 cm", "0.02 in"),
        (Length(30.0, None), "30 cm", "11.81 in"),
        (Length(0.001, None), "0.001 cm", "0.0003937 in"),
        (Length(0.0, None), "0 cm", "0 in"),
        (Length(100.0, 0), "100 cm", "39 in"),
    ],
)
def test_lengths_are_said_as_finely_as_they_are_meant(
    length: Length, cm: str, inches: str
) -> None:
    assert (length.text("cm"), length.text("in")) == (cm, inches)
