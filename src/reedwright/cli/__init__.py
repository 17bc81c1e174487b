"""The commands: parse, call a use case, print.

Nothing here is imported before the command is known: ``COMMANDS`` is all that
``--help`` needs, so that it answers at once.
"""

from dataclasses import dataclass

__all__ = ["COMMANDS", "Command"]


@dataclass(frozen=True, slots=True)
class Command:
    """A command: its word, the module that does it, and one line for the list."""

    command: str
    module: str
    summary: str


COMMANDS = (
    Command("demo", "demo", "invent an instrument, record it and run the whole chain on it"),
    Command("survey", "survey", "listen to a recording of the instrument and name its reeds"),
    Command("listen", "listen", "listen to single notes, with no layout"),
    Command("calibrate", "calibrate", "find the error of the recorder's clock by a known tone"),
    Command("targets", "targets", "how far each reed of a job is from what it should do"),
    Command("asfound", "asfound", "what pitch and temperament the instrument was once given"),
    Command("leastwork", "leastwork", "which pitch and temperament ask least of the reeds"),
    Command("plan", "plan", "where, and how much, metal to take off which reed"),
    Command("work", "work", "the tuning work of a job in order, with strokes and time"),
    Command("scrape", "scrape", "log what was filed off a reed, and hear what to do next"),
    Command("offsets", "offsets", "how the closed instrument reads against the bench"),
    Command("bench", "bench", "pressure of a falling bench, and how long a take lasts"),
    Command("papers", "papers", "bench sheets, map and report of a job, as PDF and SVG"),
    Command("enter", "enter", "take the typed bench table back into the job"),
    Command("tongue", "tongue", "what a tongue of given sections sounds, and where to file it"),
    Command("bellows", "bellows", "design a bellows, and write its templates at true size"),
    Command("bellows-fit", "bellows_fit", "find the design of an existing bellows as measured"),
    Command("layouts", "layouts", "list, show, check or learn layouts"),
    Command("parts", "parts", "count and weigh the parts of an instrument"),
    Command("map", "map", "draw both ends or the reed pans"),
    Command("tunings", "tunings", "list pitch standards and temperaments"),
    Command("jobs", "jobs", "list the jobs of the workshop file"),
    Command("check", "check", "prove the workshop file whole"),
    Command("backup", "backup", "copy the workshop file, and prove the copy"),
    Command("restore", "restore", "bring a backup back"),
)
