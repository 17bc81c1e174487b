"""``reedwright listen``: single notes, with no layout."""

import argparse

from reedwright.cli.options import add_clock, add_json, add_recording
from reedwright.cli.plain import plain_listen, print_json
from reedwright.cli.progress import progress_bar
from reedwright.cli.tables import print_tones
from reedwright.cli.tools import Tools
from reedwright.listening import listen

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_recording(parser)
    add_clock(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Listen and print every note found, in order of time."""
    with (
        tools.spread(arguments.recording) as spread,
        tools.recording(arguments.recording, arguments.channel) as sound,
        progress_bar("Listening") as progress,
    ):
        tones = listen(sound, spread=spread, clock_ppm=arguments.clock_ppm, progress=progress)
        cautions = sound.cautions
    if arguments.json:
        print_json(plain_listen(tones, cautions))
    else:
        print_tones(tones, cautions)
    return 0
