"""Options that several commands share, each with one name and one meaning."""

import argparse
from pathlib import Path

__all__ = [
    "add_clock",
    "add_job",
    "add_json",
    "add_layout",
    "add_layout_changes",
    "add_recording",
    "add_scheme",
    "add_workshop",
]


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add ``--json``."""
    parser.add_argument(
        "--json", action="store_true", help="print the whole result as one JSON object, unrounded"
    )


def add_recording(parser: argparse.ArgumentParser) -> None:
    """Add the recording, and which channel of it."""
    parser.add_argument(
        "recording",
        type=Path,
        metavar="RECORDING",
        help="WAV, FLAC, OGG, MP3 or a phone's M4A, 8 to 192 kHz, mono or stereo",
    )
    parser.add_argument(
        "--channel",
        choices=["mix", "left", "right"],
        default="mix",
        help="which channel of a stereo recording to listen to (default: mix)",
    )


def add_clock(parser: argparse.ArgumentParser) -> None:
    """Add the error of the recorder's clock, and its doubt."""
    parser.add_argument(
        "--clock-ppm",
        type=float,
        default=0.0,
        metavar="PPM",
        help="how fast the recorder's clock runs, parts per million; readings are raised by it "
        "(see 'calibrate'; default: 0)",
    )
    parser.add_argument(
        "--clock-doubt-ppm",
        type=float,
        default=50.0,
        metavar="PPM",
        help="one-sigma doubt of that (default: 50, an ordinary sound card)",
    )


def add_layout(parser: argparse.ArgumentParser) -> None:
    """Add the layout, by slug or file."""
    parser.add_argument(
        "--layout",
        required=True,
        metavar="NAME",
        help="a layout such as english-treble-48, or your own .toml file (see 'layouts')",
    )
    add_layout_changes(parser)


def add_layout_changes(parser: argparse.ArgumentParser) -> None:
    """Add in what the instrument differs from the layout's table."""
    parser.add_argument(
        "--home-keys", metavar="KEYS", help="an Anglo's home keys, such as G/D (default: C/G)"
    )
    parser.add_argument(
        "--row-order",
        metavar="ROWS",
        help="the table's rows from the thumb or rail outwards, such as 1,3,2,4 to swap the two "
        "middle ones",
    )


def add_workshop(parser: argparse.ArgumentParser) -> None:
    """Add where the workshop file lies."""
    parser.add_argument(
        "--workshop",
        type=Path,
        metavar="FILE",
        help="the workshop file (default: $REEDWRIGHT_WORKSHOP, or one in your home folder)",
    )


def add_job(parser: argparse.ArgumentParser, *, is_required: bool) -> None:
    """Add the job by name, in the workshop file."""
    parser.add_argument(
        "--job", required=is_required, metavar="NAME", help="the job in the workshop file"
    )
    add_workshop(parser)


def add_scheme(parser: argparse.ArgumentParser) -> None:
    """Add what to tune to: pitch, temperament, reference note, tolerances, own tunings."""
    parser.add_argument(
        "--pitch",
        default="a440",
        metavar="PITCH",
        help="A4 in hertz, a pitch standard's name, or 'found' for the instrument's own overall "
        "pitch (default: a440; see 'tunings')",
    )
    parser.add_argument(
        "--temperament", default="equal", metavar="NAME", help="see 'tunings' (default: equal)"
    )
    parser.add_argument(
        "--reference",
        default="A",
        metavar="NOTE",
        help="the note that keeps its equal-tempered place (default: A)",
    )
    parser.add_argument(
        "--note",
        action="append",
        default=[],
        metavar="NOTE=CENTS",
        help="move one note by some cents, such as F#=+3 or F#5=-2; may be given several times",
    )
    parser.add_argument(
        "--tolerance-cents", type=float, default=2.0, metavar="CENTS",
        help="a reed this near its target is left alone (default: 2; common practice)",
    )  # fmt: skip
    parser.add_argument(
        "--outer-tolerance-cents", type=float, default=3.0, metavar="CENTS",
        help="the same in the top half-octave and the lowest octave (default: 3)",
    )  # fmt: skip
    parser.add_argument(
        "--tunings", type=Path, metavar="FILE", help="your own pitch standards and temperaments"
    )
