"""The plans in words of the bench: sentences, what was assumed, what to look out for.

The practice in them (lengthways strokes, a shim, waiting, solder) is the trade's:
common practice, no source, except where docs/theory/tongue.md names one.
"""

import math

from reedwright.drawing.numbers import print_number, print_offset, print_with_doubt
from reedwright.reedwork.cut_plan import CutPlan
from reedwright.reedwork.model import FilingRules, Tongue, Zone

__all__ = [
    "CRACK_CARE",
    "FILING_CARE",
    "NOT_HEARD",
    "SOLDER_CARE",
    "assumptions",
    "dust_care",
    "file_it",
    "leave_alone",
    "lighten_tip",
    "listen_again",
    "measure_again",
    "new_tongue",
    "off_target",
    "settle_first",
    "unweight_tip",
    "weight_tip",
]

NOT_HEARD = "No pitch was heard: find out first why it does not speak, then listen again."

FILING_CARE = (
    "Slide a shim under the tongue, stroke lengthways, take off the burr and look at the set "
    "again; let it cool ten minutes before believing a reading."
)
CRACK_CARE = (
    "A reed so flat by itself may be cracked at the root or rusted: look, and compare its twin, "
    "before filing."
)
SOLDER_CARE = (
    "Solder: lead-free, with the fume drawn off, as local rules ask; take old solder for leaded, "
    "work it wet and catch the dust. Keep the heat off the root (steel must stay hard) and see "
    "that the weight strikes neither frame nor bellows."
)
_STEEL_DUST_CARE = "Steel filings: goggles, and a magnet in a bag to gather them."
_ALLOY_DUST_CARE = (
    "Filings of brass and other copper alloys may hold lead: goggles, no blowing, wipe up wet, "
    "wash hands."
)

_THIRD = 1.0 / 3.0


def dust_care(metal: str) -> str:
    """Return what to mind of the filings of a metal, by its name."""
    return _STEEL_DUST_CARE if "steel" in metal.lower() else _ALLOY_DUST_CARE


def settle_first(doubt: str) -> str:
    """Return the sentence for a reading that a person must settle."""
    return f"Settle first: {doubt.rstrip('.')}. Nothing is filed on a doubtful reading."


def off_target(offset_cents: float, doubt_cents: float) -> str:
    """Return how far a reed is off: ``8.3 ± 0.4 cents sharp``."""
    printed = print_offset(abs(offset_cents), doubt_cents)
    value = printed.value.lstrip("+")
    side = "sharp" if offset_cents > 0.0 else "flat"
    return f"{value} ± {printed.doubt} cents {side if value.strip('0.') else 'off'}"


def leave_alone(off_target: str, tolerance_cents: float) -> str:
    """Return the sentence for a reed within tolerance."""
    tolerance = print_number(tolerance_cents, decimals=1)
    return f"{off_target}, within {tolerance} cents: leave it alone."


def listen_again(off_target: str) -> str:
    """Return the sentence for a reed whose doubt is too great to file by."""
    return f"{off_target}: the doubt is too great to file by. Listen again, longer and steadier."


def measure_again(moved_cents: float) -> str:
    """Return the sentence for a measured tongue that cannot sound as heard."""
    side = "below" if moved_cents > 0.0 else "above"
    return (
        f"A tongue of these dimensions would sound {abs(moved_cents):.0f} cents {side} what was "
        "heard: measure it again and check its metal, and that this is the reed heard."
    )


def file_it(cut: CutPlan, off_target: str, rules: FilingRules) -> str:
    """Return the sentence for a reed to file."""
    part = f"{cut.zone} third" if abs(rules.zone_fraction - _THIRD) < 0.01 else str(cut.zone)
    if cut.zone is Zone.TIP:
        where = f"from the tip {_zone_mm(cut.zone_to_mm)} mm inwards"
    else:
        where = f"from {_zone_mm(cut.zone_from_mm)} to {_zone_mm(cut.zone_to_mm)} mm off the root"
    depth = print_with_doubt(cut.depth_um, cut.depth_doubt_um)
    sentence = (
        f"{off_target}: file the {part}, {where}, about {depth} µm in "
        f"all ({_two_digits(cut.mass_mg)} mg)."
    )
    stops = [
        f"after {_two_digits(stop.depth_um)} µm, near "
        f"{print_offset(stop.expected_offset_cents, stop.expected_doubt_cents).value} cents"
        for stop in cut.steps[:-1]
    ]
    return f"{sentence} Stop and measure {'; again '.join(stops)}." if stops else sentence


def weight_tip(mass_mg: float, off_target: str, *, is_too_far: bool) -> str:
    """Return the sentence for a reed to be lowered by a weight."""
    return (
        f"{off_target}, {_why_not_filed(is_too_far)}: solder about "
        f"{_two_digits(mass_mg)} mg on the tip, rather more, and file it back to pitch; or fit a "
        "new tongue."
    )


def lighten_tip(mass_mg: float, off_target: str) -> str:
    """Return the sentence for a flat reed that carries a tip weight."""
    return (
        f"{off_target}, with a weight on its tip: file about "
        f"{_two_digits(mass_mg)} mg off the weight, a little at a time, measuring between."
    )


def unweight_tip(mass_mg: float, off_target: str) -> str:
    """Return the sentence for a reed that stays flat even without its tip weight."""
    return (
        f"{off_target}, more than its tip weight accounts for: take "
        f"the whole weight of {_two_digits(mass_mg)} mg off, and listen again."
    )


def new_tongue(off_target: str, *, is_too_far: bool) -> str:
    """Return the sentence for a reed beyond file and solder."""
    return (
        f"{off_target}, {_why_not_filed(is_too_far)}: see that this is "
        "the reed meant, then fit a new tongue."
    )


def assumptions(tongue: Tongue, *, moved_cents: float, rules: FilingRules) -> tuple[str, ...]:
    """Return what the plan takes for granted; ``moved_cents`` is the calibration's."""
    allowed = print_number(100.0 * rules.model_doubt_fraction, decimals=0)
    model = (
        "No published measurement of pitch against metal filed was found; "
        f"{allowed} % of the change is allowed for the model, one sigma."
    )
    length = print_with_doubt(
        tongue.length_mm, tongue.length_mm * tongue.length_doubt_fraction, finest=0.1
    )
    if tongue.is_assumed:
        root_mm = _two_digits(tongue.stations[0].thickness_mm)
        return (
            f"Not measured: a tongue of {tongue.metal.metal}, {length} mm long and about "
            f"{root_mm} mm thick at the root, is assumed from the pitch. Make sure of the metal: "
            "in brass the same change takes 1.4 times the depth it takes in steel.",
            model,
        )
    return (
        f"The tongue as measured ({length} mm) was made to sound as heard by its stiffness, "
        f"{print_number(moved_cents, decimals=0, is_offset=True)} cents.",
        model,
    )


def _why_not_filed(is_too_far: bool) -> str:
    return "too far for a file" if is_too_far else "and filing would leave the tongue too thin"


def _zone_mm(length_mm: float) -> str:
    return print_number(length_mm, decimals=0 if length_mm == round(length_mm) else 1)


def _two_digits(value: float) -> str:
    """Return a positive number to two figures."""
    return print_number(value, decimals=1 - math.floor(math.log10(value)))
