"""Praat (through praat-parselmouth) and librosa on the same tones as the program's ear.

Both are independent, general-purpose implementations: P. Boersma, "Accurate
short-term analysis of the fundamental frequency ...", Proc. Inst. Phonetic
Sciences Amsterdam 17 (1993) 97-110, and the yin of A. de Cheveigne and H.
Kawahara, J. Acoust. Soc. Am. 111 (2002) 1917-1930. The tones are invented, so
the truth is known exactly; each estimate is judged against the truth over the
very times it stands for. The full comparison is in docs/benchmarks.md.

Tolerances are about three times the largest difference seen over these seeds.
"""

from functools import cache

import numpy as np
import pytest
from benchmarks.pitch_methods import Estimate, hear, praat, yin
from benchmarks.virtual.tones import TREBLE_HZ, VirtualTone, make_tone

TONES = 24


@cache
def tones(snr_db: float) -> tuple[VirtualTone, ...]:
    """Return two dozen one-second tones at one signal-to-noise ratio."""
    return tuple(
        make_tone(np.random.default_rng([93, number]), snr_db=snr_db, frequency_hz=TREBLE_HZ)
        for number in range(TONES)
    )


@cache
def our_errors(snr_db: float) -> list[float]:
    """Return the sizes of this program's errors, in cents."""
    return magnitudes([hear(tone) for tone in tones(snr_db)])


def magnitudes(estimates: list[Estimate]) -> list[float]:
    """Return the sizes of the errors, in cents."""
    return [abs(estimate.error_cents) for estimate in estimates]


@pytest.mark.parametrize(("snr_db", "times_as_near"), [(50.0, 1.2), (20.0, 5.0)])
def test_agrees_with_praat_and_is_nearer_the_truth(snr_db: float, times_as_near: float) -> None:
    """Both hear every tone within 0.5 cents, ours within 0.05, and the nearer in the median.

    Two estimates that are each near an independent truth agree with one another.
    """
    theirs = magnitudes([praat(tone) for tone in tones(snr_db)])
    assert max(theirs) < 0.5
    assert max(our_errors(snr_db)) < 0.05
    assert times_as_near * np.median(our_errors(snr_db)) < np.median(theirs)


@pytest.mark.parametrize("snr_db", [50.0, 20.0])
def test_agrees_with_librosa_where_it_finds_the_octave(snr_db: float) -> None:
    """The yin of librosa is within 8 cents of the truth, or an octave or more away; ours never."""
    theirs = magnitudes([yin(tone) for tone in tones(snr_db)])
    near = [error for error in theirs if error < 50.0]
    assert len(near) >= 0.8 * TONES
    assert max(near) < 8.0
    assert np.median(near) > 5.0 * np.median(our_errors(snr_db))
