"""Take the real free-reed notes out of the sound bank of Debian's ``fluid-soundfont-gm``.

Run once, not by any test: its output is kept in ``tests/recordings/``, whose
README tells the story. To repeat it::

    apt-get download fluid-soundfont-gm && dpkg -x fluid-soundfont-gm_*.deb bank
    python -m benchmarks.extract_recordings bank/usr/share/sounds/sf2/*.sf2 tests/recordings

It also prints the table of pitches read off long Fourier transforms.
"""

import argparse
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

__all__ = ["BankedSample", "banked_samples", "line_hz", "main"]

#: One record of the chunk ``shdr``: SoundFont Technical Specification 2.04, section 7.10.
_HEADER = struct.Struct("<20s5IBbHH")
#: Our name, by the pitch that sounds; the bank's (left channel), an octave off; about where.
_WANTED = (
    ("harmonica-c3", "harmon_c2(L)", (130.8,)),
    ("harmonica-e4", "harmnc_e3(L)", (329.6,)),
    ("harmonica-g4", "harmnc_g3(L)", (392.0,)),
    ("harmonica-c5", "harmon_c4(L)", (523.0,)),
    ("harmonica-e5", "harmnc_e4(L)", (659.2,)),
    ("harmonica-g5", "harmnc_g4(L)", (784.0,)),
    ("harmonica-c6", "harmon_c5(L)", (1046.6,)),
    ("harmonica-e6", "harmnc_e5(L)", (1318.4,)),
    ("accordion-c4", "Accordian C5(L)", (260.9, 264.7)),
    ("accordion-fs4", "Accordian F#5(L)", (369.5, 372.95)),
    ("accordion-c5", "Accordian C6(L)", (522.6, 527.4)),
    ("accordion-fs5", "Accordian F#6(L)", (739.1, 745.9)),
    ("accordion-c6", "Accordian C7(L)", (1045.8, 1053.1)),
    ("accordion-fs6", "Accordian F#7(L)", (1479.1, 1489.4)),
)
#: Longer notes are cut here.
_MOST_S = 4.0


@dataclass(frozen=True, slots=True)
class BankedSample:
    """One sample of the bank: its name, 16-bit samples and rate."""

    name: str
    samples: NDArray[np.int16]
    sample_rate_hz: int


def _chunks(content: memoryview) -> Iterator[tuple[bytes, memoryview]]:
    """Yield the name and body of each RIFF chunk, in turn."""
    place = 0
    while place + 8 <= len(content):
        name, length = struct.unpack_from("<4sI", content, place)
        yield name, content[place + 8 : place + 8 + length]
        place += 8 + length + length % 2


def banked_samples(bank: Path) -> dict[str, BankedSample]:
    """Return every sample of a sound bank by its name."""
    content = memoryview(bank.read_bytes())
    parts = {
        name: body
        for list_name, listed in _chunks(content[12:])
        if list_name == b"LIST"
        for name, body in _chunks(listed[4:])
    }
    sound = np.frombuffer(parts[b"smpl"], dtype="<i2")
    samples = {}
    for record in _HEADER.iter_unpack(parts[b"shdr"]):
        name = record[0].split(b"\0")[0].decode("latin-1")
        samples[name] = BankedSample(name, sound[record[1] : record[2]], record[5])
    return samples


def line_hz(
    sound: NDArray[np.float64], *, sample_rate_hz: float, low_hz: float, high_hz: float
) -> float:
    """Return the frequency of the strongest line between two frequencies.

    Hann window over all samples, transform of sixteen times the length, parabola
    through the logarithms of the three highest points: good to about a
    thousandth of the line's width where the line stands alone.
    """
    length = 16 * sound.size
    spectrum = np.log(np.abs(np.fft.rfft(sound * np.hanning(sound.size), length)) + 1e-30)
    first, last = round(low_hz * length / sample_rate_hz), round(high_hz * length / sample_rate_hz)
    peak = first + int(np.argmax(spectrum[first : last + 1]))
    left, middle, right = spectrum[peak - 1 : peak + 2]
    shift = 0.5 * (left - right) / (left - 2.0 * middle + right)
    return float((peak + shift) * sample_rate_hz / length)


def _report(
    name: str, sound: NDArray[np.float64], sample_rate_hz: int, near_hz: tuple[float, ...]
) -> None:
    """Print the strongest line near each of the first six partials, divided by its number.

    Near is within 4 cents; the first 0.15 s, the onset, is left out.
    """
    steady = sound[round(0.15 * sample_rate_hz) :]
    print(f"{name}: {sound.size / sample_rate_hz:.3f} s at {sample_rate_hz} Hz")
    for rough_hz in near_hz:
        lines = [
            line_hz(
                steady,
                sample_rate_hz=sample_rate_hz,
                low_hz=partial * rough_hz * 2.0 ** (-4.0 / 1200.0),
                high_hz=partial * rough_hz * 2.0 ** (4.0 / 1200.0),
            )
            / partial
            for partial in range(1, 7)
            if partial * rough_hz < 0.48 * sample_rate_hz
        ]
        print("  " + "  ".join(f"{line:9.4f}" for line in lines))


def main() -> None:
    """Write the excerpts and print what transforms say of their pitch."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.extract_recordings")
    parser.add_argument("bank", type=Path)
    parser.add_argument("folder", type=Path)
    asked = parser.parse_args()
    samples = banked_samples(asked.bank)
    for ours, theirs, near_hz in _WANTED:
        sample = samples[theirs]
        kept = sample.samples[: round(_MOST_S * sample.sample_rate_hz)]
        soundfile.write(
            asked.folder / f"{ours}.flac", kept, sample.sample_rate_hz, subtype="PCM_16"
        )
        _report(ours, kept / 32_768.0, sample.sample_rate_hz, near_hz)


if __name__ == "__main__":
    main()
