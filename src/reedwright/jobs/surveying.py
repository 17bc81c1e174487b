"""A survey under stated conditions: heard, and brought to the reference temperature."""

from collections.abc import Callable
from dataclasses import replace

from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.reading import Conditions, Reading, Survey, Tone
from reedwright.listening import Sound, Spread, survey
from reedwright.listening.doubt import STEEL_CENTS_PER_K
from reedwright.reedwork import temperature_shift_cents
from reedwright.reedwork.model import Metal
from reedwright.units import ratio_from_cents

__all__ = ["take_survey"]

#: One-sigma doubt of a temperature that somebody read, and of one that nobody did, kelvin.
#: Common practice, no source.
_READ_DOUBT_K, _UNREAD_DOUBT_K = 1.0, 3.0


def take_survey(
    sound: Sound,
    layout: Layout,
    order: SurveyOrder | None,
    *,
    conditions: Conditions,
    metal: Metal | None,
    a4_hz: float | None,
    file_cautions: tuple[str, ...],
    spread: Spread,
    progress: Callable[[float], None],
) -> Survey:
    """Return the survey of a recording, with its conditions and the file's cautions.

    With a temperature and a metal the readings are brought from that temperature to
    the reference one; with either missing they stand as heard.

    Raises
    ------
    RecordingError
        If nothing in the recording can be surveyed.
    InputError
        If a temperature is given and the metal is not, or is out of range.
    """
    if conditions.temperature_c is not None and metal is None:
        raise InputError(
            "a temperature needs the tongues' metal to be of use, got "
            f"{conditions.temperature_c:g} degrees and no metal; give --metal too"
        )
    doubt_k = _UNREAD_DOUBT_K if conditions.temperature_c is None else _READ_DOUBT_K
    cents_per_k = None if metal is None else metal.temperature_coefficient_cents_per_k
    heard = survey(
        sound,
        layout,
        order,
        spread=spread,
        a4_hz=a4_hz,
        clock_ppm=conditions.clock_ppm,
        clock_doubt_ppm=conditions.clock_doubt_ppm,
        temperature_doubt_k=doubt_k,
        cents_per_k=STEEL_CENTS_PER_K if cents_per_k is None else cents_per_k,
        progress=progress,
    )
    heard = replace(heard, conditions=conditions, cautions=(*file_cautions, *heard.cautions))
    if metal is None or conditions.temperature_c is None:
        return heard
    shift_cents, shift_doubt_cents = temperature_shift_cents(
        metal,
        from_celsius=conditions.temperature_c,
        to_celsius=conditions.reference_temperature_c,
    )
    return replace(
        heard,
        shift_cents=heard.shift_cents + shift_cents,
        readings=tuple(_moved(r, shift_cents, shift_doubt_cents) for r in heard.readings),
        unplaced=tuple(_moved_tone(tone, shift_cents) for tone in heard.unplaced),
    )


def _moved(reading: Reading, shift_cents: float, shift_doubt_cents: float) -> Reading:
    budget = reading.doubt_budget
    temperature_cents = (budget.temperature_cents**2 + shift_doubt_cents**2) ** 0.5
    return replace(
        reading,
        tone=_moved_tone(reading.tone, shift_cents),
        doubt_budget=replace(budget, temperature_cents=temperature_cents),
    )


def _moved_tone(tone: Tone, shift_cents: float) -> Tone:
    ratio = ratio_from_cents(shift_cents)
    second = tone.second
    if second is not None and second.frequency_hz is not None:
        second = replace(second, frequency_hz=second.frequency_hz * ratio)
    return replace(
        tone,
        frequency_hz=tone.frequency_hz * ratio,
        interval_low_hz=tone.interval_low_hz * ratio,
        interval_high_hz=tone.interval_high_hz * ratio,
        second=second,
    )
