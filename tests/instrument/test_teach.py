"""Layouts taught by the instrument."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.catalogue import load_layout
from reedwright.errors import InputError, LayoutError
from reedwright.instrument.evidence import Confidence, EvidenceMark
from reedwright.instrument.layout import Action, Direction, Layout, Reed
from reedwright.instrument.note import CONCERTINA_CHAIN
from reedwright.instrument.teach import (
    HeardTone,
    teach_layout,
    teaching_order,
    tones_in_order,
)
from reedwright.units import ratio_from_cents

FORM = load_layout("duet-five-column-48")
ANGLO = load_layout("anglo-30-a")


def _blank(layout: Layout) -> Layout:
    return replace(layout, keys=tuple(replace(key, press=None, draw=None) for key in layout.keys))


def _tones(layout: Layout, *, a4_hz: float, off_cents: float = 0.0) -> list[HeardTone]:
    return [
        HeardTone(
            reed.key,
            reed.direction,
            a4_hz
            * ratio_from_cents(
                100.0 * (layout.note(reed).semitone - 69) + off_cents * (-1) ** number
            ),
        )
        for number, reed in enumerate(layout.reeds())
    ]


def _taught(tones: list[HeardTone], form: Layout = FORM, *, a4_hz: float = 440.0) -> Layout:
    return teach_layout(form, tones, a4_hz=a4_hz, layout="mine", title="Mine").layout


@given(st.floats(415.0, 466.0), st.floats(0.0, 29.0))
def test_an_instrument_in_any_pitch_teaches_its_layout(a4_hz: float, off_cents: float) -> None:
    """An Anglo with reeds up to 29 cents out gives its table back; D# is written Eb by choice."""
    tones = _tones(ANGLO, a4_hz=a4_hz, off_cents=off_cents)
    spelling = CONCERTINA_CHAIN[2:]
    result = teach_layout(
        _blank(ANGLO), tones, a4_hz=a4_hz, layout="mine", title="Mine", spelling=spelling
    )
    assert result.layout.keys == ANGLO.keys
    assert result.unheard == ()
    assert result.layout.evidence_mark is EvidenceMark.TAUGHT


def test_the_pitch_of_the_instrument_decides_the_notes() -> None:
    """Half a semitone above 440, the same tones are named by the stated A4 (or refused)."""
    tones = _tones(ANGLO, a4_hz=452.9)
    names = [str(k.press) for k in _taught(tones, _blank(ANGLO), a4_hz=452.9).keys[:5]]
    assert names == ["B3", "D4", "G4", "B4", "D5"]
    with pytest.raises(InputError, match=r"L1.1 press lies [+-]50 cents from"):
        _taught(tones, _blank(ANGLO))


def test_the_spelling_is_a_choice_and_said_to_be() -> None:
    """A pair heard on two keys is a doubt; without a choice G# and Eb are written."""
    tones = [
        HeardTone("L1.1", Direction.PRESS, 415.30),
        HeardTone("L1.2", Direction.PRESS, 417.0),
        HeardTone("L1.3", Direction.PRESS, 311.13),
    ]
    result = teach_layout(FORM, tones, a4_hz=440.0, layout="mine", title="Mine")
    assert [str(key.press) for key in result.layout.keys[:3]] == ["G#4", "G#4", "Eb4"]
    assert any("G♯4 was heard on L1.1, L1.2" in doubt for doubt in result.doubts)
    assert not any("E♭4" in doubt for doubt in result.doubts)


def test_what_is_not_heard_stays_without_a_note_and_is_said() -> None:
    """One tone of 96: the rest is a doubt, and the confidence is not high."""
    result = teach_layout(
        FORM, [HeardTone("R1.2", Direction.DRAW, 295.0)], a4_hz=440.0, layout="mine", title="Mine"
    )
    key = result.layout.key("R1.2")
    assert (key.press, str(key.draw)) == (None, "D4")
    assert len(result.unheard) == 95
    assert Reed("R1.2", Direction.PRESS) in result.unheard
    assert "95 of 96 places were not heard, first L1.1 press" in result.doubts[-1]
    assert result.layout.confidence is Confidence.MEDIUM


def test_a_tone_far_from_its_note_is_a_doubt() -> None:
    """Forty cents above D4 may be a flat E flat."""
    result = teach_layout(
        FORM,
        [HeardTone("R1.2", Direction.DRAW, 293.665 * ratio_from_cents(40.0))],
        a4_hz=440.0,
        layout="mine",
        title="Mine",
    )
    assert "R1.2 draw was heard 40 cents above D4" in result.doubts[0]


def test_tones_are_tied_to_the_announced_order() -> None:
    """Left end first, by row, press then draw; a gap is a reed that was silent."""
    order = teaching_order(FORM)
    assert len(order) == 96
    assert order[:3] == (
        Reed("L1.1", Direction.PRESS),
        Reed("L1.1", Direction.DRAW),
        Reed("L1.2", Direction.PRESS),
    )
    tones = tones_in_order(FORM, [None, 262.0, *[None] * 94])
    assert tones == (HeardTone("L1.1", Direction.DRAW, 262.0),)
    with pytest.raises(InputError, match=r"each of the 96 places .* got 2"):
        tones_in_order(FORM, [None, 262.0])


def test_a_single_action_form_is_taught_on_the_press_only() -> None:
    """A draw tone does not fit it."""
    form = replace(FORM, action=Action.SINGLE)
    assert len(teaching_order(form)) == 48
    with pytest.raises(LayoutError, match=r"L1\.1 was heard on the draw"):
        _taught([HeardTone("L1.1", Direction.DRAW, 262.0)], form)


@pytest.mark.parametrize(
    ("tones", "message"),
    [
        ([], "needs at least one tone"),
        ([HeardTone("L9.9", Direction.PRESS, 262.0)], "has no key 'L9.9'"),
        (2 * [HeardTone("L1.1", Direction.PRESS, 262.0)], "L1.1 press was given twice"),
        ([HeardTone("L1.1", Direction.PRESS, 0.0)], "given as 0 Hz"),
        ([HeardTone("L1.1", Direction.PRESS, float("nan"))], "given as nan Hz"),
        (
            [HeardTone("L1.1", Direction.PRESS, 440.0 * ratio_from_cents(48.0))],
            r"within 45 cents of a note, L1.1 press lies \+48 cents from A4",
        ),
    ],
)
def test_tones_that_do_not_fit_are_refused(tones: list[HeardTone], message: str) -> None:
    """The message says which tone and what to do."""
    with pytest.raises(InputError, match=message):
        _taught(tones)


def test_impossible_pitches_limits_and_spellings_are_refused() -> None:
    """Each names its value."""
    tones = [HeardTone("L1.1", Direction.PRESS, 262.0)]
    with pytest.raises(InputError, match="between 300 and 600 Hz, got 261 Hz"):
        _taught(tones, a4_hz=261.0)
    with pytest.raises(InputError, match="at most 50 cents, got 60"):
        teach_layout(FORM, tones, a4_hz=440.0, layout="m", title="M", furthest_cents=60.0)
    for spelling in (CONCERTINA_CHAIN, CONCERTINA_CHAIN[:12][:-1], ("Db", *CONCERTINA_CHAIN[2:13])):
        with pytest.raises(InputError, match="choose one of G# and Ab"):
            teach_layout(FORM, tones, a4_hz=440.0, layout="m", title="M", spelling=spelling)
