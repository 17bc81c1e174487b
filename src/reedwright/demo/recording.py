"""The invented instrument played once through, as samples, note after note."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from reedwright.demo.instrument import InventedInstrument, InventedReed
from reedwright.instrument.order import SurveyOrder

__all__ = ["record_instrument"]

_NOTE_S = 2.0
_GAP_S = 0.35
_DIRECTION_GAP_S = 0.2
_RELEASE_S = 0.06
_PARTIALS = 20
_ROOM_NOISE = 2e-4


def record_instrument(
    instrument: InventedInstrument, order: SurveyOrder, *, sample_rate_hz: int, seed: int
) -> Iterator[NDArray[np.float32]]:
    """Yield the recording in pieces: silence, then each reed of the order with its gap."""
    rng = np.random.default_rng(seed)
    reeds = {reed.reed: reed for reed in instrument.reeds}
    yield _silence(1.0, sample_rate_hz, rng)
    previous_key = None
    for place in order.reeds:
        gap_s = _DIRECTION_GAP_S if place.key == previous_key else _GAP_S
        yield _silence(gap_s * rng.uniform(0.8, 1.3), sample_rate_hz, rng)
        yield _note(reeds[place], sample_rate_hz, rng)
        previous_key = place.key
    yield _silence(1.0, sample_rate_hz, rng)


def _silence(
    duration_s: float, sample_rate_hz: int, rng: np.random.Generator
) -> NDArray[np.float32]:
    noise = rng.standard_normal(int(duration_s * sample_rate_hz), dtype=np.float32)
    return np.asarray(_ROOM_NOISE * noise, dtype=np.float32)


def _note(reed: InventedReed, sample_rate_hz: int, rng: np.random.Generator) -> NDArray[np.float32]:
    times = np.arange(int(_NOTE_S * rng.uniform(0.9, 1.2) * sample_rate_hz)) / sample_rate_hz
    length_s = float(times[-1])
    envelope = (1.0 - np.exp(-2.2 * times / reed.rise_s)) * np.clip(
        (length_s - times) / _RELEASE_S, 0.0, 1.0
    )
    envelope *= 1.0 + 0.05 * np.sin(2 * np.pi * times / length_s)
    wave = _wave(reed.frequency_hz, times, sample_rate_hz, rng)
    if reed.leak_hz is not None:
        wave += 0.3 * _wave(reed.leak_hz, times, sample_rate_hz, rng)
    breath = (reed.breath if reed.level > 0 else 0.002) * rng.standard_normal(len(times))
    sound = envelope * (reed.level * wave + breath) + _ROOM_NOISE * rng.standard_normal(len(times))
    return np.asarray(sound, dtype=np.float32)


def _wave(
    frequency_hz: float, times: NDArray[np.float64], sample_rate_hz: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Return a reed-like wave of about unit size whose pitch settles by about a cent."""
    settling_cents = rng.uniform(-1.5, 1.5)
    # The integral of f (1 + c exp(-t/tau)), c from cents.
    tau_s, share = 0.15, settling_cents / 1731.234
    cycles = frequency_hz * (times + share * tau_s * (1.0 - np.exp(-times / tau_s)))
    turn = np.exp(2j * np.pi * (cycles + rng.uniform()))
    partials = min(_PARTIALS, int(0.45 * sample_rate_hz / frequency_hz))
    partial, wave = turn.copy(), np.zeros(len(times))
    for number in range(1, partials + 1):
        weight = number**-1.1 * rng.uniform(0.5, 1.0) * np.exp(1j * rng.uniform(0, 2 * np.pi))
        wave += np.real(weight * partial)
        partial *= turn
    return wave
