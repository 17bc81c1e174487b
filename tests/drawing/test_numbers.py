"""How measured numbers become text: places, signs, the finest step."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.drawing.numbers import (
    PrintedValue,
    print_frequency,
    print_number,
    print_offset,
    print_target_frequency,
    print_with_doubt,
)
from reedwright.errors import InputError

# Review of Particle Physics, introduction, section "Rounding": its two worked examples
# (0.827 with 0.119 and with 0.367), from memory; the rest follows from the rule it states.
PUBLISHED = [
    (0.827, 0.119, "0.83 ± 0.12"),
    (0.827, 0.367, "0.8 ± 0.4"),
]
BY_THE_RULE = [
    (12.3456, 0.0354, "12.346 ± 0.035"),
    (12.3456, 0.0355, "12.35 ± 0.04"),
    (12.3456, 0.0949, "12.35 ± 0.09"),
    (12.3456, 0.0951, "12.35 ± 0.10"),
    (12.3456, 0.0997, "12.35 ± 0.10"),
    (1234.5, 41.0, "1230 ± 40"),
    (-1234.5, 13.0, "−1234 ± 13"),
]


@pytest.mark.parametrize(("value", "doubt", "printed"), PUBLISHED + BY_THE_RULE)
def test_the_doubt_decides_the_place(value: float, doubt: float, printed: str) -> None:
    """The rule that the module names gives these texts."""
    assert str(print_with_doubt(value, doubt)) == printed


@pytest.mark.parametrize(
    ("offset_cents", "doubt_cents", "printed"),
    [
        (6.23, 0.42, "+6.2 ± 0.4"),
        (-2.44, 0.012, "−2.4 ± 0.1"),
        (0.04, 0.2, "0.0 ± 0.2"),
        (-0.04, 0.2, "0.0 ± 0.2"),
        (-31.4, 4.2, "−31 ± 4"),
        (5.0, 0.0, "+5.0 ± 0.1"),
    ],
)
def test_offsets_carry_their_sign_and_stop_at_a_tenth(
    offset_cents: float, doubt_cents: float, printed: str
) -> None:
    """A true minus, an explicit plus, no sign on nothing, never finer than 0.1 cent."""
    assert str(print_offset(offset_cents, doubt_cents)) == printed


def test_a_printed_value_keeps_its_parts() -> None:
    """Value and doubt can be set apart on paper."""
    assert print_offset(1.0, 0.25) == PrintedValue("+1.0", "0.2")


@given(st.floats(-2000.0, 2000.0), st.floats(0.0, 500.0))
def test_printing_stays_near_and_never_claims_certainty(offset: float, doubt: float) -> None:
    """The text is within half its last place of the number; a doubt is never printed as 0."""
    printed = print_offset(offset, doubt)
    back = float(printed.value.replace("−", "-"))
    decimals = len(printed.value.partition(".")[2])
    assert decimals <= 1
    place = max(0.1, 10.0 ** (math.floor(math.log10(max(doubt, 0.1)) + 1e-12)))
    assert abs(back - offset) <= 0.5 * place * (1.0 + 1e-9)
    assert float(printed.doubt) > 0.0
    assert "-" not in printed.value
    assert "-" not in printed.doubt


@pytest.mark.parametrize(
    ("frequency_hz", "printed"),
    [(440.0, "440.00"), (65.406, "65.406"), (98.0, "98.00"), (880.0, "880.0"), (2093.0, "2093.0")],
)
def test_targets_are_rounded_by_no_more_than_a_tenth_of_a_cent(
    frequency_hz: float, printed: str
) -> None:
    """Enough decimals, and not one more than needed."""
    assert print_target_frequency(frequency_hz) == printed
    half_step_hz = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    tenth_hz = frequency_hz * 0.1 * math.log(2.0) / 1200.0
    assert half_step_hz <= tenth_hz < 10.0 * half_step_hz


@pytest.mark.parametrize(
    ("doubt_cents", "printed"),
    [(0.3, "440.41 ± 0.08"), (0.001, "440.41 ± 0.01"), (10.0, "440.4 ± 2.5"), (60.0, "440 ± 15")],
)
def test_a_measured_frequency_stops_where_its_doubt_does(doubt_cents: float, printed: str) -> None:
    """The doubt in cents sets the decimals in hertz."""
    assert str(print_frequency(440.41, doubt_cents)) == printed


def test_numbers_round_to_tens_where_asked() -> None:
    """Negative decimals leave whole tens."""
    assert print_number(-1234.0, decimals=-1) == "−1230"
    assert print_number(14.6, decimals=0, is_offset=True) == "+15"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """Nothing prints as nan."""
    with pytest.raises(InputError, match="finite number"):
        print_number(value, decimals=1)


def test_a_value_without_a_doubt_is_refused() -> None:
    """A doubt of nothing, or below it, is no doubt."""
    for doubt in (0.0, -0.1, math.nan):
        with pytest.raises(InputError, match="needs a doubt"):
            print_with_doubt(1.0, doubt)


def test_a_frequency_of_nothing_is_refused() -> None:
    """Hertz start above zero."""
    with pytest.raises(InputError, match="above 0 Hz"):
        print_target_frequency(0.0)
