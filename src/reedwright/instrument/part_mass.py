"""What the parts of an instrument weigh, estimated from their dimensions.

Reed parts follow the note, by a table of sizes; all others have a mass at the
usual end (six sides, 159 mm across flats) that is fixed or grows with the end.
All figures are editable defaults of the catalogue with their evidence: nothing
here has been weighed.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from reedwright.errors import InputError
from reedwright.instrument.evidence import EvidenceMark
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.views import USUAL_ACROSS_FLATS_MM

__all__ = ["FrameMetal", "Growth", "PartFigures", "PartMass", "ReedSize", "growth_factor"]

_USUAL_SIDES = 6


class FrameMetal(StrEnum):
    """What the reed frames are made of."""

    BRASS = "brass"
    ALUMINIUM = "aluminium"


class Growth(StrEnum):
    """With what of the end a part's mass grows: not at all, one side's length, all, its area."""

    FIXED = "fixed"
    SIDE = "side"
    PERIMETER = "perimeter"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class PartMass:
    """One part's mass at the usual end, grams, and how it was found."""

    mass_g: float
    growth: Growth
    evidence_mark: EvidenceMark
    working: str


@dataclass(frozen=True, slots=True)
class ReedSize:
    """Typical sizes of a reed's tongue, frame and valve at one note, millimetres."""

    note: SpelledNote
    tongue_length_mm: float
    tongue_width_mm: float
    tongue_thickness_mm: float
    frame_thickness_mm: float
    valve_thickness_mm: float


@dataclass(frozen=True, slots=True)
class PartFigures:
    """Every figure a parts list needs.

    ``parts`` are masses by part; ``reed_sizes`` go up in pitch. A frame is longer
    and wider than its tongue, a valve than its slot, by the stated amounts in
    all. Densities are grams per cubic centimetre, ``frame_density_g_cm3`` by
    metal. ``doubt_fraction`` is the one-sigma doubt of a total, as a fraction.
    """

    parts: Mapping[str, PartMass]
    reed_sizes: tuple[ReedSize, ...]
    reed_working: str
    reed_evidence_mark: EvidenceMark
    frame_longer_mm: float
    frame_wider_mm: float
    valve_longer_mm: float
    valve_wider_mm: float
    tongue_density_g_cm3: float
    frame_density_g_cm3: Mapping[FrameMetal, float]
    valve_density_g_cm3: float
    doubt_fraction: float

    def reed_size(self, note: SpelledNote) -> ReedSize:
        """Return the sizes at a note: straight over the semitones, held beyond the table."""
        sizes = self.reed_sizes
        above = next(
            (n for n, size in enumerate(sizes) if size.note.semitone >= note.semitone), len(sizes)
        )
        if above in (0, len(sizes)):
            return sizes[min(above, len(sizes) - 1)]
        low, high = sizes[above - 1], sizes[above]
        share = (note.semitone - low.note.semitone) / (high.note.semitone - low.note.semitone)

        def between(a: float, b: float) -> float:
            return a + share * (b - a)

        return ReedSize(
            note,
            between(low.tongue_length_mm, high.tongue_length_mm),
            between(low.tongue_width_mm, high.tongue_width_mm),
            between(low.tongue_thickness_mm, high.tongue_thickness_mm),
            between(low.frame_thickness_mm, high.frame_thickness_mm),
            between(low.valve_thickness_mm, high.valve_thickness_mm),
        )

    def tongue_mass_g(self, note: SpelledNote) -> float:
        """Return the mass of a free tongue of uniform section, with its clamped root, grams."""
        size = self.reed_size(note)
        length_mm = size.tongue_length_mm + self.frame_longer_mm / 2.0
        volume_mm3 = length_mm * size.tongue_width_mm * size.tongue_thickness_mm
        return volume_mm3 * self.tongue_density_g_cm3 / 1000.0

    def frame_mass_g(self, note: SpelledNote, metal: FrameMetal) -> float:
        """Return the mass of a flat frame less its slot, grams."""
        size = self.reed_size(note)
        slot_mm2 = size.tongue_length_mm * size.tongue_width_mm
        whole_mm2 = (size.tongue_length_mm + self.frame_longer_mm) * (
            size.tongue_width_mm + self.frame_wider_mm
        )
        volume_mm3 = (whole_mm2 - slot_mm2) * size.frame_thickness_mm
        return volume_mm3 * self.frame_density_g_cm3[metal] / 1000.0

    def valve_mass_g(self, note: SpelledNote) -> float:
        """Return the mass of a leather valve, grams."""
        size = self.reed_size(note)
        area_mm2 = (size.tongue_length_mm + self.valve_longer_mm) * (
            size.tongue_width_mm + self.valve_wider_mm
        )
        return area_mm2 * size.valve_thickness_mm * self.valve_density_g_cm3 / 1000.0


def growth_factor(growth: Growth, *, sides: int, across_flats_mm: float) -> float:
    """Return how many times heavier a part is than on six sides of 159 mm across flats.

    Plane geometry of a regular polygon, the thickness kept.

    Raises
    ------
    InputError
        If the end has fewer than 3 sides or no width.
    """
    if sides < 3 or not across_flats_mm > 0.0:
        raise InputError(
            f"an end needs 3 sides or more and a width above 0 mm, got {sides} and "
            f"{across_flats_mm:g} mm; correct the layout or the measurement"
        )
    width = across_flats_mm / USUAL_ACROSS_FLATS_MM
    side = width * math.tan(math.pi / sides) / math.tan(math.pi / _USUAL_SIDES)
    perimeter = side * sides / _USUAL_SIDES
    return {
        Growth.FIXED: 1.0,
        Growth.SIDE: side,
        Growth.PERIMETER: perimeter,
        Growth.AREA: perimeter * width,
    }[growth]
