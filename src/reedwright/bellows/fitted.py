"""An existing bellows as measured, and the design found for it: frozen values.

Units and conventions are those of ``bellows.model``.
"""

from dataclasses import dataclass

from reedwright.bellows.model import Allowances, BellowsDesign, Layers, Slack

__all__ = ["BellowsFit", "FittedValue", "MeasuredBellows", "Misfit", "SlackTrial"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredBellows:
    """An existing bellows as measured, each with the one-sigma doubt of the measurement.

    ``across_flats_mm`` is that of the closed peaks, None where it cannot be got at.
    ``layers`` and ``allowances`` are what is assumed of it; the thickness of the layers
    together, and the two gaps, are found. The doubts are those of a steel rule on card and
    leather (from memory): edges and depth 0.3 mm, across flats 1 mm, a closed bellows 1 mm,
    an open one 3 mm.
    """

    sides: int
    folds: int
    card_long_edge_mm: float
    card_short_edge_mm: float
    depth_mm: float
    closed_length_mm: float
    open_length_mm: float
    layers: Layers
    allowances: Allowances
    across_flats_mm: float | None = None
    edge_doubt_mm: float = 0.3
    across_flats_doubt_mm: float = 1.0
    closed_length_doubt_mm: float = 1.0
    open_length_doubt_mm: float = 3.0


@dataclass(frozen=True, slots=True)
class Misfit:
    """One thing measured or assumed, what the design makes of it, and how far that is off."""

    quantity: str
    measured_mm: float
    explained_mm: float
    doubt_mm: float

    @property
    def difference_mm(self) -> float:
        """Explained less measured."""
        return self.explained_mm - self.measured_mm


@dataclass(frozen=True, slots=True)
class FittedValue:
    """A size of the design that explains the bellows, with its one-sigma doubt."""

    quantity: str
    value: float
    doubt: float


@dataclass(frozen=True, slots=True)
class SlackTrial:
    """How well one choice of slack explains the bellows; the sum of squares is in doubts."""

    slack: Slack
    sum_of_squares: float


@dataclass(frozen=True, slots=True)
class BellowsFit:
    """The design that explains a measured bellows best, and how well.

    ``is_explained``: the sum of squared misfits is one that doubts alone would exceed in
    5 % of cases or more. ``is_slack_certain``: no other choice of slack explains it nearly
    as well. ``packing_mm`` of the design's layers is what its closed length asks for.
    """

    measured: MeasuredBellows
    design: BellowsDesign
    values: tuple[FittedValue, ...]
    misfits: tuple[Misfit, ...]
    trials: tuple[SlackTrial, ...]
    is_explained: bool
    is_slack_certain: bool
