"""Single invented reed tones, strictly harmonic, in a room and with noise, with exact truth."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchmarks.virtual.room import (
    DIRECT_TO_REVERBERANT_DB,
    REVERBERATION_S,
    button_click,
    in_room,
    mains_hum,
    noise,
    noise_density,
    room_response,
)
from benchmarks.virtual.voice import Voice, make_course, make_voice
from reedwright.units import CENTS_PER_NATURAL_LOG, ratio_from_cents

__all__ = ["BASS_HZ", "TREBLE_HZ", "SecondVoice", "VirtualTone", "make_tone"]

#: G3 to C7, the compass of an English treble, and the bass below it, hertz.
TREBLE_HZ = (196.0, 2093.0)
BASS_HZ = (65.4, 196.0)

_LEAD_IN_S = 0.7
#: 1 - exp(-(t/T)^2) goes from 10 to 90 % in this many T.
_RISE_PER_CONSTANT = float(np.sqrt(-np.log(0.1)) - np.sqrt(-np.log(0.9)))


@dataclass(frozen=True, slots=True)
class SecondVoice:
    """A second reed to sound along: level re the first, distance, and its own drift."""

    level_db: float
    distance_cents: float
    drift_cents: float = 1.0


@dataclass(frozen=True, slots=True)
class VirtualTone:
    """An invented recording of one note, and the truth about it.

    All times are seconds from the first sample. ``start_s`` is when the reed
    begins to move and ``end_s`` when its air stops; both may lie outside the
    samples for a window cut out of a longer note. ``noise_power`` is that in
    20 Hz to 20 kHz. ``rise_time_s`` (10 to 90 %) and ``click_s`` are None where
    the samples hold no attack or no click.
    """

    samples: NDArray[np.float32]
    sample_rate_hz: float
    start_s: float
    end_s: float
    voice: Voice
    second: Voice | None
    scale: float
    second_level_db: float | None
    noise_power: float
    white_share: float
    rise_time_s: float | None
    click_s: float | None
    hum_hz: float | None

    @property
    def duration_s(self) -> float:
        """Length of the samples."""
        return self.samples.size / self.sample_rate_hz

    def mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the exact unweighted mean frequency of the reed between two times."""
        return self.voice.course.mean_frequency_hz(from_s - self.start_s, to_s - self.start_s)

    def frequency_hz(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the exact frequency of the reed at each time."""
        return self.voice.course.frequency_hz(time_s - self.start_s)

    def second_mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the exact mean frequency of the second reed; ValueError if there is none."""
        if self.second is None:
            raise ValueError("this tone has no second reed")
        return self.second.course.mean_frequency_hz(from_s - self.start_s, to_s - self.start_s)

    def partial_amplitudes(self) -> NDArray[np.float64]:
        """Return the amplitudes of the partials re full scale, before swell and room."""
        return self.scale * np.array(self.voice.amplitudes)

    def cramer_rao_cents(self, duration_s: float) -> float:
        """Return the least standard error of a stationary tone's frequency in this noise.

        ``var f >= 24 fs^2 / ((2 pi)^2 N (N^2 - 1) sum l^2 A_l^2 / s_l^2)`` with s_l^2
        the noise's density at partial l as a variance per sample: Nielsen,
        Jensen, Jensen, Christensen, Jensen, Signal Processing 135 (2017) 188-197,
        with coloured noise taken as white around each partial. Asymptotic in
        many periods; phase and amplitudes unknown, frequency constant.
        """
        numbers = np.arange(1.0, len(self.voice.amplitudes) + 1.0)
        density = noise_density(
            np.asarray(numbers * self.voice.course.base_hz, dtype=np.float64),
            white_share=self.white_share,
            sample_rate_hz=self.sample_rate_hz,
        )
        variance = self.noise_power * density * self.sample_rate_hz / 2.0
        information = float(np.sum(numbers**2 * self.partial_amplitudes() ** 2 / variance))
        frames = duration_s * self.sample_rate_hz
        error_hz = np.sqrt(24.0 * self.sample_rate_hz**2 / (frames**3 * information)) / (2 * np.pi)
        return float(CENTS_PER_NATURAL_LOG * error_hz / self.voice.course.base_hz)


def _envelope(
    rng: np.random.Generator, time_s: NDArray[np.float64], *, end_s: float, rise_time_s: float
) -> NDArray[np.float64]:
    """Return attack, slow swell of up to 6 dB and release over 15 to 40 ms; times re the start."""
    grown = -np.expm1(-((np.maximum(time_s, 0.0) * _RISE_PER_CONSTANT / rise_time_s) ** 2))
    swell_db = rng.uniform(0.0, 3.0) * np.sin(
        2.0 * np.pi * rng.uniform(0.1, 0.6) * time_s + rng.uniform(0.0, 2.0 * np.pi)
    )
    dying = np.exp(-np.maximum(time_s - end_s, 0.0) / rng.uniform(0.015, 0.040))
    return grown * dying * 10.0 ** (swell_db / 20.0)


def make_tone(
    rng: np.random.Generator,
    *,
    frequency_hz: float | tuple[float, float] = TREBLE_HZ,
    duration_s: float = 1.0,
    sample_rate_hz: float = 44_100.0,
    snr_db: float = 40.0,
    stationary: bool = False,
    whole_note: bool = False,
    silence_before_s: float = 0.3,
    silence_after_s: float = 0.3,
    rise_time_s: float | None = None,
    drift_cents: float | None = None,
    level_dbfs: float | None = None,
    second: SecondVoice | None = None,
) -> VirtualTone:
    """Return one invented tone.

    Parameters
    ----------
    frequency_hz
        The base frequency, or the range from which it is drawn evenly in pitch.
    duration_s
        Of the steady window, or with ``whole_note`` of the note between its
        start and its end, silences not counted.
    snr_db
        Power of the reeds (with their room) over the noise's in 20 Hz to 20 kHz.
    stationary
        No drift, swell, hum, click or room; white noise only. Windows only.
    whole_note
        Also the attack, the release and the silences; else a window cut from
        the middle of a longer note, attack not included.
    rise_time_s
        10 to 90 % of the attack; drawn from 15 to 120 ms if None.
    drift_cents
        Range of settling and wander together; drawn from 0 to 4 if None.
    level_dbfs
        Of the sound without noise, rms; drawn from -35 to -15 if None.
    """
    if stationary and whole_note:
        raise ValueError("a stationary tone has no attack: ask for a window or a whole note")
    low_hz, high_hz = (
        frequency_hz if isinstance(frequency_hz, tuple) else (frequency_hz, frequency_hz)
    )
    base_hz = float(low_hz * (high_hz / low_hz) ** rng.uniform())
    drift = float(rng.uniform(0.0, 4.0)) if drift_cents is None else drift_cents
    onset_cents = float(rng.uniform(-15.0, 15.0)) if whole_note else 0.0
    course = make_course(
        rng, base_hz, drift_cents=0.0 if stationary else drift, onset_cents=onset_cents
    )
    voice = make_voice(rng, course, sample_rate_hz=sample_rate_hz, dipped=rng.uniform() < 0.4)
    second_voice = None
    if second is not None:
        second_voice = make_voice(
            rng,
            make_course(
                rng,
                base_hz * ratio_from_cents(second.distance_cents),
                drift_cents=0.0 if stationary else second.drift_cents,
            ),
            sample_rate_hz=sample_rate_hz,
            dipped=rng.uniform() < 0.4,
        )

    # Time zero is the first sample that is kept; the lead-in before it only fills the room.
    lead_in = 0 if whole_note else round(_LEAD_IN_S * sample_rate_hz)
    start_s = silence_before_s if whole_note else -lead_in / sample_rate_hz
    kept_s = silence_before_s + duration_s + silence_after_s if whole_note else duration_s
    end_s = start_s + duration_s if whole_note else kept_s + 1.0
    rise_s = float(rng.uniform(0.015, 0.120)) if rise_time_s is None else rise_time_s
    time_s = np.arange(-lead_in, round(kept_s * sample_rate_hz)) / sample_rate_hz
    sound = voice.sounded(time_s - start_s)
    if second is not None and second_voice is not None:
        sound += 10.0 ** (second.level_db / 20.0) * second_voice.sounded(time_s - start_s)
    if not stationary:
        sound *= _envelope(rng, time_s - start_s, end_s=end_s - start_s, rise_time_s=rise_s)
        response = room_response(
            rng,
            sample_rate_hz=sample_rate_hz,
            reverberation_time_s=rng.uniform(*REVERBERATION_S),
            direct_to_reverberant_db=rng.uniform(*DIRECT_TO_REVERBERANT_DB),
        )
        sound = in_room(sound, response)
    sound, time_s = sound[lead_in:], time_s[lead_in:]
    settled = (time_s >= start_s + (0.15 if whole_note else 0.0)) & (time_s <= end_s)
    power = float(np.mean(sound[settled] ** 2))
    noise_power = power * 10.0 ** (-snr_db / 10.0)
    white_share = 1.0 if stationary else float(rng.uniform(0.0, 1.0))
    sound = sound + np.sqrt(noise_power) * noise(
        rng, sound.size, sample_rate_hz=sample_rate_hz, white_share=white_share
    )
    hum_hz = click_s = None
    if not stationary:
        hum_hz = float(rng.choice([50.0, 60.0]))
        sound += np.sqrt(power) * mains_hum(
            rng,
            sound.size,
            sample_rate_hz=sample_rate_hz,
            mains_hz=hum_hz,
            level_db=rng.uniform(-70.0, -40.0),
        )
        click_s = (
            max(0.0, start_s - float(rng.uniform(0.005, 0.060)))
            if whole_note
            else float(rng.uniform(0.02, 0.15))
        )
        click = button_click(rng, sample_rate_hz=sample_rate_hz)
        place = round(click_s * sample_rate_hz)
        room = sound[place : place + click.size]
        room += np.sqrt(power) * 10.0 ** (rng.uniform(-25.0, -5.0) / 20.0) * click[: room.size]
    level = float(rng.uniform(-35.0, -15.0)) if level_dbfs is None else level_dbfs
    scale = float(10.0 ** (level / 20.0) / np.sqrt(power))
    return VirtualTone(
        samples=(scale * sound).astype(np.float32),
        sample_rate_hz=sample_rate_hz,
        start_s=start_s,
        end_s=end_s,
        voice=voice,
        second=second_voice,
        scale=scale,
        second_level_db=None if second is None else second.level_db,
        noise_power=noise_power * scale**2,
        white_share=white_share,
        rise_time_s=rise_s if whole_note else None,
        click_s=click_s,
        hum_hz=hum_hz,
    )
