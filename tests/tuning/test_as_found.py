"""The tuning as found: pitch, fifth, family, reeds that do not fit, and when it cannot tell."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import stdtrit
from tests.tuning.invented import TREBLE, found, scattered, tuned

from reedwright.catalogue import load_layout
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.tuning import AsFound, Family, HeardReed, remarks_of, verdict_of
from reedwright.tuning.as_found import student_sigmas
from reedwright.units import cents_from_ratio


@pytest.mark.parametrize(
    ("temperament", "a4_hz", "family", "fifth_cents"),
    [
        ("equal", 440.0, Family.EQUAL, 700.0),
        ("quarter-comma", 452.5, Family.REGULAR, 696.578),
        ("fifth-comma", 439.0, Family.REGULAR, 697.654),
        ("sixth-comma", 415.0, Family.REGULAR, 698.371),
        ("pythagorean", 446.0, Family.REGULAR, 701.955),
        ("werckmeister-3", 435.0, Family.CIRCULATING, None),
        ("kirnberger-3", 440.0, Family.CIRCULATING, None),
        ("vallotti", 452.4, Family.CIRCULATING, None),
        ("young-2", 456.0, Family.CIRCULATING, None),
    ],
)
def test_a_tuning_that_was_kept_is_named(
    temperament: str, a4_hz: float, family: Family, fifth_cents: float | None
) -> None:
    """With a cent of scatter each shipped tuning is found by name, pitch and fifth."""
    result = found(tuned(a4_hz, temperament, scattered(1, 1.0)))
    assert result.family is family
    assert result.temperament == temperament
    assert result.turned_fifths == 0
    assert abs(cents_from_ratio(result.a4_hz / a4_hz)) < 4.0 * result.a4_standard_error_cents
    assert result.a4_standard_error_cents < 0.3
    if fifth_cents is not None:
        away = abs(result.fifth_cents - fifth_cents)
        assert away < 4.0 * result.fifth_standard_error_cents < 0.2
    assert result.scatter_cents == pytest.approx(1.0, abs=0.2)
    assert result.misfits == ()


def test_reeds_astray_on_one_side_do_not_move_it_and_are_listed() -> None:
    """Fifteen of 96 reeds half a semitone sharp: pitch and fifth stay, and each is listed."""
    astray = set(TREBLE.reeds()[3::6][:15])
    quiet = scattered(2, 3.0)

    def off(reed: Reed) -> float:
        return 50.0 + quiet(reed) if reed in astray else quiet(reed)

    result = found(tuned(452.5, "quarter-comma", off))
    assert abs(cents_from_ratio(result.a4_hz / 452.5)) < 1.2
    assert result.fifth_cents == pytest.approx(696.578, abs=0.3)
    assert {Reed(str(m.key), m.direction) for m in result.misfits} == astray
    assert all(misfit.offset_cents == pytest.approx(50.0, abs=12.0) for misfit in result.misfits)
    moves = [abs(misfit.offset_cents) for misfit in result.misfits]
    assert moves == sorted(moves, reverse=True)


def turned(temperament: str, fifths: int, seed: int) -> AsFound:
    """Return what is found in a circulating temperament turned by some fifths."""
    quiet = scattered(seed, 1.0)
    plain = {reed.note.fifths % 12: reed.offset_cents for reed in tuned(440.0, temperament)}

    def off(reed: Reed) -> float:
        place = TREBLE.note(reed).fifths
        return plain[(place - fifths) % 12] - plain[place % 12] + quiet(reed)

    return found(tuned(440.0, temperament, off))


def test_a_circulating_temperament_is_found_when_it_is_turned() -> None:
    """Werckmeister III centred two fifths up, on D, is named as turned by two."""
    result = turned("werckmeister-3", 2, 3)
    assert (result.temperament, result.turned_fifths) == ("werckmeister-3", 2)
    assert "turned by 2 fifths towards the sharps" in verdict_of(result)


def test_a_temperament_that_is_another_turned_goes_by_the_nearer_name() -> None:
    """Vallotti turned by one fifth is Young II (both have six fifths of a sixth comma)."""
    result = turned("vallotti", 1, 4)
    assert (result.temperament, result.turned_fifths) == ("young-2", 0)


def test_the_a_of_a_circulating_temperament_is_its_own_and_not_the_lines() -> None:
    """In Werckmeister III A lies four cents below the straight line; A4 is that of the A reeds."""
    result = found(tuned(435.0, "werckmeister-3", scattered(4, 1.5)))
    assert abs(cents_from_ratio(result.a4_hz / 435.0)) < 1.0


def test_it_cannot_tell_from_a_dozen_scattered_reeds() -> None:
    """Twelve reeds with 12 cents of scatter do not tell equal from circulating or regular."""
    few = set(TREBLE.reeds()[::8])
    unclear = 0
    for seed in range(12):
        quiet = scattered(seed, 12.0)
        every = tuned(440.0, "equal", quiet)
        result = found([each for each in every if Reed(str(each.key), each.direction) in few])
        assert result.reeds == 12
        assert sum(each.probability for each in result.family_probabilities) == pytest.approx(1.0)
        unclear += result.family is Family.UNCLEAR and "Cannot be told" in verdict_of(result)
    assert unclear >= 10


def test_a_pattern_of_its_own_is_called_unclear() -> None:
    """Note classes moved at random by 15 cents follow none of the families."""
    rng = np.random.default_rng(6)
    moved = {name: rng.normal(0.0, 15.0) for name in ("C", "D", "E", "F", "G", "A", "B")}
    quiet = scattered(6, 2.0)

    def off(reed: Reed) -> float:
        return moved.get(TREBLE.note(reed).pitch_class_name, 0.0) + quiet(reed)

    result = found(tuned(440.0, "equal", off))
    assert result.family is Family.UNCLEAR
    assert result.probability(Family.UNCLEAR) > 0.95
    assert "pattern of their own" in verdict_of(result)


def test_just_intonation_is_none_of_the_families_but_is_named() -> None:
    """Just intonation in C: no family, its name in the verdict."""
    result = found(tuned(440.0, "just", scattered(7, 3.0)))
    assert result.family is Family.UNCLEAR
    assert "just, in C" in verdict_of(result)


def test_a_note_tuned_by_its_other_name_is_told() -> None:
    """On an Anglo in quarter-comma whose D# reeds were tuned as Eb, they are said to be that."""
    layout = load_layout("anglo-30-a")
    quiet = scattered(8, 3.0)
    names = {layout.note(reed).pitch_class_name for reed in layout.reeds()}
    sharp = "D#" if "D#" in names else "Eb"
    apart = 41.059 if sharp == "D#" else -41.059

    def off(reed: Reed) -> float:
        is_renamed = layout.note(reed).pitch_class_name == sharp
        return quiet(reed) + (apart if is_renamed else 0.0)

    result = found(tuned(440.0, "quarter-comma", off, layout=layout))
    renamed = {(m.note.pitch_class_name, str(m.fits_as)[:2]) for m in result.misfits if m.fits_as}
    assert renamed == {(sharp, "Eb" if sharp == "D#" else "D#")}
    assert any("another name" in remark for remark in remarks_of(result))


def test_a_reed_read_twice_counts_once() -> None:
    """Two readings of one reed give one reed with their mean, weighted by their errors."""
    readings = tuned(440.0, "equal", scattered(9, 3.0))
    first = readings[0]
    again = replace(first, frequency_hz=first.frequency_hz * 1.001, standard_error_cents=0.1)
    once = replace(
        first,
        frequency_hz=first.frequency_hz * math.exp((4.0 / 5.0) * math.log(1.001)),
        standard_error_cents=0.2 / math.sqrt(5.0),
    )
    twice = found([*readings, again])
    assert twice.reeds == 96
    assert twice.a4_hz == pytest.approx(found([once, *readings[1:]]).a4_hz, rel=1e-9)


def test_readings_in_doubt_are_set_aside() -> None:
    """A reading in doubt is counted apart and changes nothing."""
    readings = tuned(440.0, "equal", scattered(10, 3.0))
    wrong = replace(readings[5], frequency_hz=600.0, doubt="It may be another reed.")
    result = found([*readings[:5], wrong, *readings[6:]])
    assert (result.reeds, result.set_aside) == (95, 1)
    assert result.a4_hz == found([*readings[:5], *readings[6:]]).a4_hz
    assert "1 reading in doubt was set aside." in remarks_of(result)


def test_fewer_than_five_reeds_are_refused() -> None:
    """Four reeds without doubt are too few, whatever else was heard."""
    readings = tuned(440.0, "equal")[:6]
    doubtful = [replace(reading, doubt="Which reed is it?") for reading in readings[:2]]
    with pytest.raises(InputError, match="at least 5 reeds, got 4 and 2 readings in doubt"):
        found([*doubtful, *readings[2:]])


def test_five_reeds_are_enough_to_answer() -> None:
    """With five reeds there is an answer, wide and honest."""
    result = found(tuned(440.0, "equal", scattered(11, 4.0))[:5])
    assert result.a4_interval_hz[0] < 440.0 < result.a4_interval_hz[1]
    assert all(math.isfinite(x) for x in (result.a4_hz, result.fifth_standard_error_cents))


def test_the_order_of_the_readings_does_not_matter() -> None:
    """Turned round, the same readings give the same result."""
    readings = tuned(452.5, "sixth-comma", scattered(12, 6.0))
    there, back = found(readings), found(readings[::-1])
    assert back.a4_hz == pytest.approx(there.a4_hz, rel=1e-9)
    assert back.family is there.family


def test_reeds_of_a_note_that_agree_count_for_less() -> None:
    """Pairs that went astray together give wider errors than independent reeds."""
    by_note: dict[SpelledNote, float] = {}
    rng = np.random.default_rng(13)

    def together(reed: Reed) -> float:
        return by_note.setdefault(TREBLE.note(reed), float(rng.normal(0.0, 8.0)))

    paired = found(tuned(440.0, "equal", together))
    alone = found(tuned(440.0, "equal", scattered(13, 8.0)))
    assert paired.information == pytest.approx(0.5, abs=0.1)
    assert alone.information == 1.0
    ratio = paired.a4_standard_error_cents / alone.a4_standard_error_cents
    assert ratio == pytest.approx(math.sqrt(2.0), rel=0.25)
    assert any("agree more than chance" in remark for remark in remarks_of(paired))


def test_a_clean_instrument_gives_the_least_squares_error() -> None:
    """Without reeds astray the standard errors are those of least squares, within 5 %."""
    readings = tuned(440.0, "sixth-comma", scattered(14, 5.0))
    result = found(readings)
    places = np.array([reading.note.fifths - 3 for reading in readings], dtype=float)
    offsets = [reading.offset_cents for reading in readings]
    line, covariance = np.polyfit(places, offsets, 1, cov=True)
    assert result.fifth_cents == pytest.approx(700.0 + line[0], abs=0.05)
    assert result.fifth_standard_error_cents == pytest.approx(covariance[0, 0] ** 0.5, rel=0.05)
    assert result.a4_standard_error_cents == pytest.approx(covariance[1, 1] ** 0.5, rel=0.05)


def test_the_verdict_says_tuning_pitch_and_how_sure() -> None:
    """The sentence names the tuning, the pitch with its doubt, a standard near it, and the odds."""
    verdict = verdict_of(found(tuned(452.5, "quarter-comma", scattered(15, 2.0))))
    assert verdict.startswith("Almost certainly (over 99 % sure) quarter-comma meantone")
    assert "A4 = 452." in verdict
    assert "old philharmonic pitch" in verdict
    assert verdict.endswith(".")


def test_readings_without_keys_are_reeds_of_their_own() -> None:
    """A survey without keys loses nothing."""
    bare = [
        HeardReed(None, r.note, r.direction, r.frequency_hz, r.standard_error_cents)
        for r in tuned(440.0, "equal", scattered(16, 4.0))
    ]
    assert found(bare).reeds == 96


@pytest.mark.parametrize("degrees", [2.0, 3.0, 4.5, 8.0, 20.0, 90.0])
def test_student_sigmas_agree_with_scipy(degrees: float) -> None:
    """The expansion is within 1 % of scipy's quantile from 2 degrees of freedom on."""
    assert student_sigmas(degrees) == pytest.approx(stdtrit(degrees, 0.975), rel=0.01)


def test_directions_are_kept_with_the_misfits() -> None:
    """A draw reed that is astray is listed as the draw reed."""
    wrong = Reed("L2.3", Direction.DRAW)
    quiet = scattered(17, 2.0)
    result = found(tuned(440.0, "equal", lambda r: -45.0 if r == wrong else quiet(r)))
    assert [(m.key, m.direction) for m in result.misfits] == [("L2.3", Direction.DRAW)]
    assert "One reed does not fit, it is flat." in remarks_of(result)
