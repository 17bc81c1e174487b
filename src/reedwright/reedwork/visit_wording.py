"""What to do with a reed now, in words of the bench."""

from reedwright.drawing.numbers import print_number, print_offset
from reedwright.reedwork.model import Zone
from reedwright.reedwork.stroke_choice import Strokes
from reedwright.reedwork.wording import leave_alone, off_target

__all__ = [
    "check_in_instrument",
    "file_so_much",
    "leave",
    "leave_undecided",
    "listen",
    "listen_closer",
    "too_far",
    "too_thin",
]


def leave(offset_cents: float, doubt_cents: float, tolerance_cents: float) -> str:
    """Return the sentence for a reed within tolerance."""
    return leave_alone(off_target(offset_cents, doubt_cents), tolerance_cents)


def leave_undecided(offset_cents: float, doubt_cents: float, tolerance_cents: float) -> str:
    """Return the sentence for a reed on the edge of tolerance, however long it was heard."""
    tolerance = print_number(tolerance_cents, decimals=1)
    return (
        f"{off_target(offset_cents, doubt_cents)}, on the edge of {tolerance} cents: nothing is "
        "filed where it may be within, leave it alone."
    )


def listen(offset_cents: float, doubt_cents: float, tolerance_cents: float) -> str:
    """Return the sentence for a reed of which it cannot be told whether it is within."""
    tolerance = print_number(tolerance_cents, decimals=1)
    return (
        f"{off_target(offset_cents, doubt_cents)}: it cannot be told whether that is within "
        f"{tolerance} cents. Listen again before anything is filed."
    )


def check_in_instrument(offset_cents: float, doubt_cents: float) -> str:
    """Return the sentence for a reed that the bench cannot tell more about."""
    return (
        f"{off_target(offset_cents, doubt_cents)}, as near as can be told here: leave it until it "
        "was heard in the instrument with the end on."
    )


def listen_closer(offset_cents: float, doubt_cents: float) -> str:
    """Return the sentence for a reed so near that the strokes hang on the reading."""
    return (
        f"{off_target(offset_cents, doubt_cents)}: so near the end the reading must be surer. "
        "Listen again before the last strokes."
    )


def too_far(offset_cents: float, doubt_cents: float) -> str:
    """Return the sentence for a reed that is no work for a file."""
    return (
        f"{off_target(offset_cents, doubt_cents)}, too far for a file: see that this is the reed "
        "meant, and what the plan says of it."
    )


def too_thin(offset_cents: float, doubt_cents: float, zone: Zone) -> str:
    """Return the sentence for a reed whose end may lose no more metal."""
    other = "a tip weight or a new tongue" if zone is Zone.ROOT else "a new tongue"
    return (
        f"{off_target(offset_cents, doubt_cents)}, but no more may come off its {zone}: think of "
        f"{other}."
    )


def file_so_much(
    offset_cents: float, doubt_cents: float, zone: Zone, title: str, chosen: Strokes
) -> str:
    """Return the sentence for a reed to file now."""
    left = -chosen.left_cents if zone is Zone.TIP else chosen.left_cents
    printed = print_offset(left, chosen.left_doubt_cents)
    plural = "" if chosen.strokes == 1 else "s"
    return (
        f"{off_target(offset_cents, doubt_cents)}: {chosen.strokes} stroke{plural} of the {title} "
        f"at the {zone}, let it cool, measure; it should then stand near {printed.value} ± "
        f"{printed.doubt} cents."
    )
