"""Tables for people: no digit finer than its doubt, and what is doubtful says so."""

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table

from reedwright.drawing.numbers import print_frequency, print_number, print_offset
from reedwright.instrument.reading import Survey, Tone
from reedwright.instrument.target import ReedOffset
from reedwright.reedwork.model import FilingPlan, Verdict

__all__ = ["print_offsets", "print_plans", "print_survey", "print_table", "print_tones"]

#: A pipe or a file has no width; this holds every table of ours.
_WIDTH_WITHOUT_SCREEN = 140


def print_table(columns: Sequence[str], rows: Iterable[Sequence[str]], *, title: str = "") -> None:
    """Print a plain table; columns whose name ends in a unit are set flush right."""
    table = Table(title=title or None, title_justify="left", box=None, pad_edge=False)
    for column in columns:
        is_number = column.rsplit(" ", 1)[-1] in {"Hz", "cents", "s", "dB", "um", "mg", "g", "n"}
        table.add_column(column, justify="right" if is_number else "left", no_wrap=is_number)
    for row in rows:
        table.add_row(*row)
    console = Console(highlight=False)
    if not console.is_terminal:
        console = Console(highlight=False, width=_WIDTH_WITHOUT_SCREEN)
    console.print(table)


def print_tones(tones: Sequence[Tone], cautions: Sequence[str]) -> None:
    """Print single notes in order of time."""
    print_table(
        ("from s", "to s", "pitch Hz", "estimator's error cents", "second reed", "remarks"),
        [
            (
                print_number(tone.start_s, decimals=1),
                print_number(tone.end_s, decimals=1),
                str(print_frequency(tone.frequency_hz, tone.standard_error_cents)),
                print_number(max(tone.standard_error_cents, 0.1), decimals=1),
                _second(tone),
                " ".join(tone.cautions),
            )
            for tone in tones
        ],
    )
    _print_lines(cautions)
    print(f"{len(tones)} {'note' if len(tones) == 1 else 'notes'} heard.")


def print_survey(survey: Survey) -> None:
    """Print every reading, what is missing, and what a person must settle."""
    print_table(
        ("key", "note", "way", "from s", "pitch Hz", "doubt cents", "second reed", "to settle"),
        [
            (
                reading.key,
                reading.note.printed,
                reading.direction.value,
                print_number(reading.tone.start_s, decimals=1),
                str(print_frequency(reading.tone.frequency_hz, reading.doubt_budget.total_cents)),
                print_number(max(reading.doubt_budget.total_cents, 0.1), decimals=1),
                _second(reading.tone),
                reading.doubt or "",
            )
            for reading in survey.readings
        ],
    )
    for missing in survey.missing:
        print(f"Not heard: {missing.key} {missing.note.printed} {missing.direction.value}")
    for tone in survey.unplaced:
        print(f"Heard but not placed: {tone.frequency_hz:.1f} Hz at {tone.start_s:.1f} s")
    _print_lines(survey.cautions)
    doubtful = sum(reading.doubt is not None for reading in survey.readings)
    print(
        f"{len(survey.readings)} readings, {doubtful} to settle, {len(survey.missing)} reeds not "
        f"heard, {len(survey.unplaced)} sounds not placed. The instrument as a whole: "
        f"{print_number(survey.shift_cents, decimals=0, is_offset=True)} cents from 440 Hz."
    )


def print_offsets(offsets: Sequence[ReedOffset]) -> None:
    """Print each reed against its target."""
    print_table(
        ("key", "note", "way", "target Hz", "offset cents", "pair cents", "verdict"),
        [
            (
                offset.target.key,
                offset.target.note.printed,
                offset.target.direction.value,
                f"{offset.target.frequency_hz:.2f}",
                _offset(offset),
                ""
                if offset.partner_difference_cents is None
                else print_number(offset.partner_difference_cents, decimals=1, is_offset=True),
                _verdict(offset),
            )
            for offset in offsets
        ],
    )


def print_plans(offsets: Sequence[ReedOffset], plans: Sequence[FilingPlan]) -> None:
    """Print what to do with each reed, those to be left alone counted only."""
    print_table(
        ("key", "note", "way", "offset cents", "what to do"),
        [
            (
                offset.target.key,
                offset.target.note.printed,
                offset.target.direction.value,
                _offset(offset),
                plan.sentence,
            )
            for offset, plan in zip(offsets, plans, strict=True)
            if plan.verdict is not Verdict.LEAVE
        ],
    )
    for care in dict.fromkeys(line for plan in plans for line in plan.care):
        print(care)
    left = sum(plan.verdict is Verdict.LEAVE for plan in plans)
    to_file = sum(plan.verdict is Verdict.FILE for plan in plans)
    print(f"{to_file} reeds to file, {left} to leave alone, {len(plans) - to_file - left} others.")


def _offset(offset: ReedOffset) -> str:
    if offset.offset_cents is None or offset.doubt_cents is None:
        return "not heard"
    return str(print_offset(offset.offset_cents, offset.doubt_cents))


def _verdict(offset: ReedOffset) -> str:
    if offset.offset_cents is None:
        return ""
    if offset.doubt is not None:
        return f"to settle: {offset.doubt}"
    if offset.is_within_tolerance:
        return "leave"
    return "sharp" if offset.offset_cents > 0 else "flat"


def _second(tone: Tone) -> str:
    if tone.second is None:
        return ""
    beat = f"beats {tone.second.beat_hz:.1f} Hz"
    if tone.second.frequency_hz is None:
        return beat
    return f"{tone.second.frequency_hz:.1f} Hz, {beat}"


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)
