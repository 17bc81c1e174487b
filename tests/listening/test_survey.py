"""A small instrument recorded, end to end: sound in, named readings out."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from benchmarks.survey_scoring import score_survey
from benchmarks.virtual.disturbance import speech
from benchmarks.virtual.recording import VirtualRecording, make_recording
from benchmarks.virtual.steps import Playing, Step, played_reeds, survey_steps
from numpy.typing import NDArray

from reedwright.catalogue import load_layout
from reedwright.compute import Here
from reedwright.errors import InputError, RecordingError
from reedwright.instrument.layout import Direction, Layout
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.reading import Survey
from reedwright.listening.survey import survey

TREBLE = load_layout("english-treble-48")
#: Ten keys from the middle of a treble, G#/Ab and D#/Eb among them: twenty reeds, under 40 s.
SMALL = replace(
    TREBLE,
    layout="small",
    keys=tuple(
        key
        for key in TREBLE.keys
        if key.press is not None
        and key.press.name in ("D4", "D#4", "Eb4", "E4", "F4", "F#4", "G4", "G#4", "Ab4", "A4")
    ),
)
ORDER = SurveyOrder("press-then-draw", "as invented", played_reeds(SMALL, Playing.PRESS_THEN_DRAW))


@dataclass(frozen=True)
class Samples:
    """Samples in memory as a Sound."""

    samples: NDArray[np.float32]
    sample_rate_hz: float = 44_100.0

    @property
    def frames(self) -> int:
        """Length in samples."""
        return self.samples.size

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples between two places."""
        return self.samples[start:stop]


def steps(seed: int, *, a4_hz: float = 452.0, meantone: bool = False) -> tuple[Step, ...]:
    return survey_steps(
        np.random.default_rng(seed), SMALL, a4_hz=a4_hz, spread_cents=15.0, meantone=meantone
    )


@cache
def recording(seed: int, *, snr_db: float = 40.0, quiet: bool = False) -> VirtualRecording:
    """Return twenty reeds: two silent, one again, one begun twice, unless all is quiet."""
    return make_recording(
        np.random.default_rng(seed),
        steps(seed),
        snr_db=snr_db,
        note_s=(0.9, 1.4),
        dead=0 if quiet else 2,
        weak=1,
        repeats=0 if quiet else 1,
        false_starts=0 if quiet else 1,
        events=0 if quiet else 4,
    )


def taken(sound: VirtualRecording | Samples, layout: Layout = SMALL) -> Survey:
    return survey(sound, layout, ORDER, spread=Here(), a4_hz=452.0)


@pytest.mark.parametrize("snr_db", [40.0, 25.0])
def test_every_reed_is_found_and_none_confused_in_silence(snr_db: float) -> None:
    """Silent reeds, a repeat, a false start, speech and knocks: nothing wrong that is not said."""
    for seed in (1, 2):
        sound = recording(seed, snr_db=snr_db)
        score = score_survey(taken(sound), sound, SMALL, snr_db=snr_db)
        assert score.audible_found == score.audible
        assert score.invented == 0
        assert score.wrong_notes == 0
        assert score.swaps_unflagged == 0
        assert max(np.abs(score.errors_cents)) < 0.5


def test_a_clean_recording_is_named_throughout() -> None:
    """No reed silent or again: all twenty in their place, in order of time, hardly a doubt."""
    sound = recording(3, quiet=True)
    found = taken(sound)
    assert [(reading.key, reading.direction) for reading in found.readings] == [
        (reed.key, reed.direction) for reed in ORDER.reeds
    ]
    assert found.missing == ()
    assert found.unplaced == ()
    assert found.shift_cents == pytest.approx(46.6, abs=8.0)
    assert (found.layout, found.order) == ("small", "press-then-draw")
    assert found.duration_s == pytest.approx(sound.frames / 44_100.0)
    for reading, note in zip(found.readings, sound.notes, strict=True):
        tone = reading.tone
        assert note.start_s - 0.02 < tone.measured_from_s < tone.measured_to_s < note.end_s + 0.05
        assert tone.measured_to_s - tone.measured_from_s > 0.4 * (note.end_s - note.start_s)
    assert sum(reading.doubt is not None for reading in found.readings) <= 2


def test_silent_reeds_are_missing_and_their_partners_in_doubt() -> None:
    """The partner of a silent reed may have been that reed: said in words, and by address."""
    sound = make_recording(
        np.random.default_rng(5),
        steps(5),
        note_s=(0.9, 1.4),
        dead=(2,),
        weak=0,
        repeats=0,
        false_starts=0,
        events=0,
    )
    (silent,) = sound.dead
    found = taken(sound)
    (reading,) = [each for each in found.readings if each.key == silent.key]
    (missing,) = found.missing
    assert missing.key == silent.key
    assert reading.doubt is not None
    assert "Press or draw?" in reading.doubt
    other = Direction.DRAW if reading.direction is Direction.PRESS else Direction.PRESS
    assert (silent.key, other) in reading.also_possible
    assert reading.confidence < 0.99


def test_the_doubt_of_a_reading_is_whole() -> None:
    """Every reading carries every part of its doubt; the clock moves the frequency."""
    sound = recording(3, quiet=True)
    plain = taken(sound)
    moved = survey(sound, SMALL, ORDER, spread=Here(), a4_hz=452.0, clock_ppm=100.0)
    for before, after in zip(plain.readings, moved.readings, strict=True):
        assert after.tone.frequency_hz / before.tone.frequency_hz == pytest.approx(1.0001)
        budget = before.doubt_budget
        assert budget.estimator_cents == before.tone.standard_error_cents
        assert budget.repeatability_cents == 0.5
        assert 0.5 < budget.own_cents < budget.total_cents < 3.0
    assert moved.conditions.clock_ppm == 100.0
    assert any("played twice" in caution for caution in plain.cautions)


def test_meantone_and_old_pitch_change_nothing() -> None:
    """The same reeds are named at A4 = 452 and at 430, in equal temperament and in meantone."""
    for a4_hz, meantone in ((430.0, False), (452.0, True)):
        sound = make_recording(
            np.random.default_rng(7),
            steps(7, a4_hz=a4_hz, meantone=meantone),
            note_s=(0.9, 1.4),
            dead=0,
            weak=0,
            repeats=0,
            false_starts=0,
            events=0,
        )
        found = survey(sound, SMALL, ORDER, spread=Here(), a4_hz=a4_hz)
        assert [(reading.key, reading.direction) for reading in found.readings] == [
            (note.key, note.direction) for note in sound.notes
        ]


def test_a_note_of_another_instrument_is_kept() -> None:
    """A note two octaves up fits no reed: it is among the unplaced, and a caution says so."""
    sound = recording(3, quiet=True)
    last = steps(3)[-1]
    stray = replace(last, frequency_hz=4.0 * last.frequency_hz, note=SpelledNote.parse("A6"))
    more = make_recording(
        np.random.default_rng(9),
        [stray],
        note_s=(1.0, 1.0),
        dead=0,
        weak=0,
        repeats=0,
        false_starts=0,
        events=0,
    )
    found = taken(Samples(np.concatenate([sound.samples, more.samples])))
    (unplaced,) = found.unplaced
    assert unplaced.frequency_hz == pytest.approx(stray.frequency_hz, rel=0.003)
    assert len(found.readings) == 20
    assert any("matches no reed" in caution for caution in found.cautions)


def test_a_wrong_layout_is_told() -> None:
    """The recording of an English held against an Anglo: said, and no reading passes unasked."""
    anglo = load_layout("anglo-30-a")
    order = SurveyOrder("anglo", "invented", played_reeds(anglo, Playing.PRESS_THEN_DRAW))
    found = survey(recording(3, quiet=True), anglo, order, spread=Here())
    assert any("is this the instrument" in caution for caution in found.cautions)
    assert all(reading.doubt is not None for reading in found.readings)
    assert len(found.readings) + len(found.unplaced) == 20


def test_no_order_leaves_equal_reeds_to_a_person() -> None:
    """By pitch alone press and draw are open for every note, and both are named."""
    found = survey(recording(3, quiet=True), SMALL, None, spread=Here(), a4_hz=452.0)
    assert found.order == "as-they-come"
    assert len(found.readings) == 20
    assert all(reading.doubt is not None for reading in found.readings)
    for reading, note in zip(found.readings, recording(3, quiet=True).notes, strict=True):
        possible = {(reading.key, reading.direction), *reading.also_possible}
        assert (note.key, note.direction) in possible


def test_clipped_notes_are_said() -> None:
    """Tops cut off at half height: the pitch stays, the caution says how many."""
    sound = recording(3, quiet=True)
    peak = float(np.max(np.abs(sound.samples)))
    clipped = Samples(np.clip(sound.samples / peak * 3.0, -1.0, 1.0).astype(np.float32))
    found = taken(clipped)
    assert len(found.readings) >= 19
    assert any("clipped" in caution for caution in found.cautions)


def test_what_holds_no_notes_is_refused() -> None:
    """Silence, nothing, noise and speech: an error that says what to do."""
    rng = np.random.default_rng(1)
    for sound, message in (
        (np.zeros(441_000), "silent from end to end"),
        (np.zeros(0), "is empty"),
        (0.05 * rng.standard_normal(441_000), "none was found in 10 s"),
        (0.2 * speech(rng, sample_rate_hz=44_100.0, duration_s=20.0), "none was found in 20 s"),
    ):
        with pytest.raises(RecordingError, match=message):
            taken(Samples(sound.astype(np.float32)))


def test_a_blank_layout_is_refused() -> None:
    """A form without notes names nothing."""
    blank = replace(SMALL, keys=tuple(replace(key, press=None, draw=None) for key in SMALL.keys))
    with pytest.raises(InputError, match="blank form"):
        survey(recording(3, quiet=True), blank, None, spread=Here())


def test_progress_goes_forward() -> None:
    """The share done never falls, and ends near one."""
    shares: list[float] = []
    survey(
        recording(3, quiet=True),
        SMALL,
        ORDER,
        spread=Here(),
        a4_hz=452.0,
        progress=shares.append,
    )
    assert shares == sorted(shares)
    assert 0.9 < shares[-1] <= 1.0
