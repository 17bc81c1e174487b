"""The response of each end by the beam model, against cutting the tongue and solving again."""

from dataclasses import replace

import pytest

from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.errors import ModelError
from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork import calibrated, default_tongue, examine_tongue
from reedwright.reedwork.model import Station, Tongue, Zone
from reedwright.reedwork.response import bench_reed, zone_response
from reedwright.units import cents_from_ratio

RULES = load_filing_rules()
METAL = load_metal("steel")


def tongue(frequency_hz: float) -> Tongue:
    """Return the tongue assumed at a pitch."""
    return default_tongue(load_tongue_scale(), METAL, frequency_hz=frequency_hz)


def filed(whole: Tongue, start_mm: float, stop_mm: float, depth_mm: float) -> Tongue:
    """Return a tongue with a cut in it, drawn with many stations."""
    places = sorted(
        {station.x_mm for station in whole.stations}
        | {start_mm, start_mm + 1e-6, stop_mm - 1e-6, stop_mm} - {whole.length_mm + 1e-6}
    )
    stations = []
    for x in places:
        below = max((s for s in whole.stations if s.x_mm <= x), key=lambda s: s.x_mm)
        above = min((s for s in whole.stations if s.x_mm >= x), key=lambda s: s.x_mm)
        part = 0.0 if above is below else (x - below.x_mm) / (above.x_mm - below.x_mm)
        cut = depth_mm if start_mm < x < stop_mm or x == stop_mm == whole.length_mm else 0.0
        stations.append(
            Station(
                x,
                below.thickness_mm + part * (above.thickness_mm - below.thickness_mm) - cut,
                below.width_mm + part * (above.width_mm - below.width_mm),
            )
        )
    return replace(whole, stations=tuple(stations))


@pytest.mark.parametrize("frequency_hz", [131.0, 440.0, 1760.0])
@pytest.mark.parametrize("zone", list(Zone))
def test_a_tenth_of_a_micrometre_off_the_zone(frequency_hz: float, zone: Zone) -> None:
    """Cut and solved again, the pitch moves as the response says, up at the tip, down at the root.

    To 1 %: the cut is so shallow that the first order holds.
    """
    whole = tongue(frequency_hz)
    response = zone_response(whole, zone, rules=RULES)
    ends = (response.zone_from_mm, response.zone_to_mm)
    if zone is Zone.TIP:
        ends = (whole.length_mm - ends[1], whole.length_mm - ends[0])
    before = examine_tongue(whole).frequencies_hz[0]
    after = examine_tongue(filed(whole, *ends, 1e-4)).frequencies_hz[0]
    moved = cents_from_ratio(after / before)
    assert moved == pytest.approx(
        0.1 * response.cents_per_um * (1.0 if zone is Zone.TIP else -1.0), rel=0.01
    )


def test_the_deepest_cut_is_the_rules() -> None:
    """A fifth of the thinnest place at the tip, a tenth at the root, from the shipped rules."""
    whole, _ = calibrated(tongue(440.0), frequency_hz=440.0)
    reed = bench_reed(
        whole,
        reed=Reed("L1.1", Direction.PRESS),
        frequency_hz=440.0,
        tolerance_cents=2.0,
        rules=RULES,
        instrument="7",
    )
    thinnest_tip = min(s.thickness_mm for s in whole.stations)
    assert reed.response(Zone.TIP).deepest_um == pytest.approx(200.0 * thinnest_tip, rel=0.01)
    assert reed.response(Zone.ROOT).deepest_um < 100.0 * whole.stations[0].thickness_mm
    assert (reed.metal, reed.name) == ("steel", "7 L1.1 press")


def test_a_tongue_too_short_for_a_file_is_refused() -> None:
    """Of a tongue of 2 mm the third is no zone."""
    short = replace(
        tongue(440.0), stations=(Station(0.0, 0.2, 2.0), Station(2.0, 0.2, 2.0)), is_assumed=False
    )
    with pytest.raises(ModelError, match="needs a longer tongue, this is 2 mm long"):
        zone_response(short, Zone.ROOT, rules=RULES)
