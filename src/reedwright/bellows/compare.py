"""Designs of several folds side by side: what they play, how bulky, how much work."""

from collections.abc import Sequence
from dataclasses import replace

from reedwright.bellows.design import design_bellows
from reedwright.bellows.model import BellowsFigures, FoldsCompared, WantedBellows
from reedwright.errors import InputError

__all__ = ["compare_folds"]


def compare_folds(
    wanted: WantedBellows, folds: Sequence[int], figures: BellowsFigures
) -> tuple[FoldsCompared, ...]:
    """Return the same bellows with each of these numbers of folds.

    A stroke lasts ``share * air / (notes * air a second of a note)``. Hours go with the
    number of cards, from the range that the figures give for one bellows.

    Raises
    ------
    InputError
        If no number of folds is given, or one is out of range.
    """
    if not folds:
        raise InputError("a comparison needs numbers of folds, got none; give some, such as 5,6,7")
    rows = []
    for number in folds:
        design = design_bellows(replace(wanted, folds=number))
        seconds = (
            figures.stroke_share
            * design.air_per_stroke_l
            / (figures.chord_notes * figures.air_l_s_per_note)
        )
        share = design.counts.cards / figures.hours_cards
        rows.append(
            FoldsCompared(
                folds=number,
                closed_length_mm=design.closed_length_mm,
                open_length_mm=design.open_length_mm,
                stroke_mm=design.stroke_mm,
                air_per_stroke_l=design.air_per_stroke_l,
                seconds_per_stroke=seconds,
                cards=design.counts.cards,
                hours_low=share * figures.hours_low,
                hours_high=share * figures.hours_high,
            )
        )
    return tuple(rows)
