"""What a person must settle, in words: which reed it was, and whether the note can be trusted."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.reading import Tone

__all__ = ["SURE", "alternatives", "place_doubt", "survey_cautions", "tone_doubt"]

#: A place less probable than this is for a person to settle; an alternative counts from the other.
SURE = 0.99
_WORTH_NAMING = 0.004
_MOST_NAMED = 6
#: Half-way to the next note: it may be an altered one.
_FAR_OFF_CENTS = 50.0
#: What makes a reading itself doubtful, where a repairer works to one or two cents.
_UNCERTAIN_CENTS, _UNSTEADY_CENTS, _SHORT_S = 1.0, 8.0, 0.15
_SECOND_REED_DB = -6.0


def alternatives(
    probabilities: NDArray[np.float64], place: int, reeds: Sequence[Reed]
) -> tuple[Reed, ...]:
    """Return the other reeds a note may have been, the likeliest first."""
    likeliest = np.argsort(-probabilities[:-1], kind="stable").tolist()
    return tuple(
        reeds[other]
        for other in likeliest[: _MOST_NAMED + 1]
        if other != place and probabilities[other] >= _WORTH_NAMING
    )[:_MOST_NAMED]


def place_doubt(
    layout: Layout,
    reed: Reed,
    others: Sequence[Reed],
    *,
    none_probability: float,
    away_cents: float,
    is_double: bool,
) -> str:
    """Return the sentence that asks which reed spoke.

    ``none_probability`` is that of being no reed at all, ``away_cents`` how far
    from its expected pitch the note is; ``is_double`` says that it is about twice
    as long as the others.
    """
    name = layout.note(reed).name
    same_key = [other for other in others if other.key == reed.key]
    if len(others) == 1 and same_key and layout.note(same_key[0]) == layout.note(reed):
        return (
            f"Press or draw? Both reeds of {name} on key {reed.key} sound alike, and by pitch and "
            f"order this may also be the {others[0].direction} reed"
            + (
                ", or both run together: it lasts twice as long as other notes."
                if is_double
                else "."
            )
        )
    if others:
        named = ", ".join(_reed(layout, other) for other in others)
        return f"Which reed? Taken for {_reed(layout, reed)}; it may also be {named}."
    if none_probability > 1.0 - SURE:
        return f"Perhaps no reed at all: it only happens to sound near {name}."
    return (
        f"It sounds {abs(away_cents):.0f} cents {'above' if away_cents > 0.0 else 'below'} where "
        f"{name} was expected; perhaps an altered note."
    )


def is_far_off(away_cents: float) -> bool:
    """Whether a note is nearer to another semitone than to its own."""
    return abs(away_cents) > _FAR_OFF_CENTS


def tone_doubt(tone: Tone) -> str | None:
    """Return why a tone's pitch itself cannot be trusted to a cent, or None if it can."""
    if tone.second is not None and tone.second.level_db > _SECOND_REED_DB:
        return (
            f"Two reeds sound together, beating {tone.second.beat_hz:.1f} times a second; one "
            "pitch does not describe it. Is the other valve sealing?"
        )
    if tone.standard_error_cents > _UNCERTAIN_CENTS:
        return f"Hardly heard: its pitch is uncertain by {tone.standard_error_cents:.1f} cents."
    if tone.steadiness_cents > _UNSTEADY_CENTS:
        return f"Unsteady: its pitch wanders by {tone.steadiness_cents:.0f} cents."
    measured_s = tone.measured_to_s - tone.measured_from_s
    if measured_s < _SHORT_S:
        return f"Broken off: only {measured_s:.2f} s of it were steady."
    return None


def survey_cautions(
    *,
    reeds: int,
    reeds_heard: int,
    unplaced: int,
    is_orderly: bool,
    rival_shift_cents: float | None,
    shift_cents: float,
    clipped: int,
    repeats: int,
    assumed_repeatability_cents: float,
) -> tuple[str, ...]:
    """Return what concerns the recording as a whole, the gravest first."""
    cautions = []
    if not is_orderly:
        cautions.append(
            "The notes do not fit the layout and order given: is this the instrument, and the "
            "order in which its reeds were played? Every reading is in doubt until that is settled."
        )
    if reeds_heard < 0.75 * reeds:
        cautions.append(
            f"Only {reeds_heard} of {reeds} reeds match a note: is this the layout, and was every "
            "reed played?"
        )
    if unplaced:
        notes = "1 note matches" if unplaced == 1 else f"{unplaced} notes match"
        cautions.append(f"{notes} no reed of the layout; see the unplaced notes.")
    if rival_shift_cents is not None:
        cautions.append(
            f"The notes fit an instrument {shift_cents:+.0f} cents from A4 = 440 Hz, and nearly as "
            f"well one {rival_shift_cents:+.0f} cents from it: state roughly where its A4 lies."
        )
    if clipped:
        notes = "1 note is" if clipped == 1 else f"{clipped} notes are"
        cautions.append(
            f"{notes} clipped: the pitch hardly suffers, levels and partials do; record softer."
        )
    if repeats == 0:
        cautions.append(
            f"No reed was played twice: {assumed_repeatability_cents:g} cents from one playing to "
            "the next are assumed. Play a few reeds three times to measure it."
        )
    return tuple(cautions)


def _reed(layout: Layout, reed: Reed) -> str:
    direction = "press" if reed.direction is Direction.PRESS else "draw"
    return f"{layout.note(reed).name} {direction} (key {reed.key})"
