"""The tongue assumed for a pitch: it sounds there, and its doubt covers its neighbours."""

from dataclasses import replace

import pytest

from reedwright.catalogue.tongues import load_metal, load_tongue_scale
from reedwright.errors import ModelError
from reedwright.reedwork.cut import Cut
from reedwright.reedwork.model import TongueScale, TongueScaleRow
from reedwright.reedwork.scale import default_tongue
from reedwright.reedwork.tongue import examine_tongue, tongue_as_bar
from reedwright.science.cantilever_modes import natural_modes

SCALE, STEEL = load_tongue_scale(), load_metal("steel")


@pytest.mark.parametrize("frequency_hz", [33.0, 65.41, 110.0, 440.0, 700.0, 2093.0, 4186.0])
def test_it_sounds_at_its_pitch(frequency_hz: float) -> None:
    """Whatever the pitch, the tongue is as thick as it must be, and says it is assumed."""
    tongue = default_tongue(SCALE, STEEL, frequency_hz=frequency_hz)
    assert examine_tongue(tongue).frequencies_hz[0] == pytest.approx(frequency_hz, rel=1e-10)
    assert tongue.is_assumed
    assert tongue.thickness_doubt_fraction == SCALE.thickness_doubt_fraction


@pytest.mark.parametrize("row", SCALE.rows, ids=lambda row: row.note)
def test_a_row_is_met_at_its_pitch(row: TongueScaleRow) -> None:
    """Length, widths and shape are those of the row; steel is then 0.2 to 0.4 mm thick.

    That thickness is what is met (from memory): a check of the lengths, since the
    pitch sets it.
    """
    tongue = default_tongue(SCALE, STEEL, frequency_hz=row.frequency_hz)
    assert tongue.length_mm == pytest.approx(row.length_mm)
    assert tongue.length_doubt_fraction == pytest.approx(row.length_doubt_fraction)
    assert (tongue.stations[0].width_mm, tongue.stations[-1].width_mm) == pytest.approx(
        (row.root_width_mm, row.tip_width_mm)
    )
    root_mm = tongue.stations[0].thickness_mm
    shape = [station.thickness_mm / root_mm for station in tongue.stations]
    assert shape == pytest.approx(row.thickness_shape)
    assert all(0.19 < station.thickness_mm < 0.41 for station in tongue.stations)


def test_between_rows_it_lies_between() -> None:
    """A geometric mean of two pitches has the geometric mean of the lengths."""
    low, high = SCALE.rows[3:5]
    middle = default_tongue(
        SCALE, STEEL, frequency_hz=(low.frequency_hz * high.frequency_hz) ** 0.5
    )
    assert middle.length_mm == pytest.approx((low.length_mm * high.length_mm) ** 0.5)
    assert middle.stations[0].width_mm == pytest.approx(
        (low.root_width_mm + high.root_width_mm) / 2
    )


def test_beyond_its_ends_it_is_carried_on_with_more_doubt() -> None:
    """Lower is longer still; the length is twice as doubtful there."""
    below = default_tongue(SCALE, STEEL, frequency_hz=50.0)
    assert below.length_mm > SCALE.rows[0].length_mm
    assert below.length_doubt_fraction == pytest.approx(2.0 * SCALE.rows[0].length_doubt_fraction)
    above = default_tongue(SCALE, STEEL, frequency_hz=3136.0)
    assert above.length_mm < SCALE.rows[-1].length_mm
    assert above.length_doubt_fraction == pytest.approx(2.0 * SCALE.rows[-1].length_doubt_fraction)


@pytest.mark.parametrize("frequency_hz", [32.0, 4200.0, float("nan")])
def test_more_than_an_octave_beyond_is_refused(frequency_hz: float) -> None:
    """There the scale says nothing."""
    with pytest.raises(ModelError, match="33 to 4186 Hz"):
        default_tongue(SCALE, STEEL, frequency_hz=frequency_hz)


@pytest.mark.parametrize("place", range(len(SCALE.rows)))
@pytest.mark.parametrize("part", ["tip", "root"])
def test_the_doubt_covers_the_neighbours_profile(place: int, part: str) -> None:
    """Taking the shape of the row above or below moves the depth by less than one sigma.

    A level tongue, the furthest thing met, stays within three.
    """
    row = SCALE.rows[place]
    here = microns_per_cent(SCALE, row.frequency_hz, part)
    level = (1.0,) * len(row.thickness_shape)
    neighbours = [SCALE.rows[i].thickness_shape for i in (place - 1, place + 1) if 0 <= i < 8]
    for shape, sigmas in [*((shape, 1.0) for shape in neighbours), (level, 3.0)]:
        rows = (*SCALE.rows[:place], replace(row, thickness_shape=shape), *SCALE.rows[place + 1 :])
        there = microns_per_cent(replace(SCALE, rows=rows), row.frequency_hz, part)
        assert abs(there / here - 1.0) < sigmas * SCALE.thickness_doubt_fraction


def microns_per_cent(scale: TongueScale, frequency_hz: float, part: str) -> float:
    bar = tongue_as_bar(default_tongue(scale, STEEL, frequency_hz=frequency_hz))
    ends = (bar.length * 2 / 3, bar.length) if part == "tip" else (0.001, bar.length / 3)
    return 1e6 / Cut(bar, natural_modes(bar, count=1), *ends).slope_cents()


def test_brass_takes_a_deeper_cut_than_steel() -> None:
    """At one length and pitch by sqrt of the ratio of E / rho, 1.4 times: as the plan says."""
    depths = []
    for name in ("steel", "brass"):
        tongue = default_tongue(SCALE, load_metal(name), frequency_hz=440.0)
        bar = tongue_as_bar(tongue)
        depths.append(1.0 / Cut(bar, natural_modes(bar, count=1), 0.001, 0.008).slope_cents())
    expected = ((200e9 / 7850.0) / (105e9 / 8500.0)) ** 0.5
    assert depths[1] / depths[0] == pytest.approx(expected, rel=1e-6)
    assert expected == pytest.approx(1.4, abs=0.05)
