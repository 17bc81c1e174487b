"""The parts of a bellows as templates, numbered in the order of making."""

from dataclasses import fields

from reedwright.bellows.model import BellowsDesign, BellowsFigures, Counts
from reedwright.bellows.parts import PART_KINDS
from reedwright.drawing.template import Template, TemplateSet

__all__ = ["bellows_templates"]


def bellows_templates(design: BellowsDesign, figures: BellowsFigures) -> TemplateSet:
    """Return a template of every part of a design; a part without count or room is left out.

    The grain of every material lies along the pattern's x.
    """
    wanted = design.wanted
    counts = {field.name: getattr(design.counts, field.name) for field in fields(Counts)}
    templates: list[Template] = []
    for kind in PART_KINDS:
        outlines = kind.outlines(design)
        if not outlines or not counts[kind.counted_as]:
            continue
        material = figures.material(kind.material)
        thickness_mm = {
            "card": wanted.layers.card_mm,
            "cloth": wanted.layers.cloth_mm,
            "gusset leather": wanted.layers.gusset_mm,
            "strip leather": wanted.layers.strip_mm,
            "frame wood": wanted.allowances.frame_depth_mm,
        }.get(kind.material, material.thickness_mm)
        templates.append(
            Template(
                number=f"B{len(templates) + 1}",
                title=kind.title,
                material=f"{material.title}, {thickness_mm:g} mm"
                + (" deep" if kind.part == "frame_rail" else ""),
                count=counts[kind.counted_as],
                outlines=outlines,
                grain_degrees=None if material.grain is None else 0.0,
                grain=material.grain,
                note=kind.note,
            )
        )
    return TemplateSet(
        title=f"Bellows, {wanted.sides} sides, {wanted.folds} folds",
        facts=(
            f"{wanted.across_flats_mm:.5g} mm across flats, {wanted.depth_mm:.4g} mm deep, "
            f"opens to {wanted.opening_deg:.4g}°: closed {design.closed_length_mm:.1f} mm, open "
            f"{design.open_length_mm:.1f} mm, slack: {wanted.slack.in_words}"
        ),
        templates=tuple(templates),
    )
