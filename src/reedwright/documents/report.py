"""The as-found report: what state the instrument came in, for its owner and for the file."""

from collections.abc import Sequence
from statistics import median

from reedwright.documents.doubts import as_sentence, doubt_notes, reed_in_words
from reedwright.documents.end_map import both_ends_map
from reedwright.documents.head import head_values
from reedwright.documents.map_sheet import MARGIN_MM, map_height_mm
from reedwright.documents.model import AsFoundReport, reed_of
from reedwright.documents.offset_graph import offset_graph
from reedwright.documents.offset_histogram import offset_histogram
from reedwright.documents.pdf import Json, compile_pages
from reedwright.drawing import Drawing
from reedwright.drawing.numbers import print_frequency, print_number, print_offset
from reedwright.instrument.layout import Action, Direction, Key, Reed
from reedwright.instrument.target import ReedOffset
from reedwright.units import cents_from_ratio

__all__ = ["as_found_report_pdf", "report_drawings"]

_SIDE_MARGIN_MM = 16.0
_GRAPH_HEIGHT_MM = 106.0
_MOST_WORST = 10


def report_drawings(report: AsFoundReport) -> dict[str, Drawing]:
    """Return the report's pictures by name: ``graph``, ``histogram`` and ``map``."""
    width_mm = report.page.width_mm - 2.0 * _SIDE_MARGIN_MM
    return {
        "graph": offset_graph(
            report.offsets,
            tolerance_cents=report.tolerance.tolerance_cents,
            overall=report.overall,
            target_a4_hz=report.target_a4_hz,
            width_mm=width_mm,
            height_mm=_GRAPH_HEIGHT_MM,
        ),
        "histogram": offset_histogram(report.offsets, width_mm=84.0, height_mm=52.0),
        "map": both_ends_map(
            report.layout,
            report.offsets,
            tolerance=report.tolerance,
            width_mm=report.page.height_mm - 2.0 * MARGIN_MM,
            most_height_mm=map_height_mm(report.page, has_notes=False),
        ),
    }


def as_found_report_pdf(report: AsFoundReport) -> bytes:
    """Return the report as PDF: findings and graph, map, worst reeds and doubts, every reed."""
    data: dict[str, Json] = {
        "head": head_values(report.head, "As-found report"),
        "owner": report.owner,
        "page": {
            "width_mm": report.page.width_mm,
            "height_mm": report.page.height_mm,
            "margin_mm": _SIDE_MARGIN_MM,
            "map_margin_mm": MARGIN_MM,
        },
        "sentences": [as_sentence(sentence) for sentence in report.sentences],
        "findings": [
            {
                "where": finding.part,
                "text": as_sentence(finding.statement),
                "evidence": finding.evidence,
                "severity": str(finding.severity),
            }
            for finding in report.findings
        ],
        "numbers": [{"name": name, "value": value} for name, value in _numbers(report)],
        "worst": [_reed_row(offset) for offset in _worst(report.offsets)],
        "notes": [{"where": where, "text": text} for where, text in doubt_notes(report.offsets)],
        "measured": [as_sentence(words) for words in _how_measured(report)],
        "reeds": [_key_row(key, report.offsets) for key in report.layout.keys],
        "is_single_action": report.layout.action is Action.SINGLE,
        "has_two_notes": any(not key.is_unisonoric for key in report.layout.keys),
    }
    return compile_pages("as_found_report", data, report_drawings(report))


def _numbers(report: AsFoundReport) -> list[tuple[str, str]]:
    """Return the summary as (what, number with its doubt)."""
    heard = [offset for offset in report.offsets if offset.offset_cents is not None]
    within = sum(offset.is_within_tolerance is True for offset in heard)
    numbers = [("reeds heard", f"{len(heard)} of {len(report.layout.reeds())}")]
    if heard:
        numbers.append(("within the tolerance", f"{within} of {len(heard)}"))
    if (overall := report.overall) is not None:
        against_cents = cents_from_ratio(overall.a4_hz / report.target_a4_hz)
        a4 = print_frequency(overall.a4_hz, overall.doubt_cents)
        spread = print_number(overall.spread_cents, decimals=1)
        numbers += [
            ("pitch of the whole instrument, A4", f"{a4} Hz"),
            ("against the standard", f"{print_offset(against_cents, overall.doubt_cents)} cents"),
            ("spread of the reeds about it", f"{spread} cents"),
        ]
    if heard:
        worst = _worst(heard)
        if worst:
            numbers.append(
                ("furthest off", f"{reed_in_words(worst[0])}, {_offset(worst[0])} cents")
            )
        differences = _pair_differences(heard)
        if differences:
            text = f"{print_number(median(differences), decimals=1)} cents"
            numbers.append(("press against draw, median difference", text))
    return numbers


def _pair_differences(heard: Sequence[ReedOffset]) -> list[float]:
    """Return how far apart the two reeds of each key of one note stand, in cents."""
    press = {o.target.key: o for o in heard if o.target.direction is Direction.PRESS}
    return [
        abs(draw.offset_cents - partner.offset_cents)
        for draw in heard
        if draw.target.direction is Direction.DRAW
        for partner in (press.get(draw.target.key),)
        if partner is not None
        and partner.target.note == draw.target.note
        and draw.offset_cents is not None
        and partner.offset_cents is not None
    ]


def _worst(offsets: Sequence[ReedOffset]) -> list[ReedOffset]:
    """Return the reeds furthest outside their tolerance, the furthest first."""
    outside = [offset for offset in offsets if offset.is_within_tolerance is False]
    return sorted(outside, key=lambda offset: -abs(offset.offset_cents or 0.0))[:_MOST_WORST]


def _offset(offset: ReedOffset) -> str:
    return str(print_offset(offset.offset_cents or 0.0, offset.doubt_cents or 0.0))


def _reed_row(offset: ReedOffset) -> dict[str, Json]:
    return {
        "reed": reed_in_words(offset),
        "found_hz": _found_hz(offset),
        "offset": _offset(offset),
        "is_doubtful": offset.doubt is not None,
    }


def _found_hz(offset: ReedOffset) -> str:
    if offset.frequency_hz is None:
        return ""
    return print_frequency(offset.frequency_hz, offset.doubt_cents or 0.0).value


def _key_row(key: Key, offsets: Sequence[ReedOffset]) -> dict[str, Json]:
    """Return what the last table says of a key: its note, and each reed's pitch and offset."""
    by_reed = {reed_of(offset): offset for offset in offsets}
    cells: dict[str, Json] = {"key": key.key}
    for direction in Direction:
        note = key.note(direction)
        offset = by_reed.get(Reed(key.key, direction))
        state = "heard"
        if note is None:
            state = "no reed"
        elif offset is None or offset.offset_cents is None:
            state = "not heard"
        cells[str(direction)] = {
            "note": note.printed if note is not None else "",
            "state": state,
            "found_hz": _found_hz(offset) if offset is not None else "",
            "offset": _offset(offset) if offset is not None and state == "heard" else "",
            "is_within": offset is not None and offset.is_within_tolerance is True,
            "is_doubtful": offset is not None and offset.doubt is not None,
        }
    return cells


def _how_measured(report: AsFoundReport) -> list[str]:
    """Return how the numbers came about, a sentence each."""
    survey = report.survey
    minutes = print_number(survey.duration_s / 60.0, decimals=1)
    said = [
        f"One recording of {minutes} minutes at {survey.sample_rate_hz:g} samples a second, "
        f"played in the order “{survey.order}”, gave {len(survey.readings)} readings"
    ]
    if survey.unplaced:
        said.append(f"{len(survey.unplaced)} sounds could not be given to any reed")
    return [*said, *survey.cautions]
