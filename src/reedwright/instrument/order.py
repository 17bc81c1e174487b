"""The order in which a survey plays the reeds of an instrument."""

from dataclasses import dataclass

from reedwright.instrument.layout import Reed

__all__ = ["SurveyOrder"]


@dataclass(frozen=True, slots=True)
class SurveyOrder:
    """Every reed to be played, in turn; ``order`` names it, ``explanation`` says for whom."""

    order: str
    explanation: str
    reeds: tuple[Reed, ...]
