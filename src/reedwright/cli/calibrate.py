"""``reedwright calibrate``: the error of the recorder's clock, by a tone that is known."""

import argparse

from reedwright.cli.options import add_json, add_recording
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_with_doubt
from reedwright.errors import RecordingError
from reedwright.listening import calibrate_clock, listen

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_recording(parser)
    parser.add_argument(
        "--reference-hz",
        type=float,
        required=True,
        metavar="HZ",
        help="the true frequency of the tone, such as a time signal's 1000 Hz",
    )
    parser.add_argument(
        "--reference-doubt-ppm",
        type=float,
        default=1.0,
        metavar="PPM",
        help="one-sigma doubt of that frequency (default: 1)",
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Listen to the tone and say how fast the clock runs."""
    with (
        tools.recording(arguments.recording, arguments.channel) as sound,
        tools.spread(arguments.recording) as spread,
    ):
        tones = listen(sound, spread=spread)
    if not tones:
        raise RecordingError(
            "the recording must hold the reference tone, no steady tone was found in "
            f"{arguments.recording.name}; record it louder and longer"
        )
    longest = max(tones, key=lambda tone: tone.measured_to_s - tone.measured_from_s)
    clock = calibrate_clock(
        longest,
        reference_hz=arguments.reference_hz,
        reference_doubt_ppm=arguments.reference_doubt_ppm,
    )
    if arguments.json:
        result = plain(clock)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        print_json(result)
        return 0
    printed = print_with_doubt(clock.clock_ppm, clock.doubt_ppm, is_offset=True)
    print(f"The recorder's clock is off by {printed} ppm; positive runs fast.")
    print(
        f"Give --clock-ppm {clock.clock_ppm:.2f} --clock-doubt-ppm {clock.doubt_ppm:.2f} to survey."
    )
    return 0
