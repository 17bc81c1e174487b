"""Invented survey recordings say truly who sounds when, at what pitch, and what else happens."""

import json
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import soundfile
from benchmarks.virtual.__main__ import main
from benchmarks.virtual.recording import Playback, VirtualRecording, make_recording
from benchmarks.virtual.steps import Playing, played_reeds, survey_steps

from reedwright.catalogue.layout_file import load_layout
from reedwright.instrument.layout import Direction, Reed

TREBLE = load_layout("english-treble-48")


@pytest.fixture(scope="module")
def short() -> VirtualRecording:
    """Twenty reeds, notes of half a second, two dead and two weak ones."""
    rng = np.random.default_rng(21)
    steps = survey_steps(rng, TREBLE)[:20]
    return make_recording(
        rng,
        steps,
        note_s=(0.5, 0.8),
        dead=2,
        weak=2,
        repeats=2,
        false_starts=1,
        events=3,
        snr_db=50.0,
    )


def level_db(recording: VirtualRecording, from_s: float, to_s: float) -> float:
    """Return the level between two times, decibels re full scale."""
    fs = recording.sample_rate_hz
    piece = recording.read(round(from_s * fs), round(to_s * fs)).astype(np.float64)
    return float(10.0 * np.log10(np.mean(piece**2)))


def test_everybody_is_accounted_for(short: VirtualRecording) -> None:
    """Every reed sounds once in its turn or is dead; repeats and false starts come on top."""
    counted = Counter(note.playback for note in short.notes)
    assert counted == {Playback.TURN: 18, Playback.REPEAT: 2, Playback.FALSE_START: 1}
    sounding = {Reed(note.key, note.direction) for note in short.notes}
    assert len(sounding) == 18
    assert not sounding & set(short.dead)
    assert set(short.weak) <= sounding
    assert len(short.events) == 3


def test_notes_follow_one_another(short: VirtualRecording) -> None:
    """No note begins before the one before has ended."""
    for before, after in zip(short.notes, short.notes[1:], strict=False):
        assert before.end_s + 0.05 < after.start_s


def test_levels_are_as_stated(short: VirtualRecording) -> None:
    """Each undisturbed note stands at its stated level within 3 dB; scale taken from the first."""
    quiet = [
        note
        for note in short.notes
        if note.playback is not Playback.FALSE_START
        and all(event.end_s < note.start_s or event.start_s > note.end_s for event in short.events)
    ]
    differences = [
        level_db(short, note.start_s + 0.2, note.end_s) - note.level_db for note in quiet
    ]
    assert np.ptp(differences) < 7.0
    assert np.std(differences) < 2.5


def test_pitch_is_where_it_says(short: VirtualRecording) -> None:
    """In each strong note the spectrum has a line at the stated fundamental, within 8 cents."""
    fs = short.sample_rate_hz
    for note in short.notes:
        if note.playback is Playback.FALSE_START or note.level_db < -20.0:
            continue
        piece = short.read(round((note.start_s + 0.1) * fs), round(note.end_s * fs))
        spectrum = np.abs(np.fft.rfft(piece * np.hanning(piece.size), 1 << 19))
        stated_hz = note.mean_frequency_hz(note.start_s + 0.1, note.end_s)
        reach = round(stated_hz * 0.03 * (1 << 19) / fs)
        place = round(stated_hz * (1 << 19) / fs)
        found = place - reach + int(np.argmax(spectrum[place - reach : place + reach + 1]))
        assert abs(1200.0 * np.log2(found / place)) < 8.0


def test_bellows_turn_faster_than_hands_move() -> None:
    """From press to draw of a key the gap is mostly shorter, but not always: gaps overlap."""
    rng = np.random.default_rng(22)
    made = make_recording(
        rng,
        survey_steps(rng, TREBLE),
        sample_rate_hz=8000.0,
        note_s=(0.2, 0.3),
        dead=0,
        repeats=0,
        false_starts=0,
        events=0,
    )
    turning: list[float] = []
    moving: list[float] = []
    for before, after in zip(made.notes, made.notes[1:], strict=False):
        gaps = turning if before.key == after.key else moving
        gaps.append(after.start_s - before.end_s)
    assert len(turning) == 48
    assert np.median(turning) < 0.6 * np.median(moving)
    assert max(turning) > min(moving)


@pytest.mark.parametrize(
    ("playing", "first"),
    [
        (Playing.PRESS_THEN_DRAW, ["R2.1 press", "R2.1 draw", "R1.1 press", "R1.1 draw"]),
        (Playing.ALL_PRESS_THEN_ALL_DRAW, ["R2.1 press", "R1.1 press", "L4.1 press"]),
        (Playing.BY_ROW, ["L1.1 press", "L1.1 draw", "L1.2 press"]),
    ],
)
def test_orders_of_playing(playing: Playing, first: list[str]) -> None:
    """G3, then G#3 before Ab3 (rows right 2, right 1, left 4 of the layout); each reed once."""
    reeds = played_reeds(TREBLE, playing)
    assert [f"{reed.key} {reed.direction}" for reed in reeds[: len(first)]] == first
    assert set(reeds) == set(TREBLE.reeds())
    assert len(reeds) == 96


def test_meantone_raises_flats_over_sharps() -> None:
    """In quarter-comma meantone Ab stands 41 cents above G#: the lesser diesis 128/125."""
    steps = survey_steps(np.random.default_rng(1), TREBLE, spread_cents=0.0, meantone=True)
    by_name = {step.note.name: step.frequency_hz for step in steps}
    assert by_name["Ab4"] / by_name["G#4"] == pytest.approx(128.0 / 125.0)
    assert by_name["A4"] == pytest.approx(452.0)
    assert by_name["C#5"] / by_name["A4"] == pytest.approx(5.0 / 4.0)


def test_folder_holds_sound_and_truth(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command leaves a readable recording and a truth of every sounding note."""
    arguments = ["virtual", str(tmp_path), "--seed", "5", "--layout", "anglo-20"]
    monkeypatch.setattr(
        sys, "argv", [*arguments, "--sample-rate-hz", "8000", "--note-s", "0.3", "0.4"]
    )
    main()
    told = json.loads((tmp_path / "survey-5.json").read_text())
    samples, rate = soundfile.read(tmp_path / "survey-5.wav")
    assert rate == told["sample_rate_hz"] == 8000
    assert len([note for note in told["notes"] if note["playback"] == "turn"]) == 40 - 5
    assert told["notes"][-1]["end_s"] < samples.size / rate
    assert {note["direction"] for note in told["notes"]} == {item.value for item in Direction}
