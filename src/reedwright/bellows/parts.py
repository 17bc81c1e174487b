"""Every part of a bellows: how many, how large, of what."""

from collections.abc import Callable
from dataclasses import dataclass, fields

from reedwright.bellows.model import BellowsDesign, Counts, Part, PeakRuns, WantedBellows
from reedwright.bellows.outlines import (
    card_outlines,
    end_run_outlines,
    frame_rail_outlines,
    gusset_outlines,
    paper_outlines,
    peak_hinge_outlines,
    peak_strip_outlines,
    valley_hinge_outlines,
    valley_strip_outlines,
)
from reedwright.drawing.template import Outline, Template, area_mm2

__all__ = ["PART_KINDS", "PartKind", "counts_of", "parts_of"]


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part: its title, its material, how it is drawn, and where its count stands.

    ``counted_as`` is a field of ``Counts``. ``note`` is printed with its template.
    """

    part: str
    title: str
    material: str
    counted_as: str
    outlines: Callable[[BellowsDesign], tuple[Outline, ...]]
    note: str = ""


#: In the order of making.
PART_KINDS = (
    PartKind("card", "card", "card", "cards", card_outlines, "chamfer the edges"),
    PartKind(
        "peak_hinge", "peak hinge", "cloth", "peak_hinges", peak_hinge_outlines,
        "inside the peak",
    ),
    PartKind("valley_hinge", "valley hinge", "cloth", "valley_hinges", valley_hinge_outlines),
    PartKind(
        "gusset", "gusset", "gusset leather", "gussets", gusset_outlines,
        "card ends on the creases, peak on the short fold; skive the edges",
    ),
    PartKind(
        "peak_strip", "peak strip (top run)", "strip leather", "peak_strips",
        peak_strip_outlines, "corners of the ring on the cross lines; skive both long edges",
    ),
    PartKind(
        "valley_strip", "valley strip", "strip leather", "valley_strips", valley_strip_outlines,
        "corners of the ring on the cross lines",
    ),
    PartKind(
        "frame_strip", "end run (frame strip)", "strip leather", "frame_strips", end_run_outlines,
        "upper side of the fold on the card",
    ),
    PartKind("paper", "bellows paper", "paper", "papers", paper_outlines),
    PartKind(
        "frame_rail", "frame rail, in plan", "frame wood", "frame_rails", frame_rail_outlines,
        "mitred",
    ),
)  # fmt: skip


def counts_of(wanted: WantedBellows) -> Counts:
    """Return how many of each part.

    2nk cards, nk gussets, nk peak strips (or k, cut in one round each fold), n(k - 1)
    valley strips, a strip for each side at either frame; a hinge at every peak and valley.
    """
    n, k = wanted.sides, wanted.folds
    return Counts(
        cards=2 * n * k,
        gussets=n * k,
        peak_strips=n * k if wanted.peak_runs is PeakRuns.SIDE else k,
        valley_strips=n * (k - 1),
        frame_strips=2 * n,
        peak_hinges=n * k,
        valley_hinges=n * (k + 1),
        frame_rails=2 * n,
        frames=2,
        papers=2 * n * k,
    )


def parts_of(design: BellowsDesign) -> tuple[Part, ...]:
    """Return every part there is to cut; one that has no room or no count is left out."""
    counts = {field.name: getattr(design.counts, field.name) for field in fields(Counts)}
    parts = []
    for kind in PART_KINDS:
        outlines, count = kind.outlines(design), counts[kind.counted_as]
        if not outlines or not count:
            continue
        pattern = Template(
            number="", title=kind.title, material=kind.material, count=count, outlines=outlines
        )
        parts.append(
            Part(
                part=kind.part,
                title=kind.title,
                material=kind.material,
                count=count,
                length_mm=pattern.width_mm,
                width_mm=pattern.height_mm,
                area_all_cm2=count * area_mm2(pattern.edge) / 100.0,
            )
        )
    return tuple(parts)
