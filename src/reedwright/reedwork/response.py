"""What the beam model says of filing each end of a reed: the start of what scrapes teach."""

from reedwright.errors import ModelError
from reedwright.instrument.layout import Reed
from reedwright.reedwork.cut_plan import deepest_cut, zone_cut
from reedwright.reedwork.model import FilingRules, Tongue, Zone
from reedwright.reedwork.scrapes import BenchReed, ZoneResponse
from reedwright.units import metres_from_um, um_from_metres

__all__ = ["bench_reed", "zone_response"]


def zone_response(tongue: Tongue, zone: Zone, *, rules: FilingRules) -> ZoneResponse:
    """Return how filing the tip or the root of a tongue moves its pitch, to first order.

    The zone is that of the filing plan. Limits: the pitch goes further down than to
    first order, by 8 % when 5 % of the thickness is gone (computed); what scrapes
    teach takes that up.

    Parameters
    ----------
    tongue : Tongue
        Sounding at the pitch heard (``calibrated``).

    Raises
    ------
    ModelError
        If the stations describe no bar, or the tongue is too short for a zone.
    """
    zoned = zone_cut(tongue, zone, rules)
    if zoned is None:
        raise ModelError(
            f"a zone at the {zone} needs a longer tongue, this is {tongue.length_mm:g} mm long; "
            "check its length"
        )
    cut, from_mm, to_mm = zoned
    return ZoneResponse(
        zone=zone,
        zone_from_mm=from_mm,
        zone_to_mm=to_mm,
        cents_per_um=abs(cut.slope_cents()) * metres_from_um(1.0),
        deepest_um=max(um_from_metres(deepest_cut(cut, zone, rules)), 0.0),
    )


def bench_reed(
    tongue: Tongue,
    *,
    reed: Reed,
    frequency_hz: float,
    tolerance_cents: float,
    rules: FilingRules,
    instrument: str = "",
) -> BenchReed:
    """Return a reed as the bench knows it before anything was filed.

    Parameters
    ----------
    tongue : Tongue
        Sounding at the pitch heard (``calibrated``).
    frequency_hz : float > 0
        Of its target.
    tolerance_cents : float > 0
        The grade the workshop set: within it the reed is left alone.
    instrument : str
        Tells its reeds from those of other instruments that taught before.
    """
    return BenchReed(
        reed=reed,
        frequency_hz=frequency_hz,
        metal=tongue.metal.metal,
        tolerance_cents=tolerance_cents,
        tip=zone_response(tongue, Zone.TIP, rules=rules),
        root=zone_response(tongue, Zone.ROOT, rules=rules),
        instrument=instrument,
    )
