"""Invented jobs to print: every number made up, every case that a sheet must bear.

The offsets follow a fixed rule so that each run prints the same papers.
"""

from collections.abc import Iterable
from dataclasses import replace

from reedwright.documents.model import (
    AsFoundReport,
    BenchSheet,
    EndMaps,
    KeyOrder,
    PageSize,
    PaperHead,
)
from reedwright.documents.orders import order_of_buttons
from reedwright.instrument.finding import Finding, Severity
from reedwright.instrument.layout import (
    Action,
    Key,
    Layout,
    Reed,
    Side,
    System,
    key_identifier,
)
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Survey
from reedwright.instrument.target import ReedOffset, Target
from reedwright.reedwork.model import FilingPlan, FilingStep, Verdict, Zone
from reedwright.tuning.model import OverallPitch, Tolerance
from reedwright.units import ratio_from_cents

HEAD = PaperHead(
    job="Rosewood treble, six sides, no. 4417",
    instrument="English treble, 48 keys, steel reeds in brass frames",
    date="12 March 2026",
    pitch_standard="A4 = 440.0 Hz",
    temperament="equal temperament",
    temperature_c=20.1,
    condition="in the instrument, ends on",
)
TOLERANCE = Tolerance()


def offset_rule_cents(place: int) -> float:
    """Return the invented offset of the reed at a place in the layout."""
    near = (place * 37 % 29) / 29.0 - 0.5
    return round(9.0 * near + (18.0 * near if place % 11 == 3 else 0.0), 2)


def invented_offsets(
    layout: Layout, *, silent: Iterable[Reed] = (), doubtful: Iterable[Reed] = ()
) -> tuple[ReedOffset, ...]:
    """Return an offset for every reed of a layout; some were not heard, some are in doubt."""
    silent, doubtful = set(silent), set(doubtful)
    offsets = []
    for place, reed in enumerate(layout.reeds()):
        key, note = layout.key(reed.key), layout.note(reed)
        target_hz = 440.0 * 2.0 ** ((note.semitone - 69) / 12.0)
        target = Target(reed.key, key.side, reed.direction, note, target_hz)
        if reed in silent:
            offsets.append(ReedOffset(target, None, None, None, None, None, None))
            continue
        offset_cents = offset_rule_cents(place)
        doubt = (
            f"this may have been the {note.printed} of another key: both were played within "
            "two seconds of each other; play it once more"
            if reed in doubtful
            else None
        )
        offsets.append(
            ReedOffset(
                target,
                target_hz * ratio_from_cents(offset_cents),
                offset_cents,
                0.2 + 0.05 * (place % 13),
                None,
                abs(offset_cents) <= TOLERANCE.tolerance_cents,
                doubt,
            )
        )
    return tuple(offsets)


def invented_plans(offsets: Iterable[ReedOffset]) -> tuple[FilingPlan, ...]:
    """Return a plan for every reed: file it, leave it, or what else the bench may do."""
    return tuple(_plan(offset) for offset in offsets)


def _plan(offset: ReedOffset) -> FilingPlan:
    key, direction = offset.target.key, str(offset.target.direction)
    leave = FilingPlan(
        key=key, direction=direction, verdict=Verdict.LEAVE, change_cents=None, zone=None,
        zone_from_mm=None, zone_to_mm=None, depth_um=None, depth_doubt_um=None, mass_mg=None,
        thinnest_mm=None, steps=(), sentence="Leave it.", assumptions=(),
    )  # fmt: skip
    if offset.offset_cents is None:
        return replace(leave, verdict=Verdict.LISTEN_AGAIN, sentence="Find out why it is silent.")
    if offset.is_within_tolerance:
        return leave
    if abs(offset.offset_cents) > 13.0:
        return replace(leave, verdict=Verdict.NEW_TONGUE, sentence="Too far for a file.")
    depth_um = 1.7 * abs(offset.offset_cents)
    zone = Zone.TIP if offset.offset_cents < 0.0 else Zone.ROOT
    return replace(
        leave,
        verdict=Verdict.FILE,
        change_cents=-offset.offset_cents,
        zone=zone,
        zone_from_mm=0.0,
        zone_to_mm=6.5,
        depth_um=depth_um,
        depth_doubt_um=0.3 * depth_um,
        mass_mg=0.4,
        thinnest_mm=0.21,
        steps=(
            FilingStep(0.6 * depth_um, 0.2, 0.4 * offset.offset_cents, 0.6),
            FilingStep(depth_um, 0.4, 0.0, 0.8),
        ),
        care=(
            *(("Look for a crack first.",) if offset.offset_cents < -12.0 else ()),
            "Stroke lengthways and let it cool before believing a reading.",
        ),
        assumptions=("Not measured: a tongue of steel, 25.1 ± 2.5 mm long, is assumed.",),
        sentence=f"File the {zone} from 0 to 6.5 mm, {depth_um:.0f} µm in two steps.",
    )


def bench_sheet(
    layout: Layout, *, page: PageSize = PageSize.A4, order: KeyOrder | None = None
) -> BenchSheet:
    """Return a sheet with a silent reed and a doubtful one."""
    reeds = layout.reeds()
    offsets = invented_offsets(layout, silent=reeds[7:8], doubtful=reeds[12:13])
    return BenchSheet(
        head=replace(HEAD, instrument=layout.title),
        layout=layout,
        offsets=offsets,
        plans=invented_plans(offsets),
        order=order or order_of_buttons(layout),
        tolerance=TOLERANCE,
        scale_a4_hz=440.0,
        page=page,
    )


def end_maps(layout: Layout, *, page: PageSize = PageSize.A4) -> EndMaps:
    """Return maps with a silent reed and a doubtful one."""
    reeds = layout.reeds()
    offsets = invented_offsets(layout, silent=reeds[7:8], doubtful=reeds[12:13])
    return EndMaps(replace(HEAD, instrument=layout.title), layout, offsets, TOLERANCE, page=page)


def report(
    layout: Layout, *, page: PageSize = PageSize.A4, is_silent: bool = False
) -> AsFoundReport:
    """Return a report; with ``is_silent`` nothing was heard at all."""
    reeds = layout.reeds()
    silent = reeds if is_silent else reeds[7:8]
    offsets = invented_offsets(layout, silent=silent, doubtful=() if is_silent else reeds[12:13])
    survey = Survey(
        layout=layout.layout,
        order="ascending",
        duration_s=412.0,
        sample_rate_hz=44100.0,
        shift_cents=1.6,
        readings=(),
        missing=(),
        unplaced=(),
        cautions=("The temperature was not measured",),
    )
    return AsFoundReport(
        head=replace(HEAD, instrument=layout.title),
        owner="the owner of the instrument",
        layout=layout,
        survey=survey,
        offsets=offsets,
        sentences=()
        if is_silent
        else (
            "The instrument as a whole stands at modern pitch, 1.6 cents above A4 = 440 Hz",
            "Eleven reeds are further off than an ear forgives; most of them are single reeds "
            "whose partner is in tune",
            "One reed, A♭5 on the draw, does not speak",
        ),
        findings=(
            Finding("L1.4", "The draw reed is silent", Severity.UNPLAYABLE, "no sound in 3 tries"),
        ),
        overall=None if is_silent else OverallPitch(440.41, 0.31, 3.4, len(reeds) - 1),
        target_a4_hz=440.0,
        tolerance=TOLERANCE,
        page=page,
    )


LONG_NAME = (
    "A rosewood and ebony treble of forty-eight keys with gold tooling, brought in by the third "
    "owner after a fall from a table, number not legible, perhaps 4417 or 4471, case missing"
)


def with_long_names(head: PaperHead) -> PaperHead:
    """Return a head whose every text is far too long for its line."""
    return replace(
        head,
        job=LONG_NAME,
        instrument=LONG_NAME.upper(),
        pitch_standard=LONG_NAME,
        notice="Demonstration: the instrument, its faults and its sounds are invented",
    )


def large_duet(keys_of_an_end: int = 41, *, sides: int = 12) -> Layout:
    """Return a made-up duet with many keys on each end, in rows of seven."""
    letters = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
    keys = []
    for side in Side:
        for place in range(keys_of_an_end):
            row, position = 1 + place // 7, 1 + place % 7
            octave = (3 if side is Side.LEFT else 4) + place // 12 % 4
            note = SpelledNote.parse(f"{letters[place % 12]}{octave}")
            name = key_identifier(side, row, position)
            keys.append(Key(name, side, row, position, note, note))
    return Layout(
        layout="large-duet",
        title=f"Made-up duet, {2 * keys_of_an_end} keys",
        action=Action.DOUBLE,
        keys=tuple(keys),
        evidence="invented for the tests of the papers",
        system=System.DUET,
        sides=sides,
    )
