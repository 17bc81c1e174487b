"""The filing plan of a reed: leave it, file it, weigh it down, replace it, or listen again.

Metal off the tip raises the pitch, off the root lowers it. The tongue's model is
first made to sound at the pitch heard, so that only its *changes* are used. See
docs/theory/tongue.md for the derivation and its limits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reedwright.instrument.layout import Reed
from reedwright.instrument.target import ReedOffset
from reedwright.reedwork import wording
from reedwright.reedwork.cut import tip_mass_for_change
from reedwright.reedwork.cut_plan import CutPlan, plan_cut
from reedwright.reedwork.model import (
    FilingPlan,
    FilingRules,
    Metal,
    Tongue,
    TongueScale,
    Verdict,
)
from reedwright.reedwork.scale import default_tongue
from reedwright.reedwork.tongue import calibrated, tongue_as_bar
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import milligrams_from_kg

__all__ = ["plan_filing", "plan_many"]


def plan_many(
    offsets: Sequence[ReedOffset],
    *,
    tongues: Mapping[Reed, Tongue],
    scale: TongueScale,
    metal: Metal,
    tolerance_cents: float,
    rules: FilingRules,
) -> tuple[FilingPlan, ...]:
    """Return the plan of every reed, in the order given.

    ``tongues`` are those that were measured; the others are assumed from the
    scale, at the pitch of their target, of the metal.

    Raises
    ------
    ModelError
        If a measured tongue is no bar, or a target lies beyond the scale.
    """
    return tuple(
        plan_filing(
            offset,
            tongue=tongues.get(Reed(offset.target.key, offset.target.direction))
            or default_tongue(scale, metal, frequency_hz=offset.target.frequency_hz),
            tolerance_cents=tolerance_cents,
            rules=rules,
        )
        for offset in offsets
    )


def plan_filing(
    offset: ReedOffset, *, tongue: Tongue, tolerance_cents: float, rules: FilingRules
) -> FilingPlan:
    """Return what to do with one reed to bring it to its target.

    Parameters
    ----------
    offset : ReedOffset
        The reed against its target; without a pitch, or with a doubt to settle,
        nothing is filed.
    tongue : Tongue
        Measured or assumed (``default_tongue``); it is made to sound at the pitch
        heard first.
    tolerance_cents : float > 0
        A reed surely within it is left alone.
    rules : FilingRules
        How far a file may go.

    Raises
    ------
    ModelError
        If the tongue's stations do not describe a bar.
    """
    if offset.frequency_hz is None or offset.offset_cents is None or offset.doubt_cents is None:
        return _untouched(offset, Verdict.LISTEN_AGAIN, wording.NOT_HEARD)
    settled = _without_work(offset, offset.offset_cents, offset.doubt_cents, tolerance_cents, rules)
    if settled is not None:
        return settled
    sounding, moved_cents = calibrated(tongue, frequency_hz=offset.frequency_hz)
    if not tongue.is_assumed and abs(moved_cents) > rules.largest_calibration_cents:
        return _untouched(offset, Verdict.MEASURE_AGAIN, wording.measure_again(moved_cents))
    return _moved(
        _Case(
            offset=offset,
            offset_cents=offset.offset_cents,
            doubt_cents=offset.doubt_cents,
            tongue=sounding,
            rules=rules,
            assumed=wording.assumptions(sounding, moved_cents=moved_cents, rules=rules),
        )
    )


def _without_work(
    offset: ReedOffset,
    offset_cents: float,
    doubt_cents: float,
    tolerance_cents: float,
    rules: FilingRules,
) -> FilingPlan | None:
    """Return the plan for a reed that is right, or not surely wrong; None for one to work on."""
    if offset.doubt is not None:
        return _untouched(offset, Verdict.LISTEN_AGAIN, wording.settle_first(offset.doubt))
    off_target = wording.off_target(offset_cents, doubt_cents)
    is_within = abs(offset_cents) <= tolerance_cents
    if is_within and doubt_cents <= tolerance_cents:
        sentence = wording.leave_alone(off_target, tolerance_cents)
        return _untouched(offset, Verdict.LEAVE, sentence)
    if is_within or abs(offset_cents) < rules.doubts_to_act * doubt_cents:
        return _untouched(offset, Verdict.LISTEN_AGAIN, wording.listen_again(off_target))
    return None


def _untouched(offset: ReedOffset, verdict: Verdict, sentence: str) -> FilingPlan:
    """Return a plan that touches no metal."""
    return FilingPlan(
        key=offset.target.key,
        direction=offset.target.direction,
        verdict=verdict,
        change_cents=None,
        zone=None,
        zone_from_mm=None,
        zone_to_mm=None,
        depth_um=None,
        depth_doubt_um=None,
        mass_mg=None,
        thinnest_mm=None,
        steps=(),
        sentence=sentence,
        assumptions=(),
    )


@dataclass(frozen=True, slots=True)
class _Case:
    """A reed that is surely off its target, with its tongue sounding at the pitch heard."""

    offset: ReedOffset
    offset_cents: float
    doubt_cents: float
    tongue: Tongue
    rules: FilingRules
    assumed: tuple[str, ...]

    @property
    def off_target(self) -> str:
        """How far it is off, in words."""
        return wording.off_target(self.offset_cents, self.doubt_cents)

    def tip_mass_to_add_mg(self) -> float | None:
        """Return the tip mass to add (negative: to take off); None if no mass brings it there."""
        bar = tongue_as_bar(self.tongue)
        modes = natural_modes(bar, count=1)
        mass = tip_mass_for_change(bar, modes, change_cents=-self.offset_cents)
        return None if mass is None else milligrams_from_kg(mass) - self.tongue.tip_mass_mg

    def plan(
        self,
        verdict: Verdict,
        sentence: str,
        *,
        cut: CutPlan | None = None,
        mass_mg: float | None = None,
        care: tuple[str, ...] = (),
    ) -> FilingPlan:
        """Return the plan; without a cut it has no zone, no depth and no steps."""
        return FilingPlan(
            key=self.offset.target.key,
            direction=self.offset.target.direction,
            verdict=verdict,
            change_cents=-self.offset_cents,
            zone=cut.zone if cut else None,
            zone_from_mm=cut.zone_from_mm if cut else None,
            zone_to_mm=cut.zone_to_mm if cut else None,
            depth_um=cut.depth_um if cut else None,
            depth_doubt_um=cut.depth_doubt_um if cut else None,
            mass_mg=cut.mass_mg if cut else mass_mg,
            thinnest_mm=cut.thinnest_mm if cut else None,
            steps=cut.steps if cut else (),
            sentence=sentence,
            assumptions=self.assumed,
            care=care,
        )


def _moved(case: _Case) -> FilingPlan:
    """Return the plan for a reed to be moved."""
    if case.offset_cents < 0.0 and case.tongue.tip_mass_mg > 0.0:
        return _with_lighter_tip(case)
    is_too_far = abs(case.offset_cents) > case.rules.largest_change_cents
    cut = None
    if not is_too_far:
        cut = plan_cut(
            case.tongue,
            offset_cents=case.offset_cents,
            doubt_cents=case.doubt_cents,
            rules=case.rules,
        )
    if cut is None:
        return _beyond_filing(case, is_too_far=is_too_far)
    is_suspect = case.offset_cents < -case.rules.crack_warning_cents
    return case.plan(
        Verdict.FILE,
        wording.file_it(cut, case.off_target, case.rules),
        cut=cut,
        care=(
            *((wording.CRACK_CARE,) if is_suspect else ()),
            wording.FILING_CARE,
            wording.dust_care(case.tongue.metal.metal),
        ),
    )


def _with_lighter_tip(case: _Case) -> FilingPlan:
    """Return the plan for a flat reed that carries a tip weight: off the weight, not the tongue."""
    mass_mg = case.tip_mass_to_add_mg()
    if mass_mg is None:
        mass_mg = -case.tongue.tip_mass_mg
        sentence = wording.unweight_tip(-mass_mg, case.off_target)
    else:
        sentence = wording.lighten_tip(-mass_mg, case.off_target)
    return case.plan(Verdict.TIP_WEIGHT, sentence, mass_mg=mass_mg, care=(wording.SOLDER_CARE,))


def _beyond_filing(case: _Case, *, is_too_far: bool) -> FilingPlan:
    """Return the plan for a reed that a file must not bring to pitch."""
    if 0.0 < case.offset_cents <= case.rules.largest_tip_weight_change_cents:
        mass_mg = case.tip_mass_to_add_mg()
        if mass_mg is not None:
            sentence = wording.weight_tip(mass_mg, case.off_target, is_too_far=is_too_far)
            care = (wording.SOLDER_CARE,)
            return case.plan(Verdict.TIP_WEIGHT, sentence, mass_mg=mass_mg, care=care)
    return case.plan(
        Verdict.NEW_TONGUE,
        wording.new_tongue(case.off_target, is_too_far=is_too_far),
        care=(wording.CRACK_CARE,) if case.offset_cents < 0.0 else (),
    )
