"""What a workshop sets once for its bench: tools, habits, grades of tolerance, minutes."""

from dataclasses import dataclass

from reedwright.errors import NotFound
from reedwright.reedwork.bench_offset import OffsetRules
from reedwright.reedwork.scrapes import FilingTool, LearningRules, VisitRules

__all__ = ["BenchKit", "BenchMinutes", "Grade"]


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade of tolerance: how near its target a reed is left alone, cents either way.

    ``outer_tolerance_cents`` holds in the top half-octave and the lowest octave.
    """

    grade: str
    title: str
    tolerance_cents: float
    outer_tolerance_cents: float
    evidence: str


@dataclass(frozen=True, slots=True)
class BenchMinutes:
    """How long the work takes, by custom of the bench.

    ``end_minutes``: the bolts of one end out and in again; ``pan_minutes``: its pan out
    and in; ``shoe_minutes``: one shoe slid out and in. ``visit_minutes``: shim, burr and
    set of one visit, strokes apart; ``reading_minutes``: one reading; ``cool_minutes``:
    from the file to a reading that can be believed, spent on other reeds if there are
    any. ``settle_days`` pass between rough and fine; reeds further than ``rough_cents``
    from their target are roughed first.
    """

    end_minutes: float = 8.0
    pan_minutes: float = 3.0
    shoe_minutes: float = 1.5
    visit_minutes: float = 1.5
    reading_minutes: float = 0.5
    cool_minutes: float = 10.0
    settle_days: float = 2.0
    rough_cents: float = 5.0


@dataclass(frozen=True, slots=True)
class BenchKit:
    """All of it together."""

    tools: tuple[FilingTool, ...]
    learning: LearningRules
    visits: VisitRules
    offsets: OffsetRules
    minutes: BenchMinutes
    grades: tuple[Grade, ...]

    def grade(self, name: str) -> Grade:
        """Return the grade of that name; NotFound if there is none."""
        for candidate in self.grades:
            if candidate.grade == name:
                return candidate
        known = ", ".join(grade.grade for grade in self.grades)
        raise NotFound(f"a grade is one of {known}, got {name!r}; choose one or add it")
