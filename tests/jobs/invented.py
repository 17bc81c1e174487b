"""Surveys of invented instruments for the tests of jobs."""

from collections.abc import Callable, Mapping

from reedwright.catalogue import load_layout
from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.reading import DoubtBudget, Reading, Survey, Tone, Trace
from reedwright.jobs.work_estimate import ReedsAtHand, WorkTimes, reeds_at_hand
from reedwright.reedwork.model import Tongue
from reedwright.tuning import Scheme, Tolerance, target_frequency_hz
from reedwright.units import ratio_from_cents

TUNINGS = read_tunings()
TREBLE = load_layout("english-treble-48")
STEEL, SCALE, RULES = load_metal("steel"), load_tongue_scale(), load_filing_rules()


def _tone(frequency_hz: float) -> Tone:
    return Tone(
        start_s=0.0, end_s=2.0, measured_from_s=0.4, measured_to_s=1.8,
        frequency_hz=frequency_hz, standard_error_cents=0.1,
        interval_low_hz=frequency_hz, interval_high_hz=frequency_hz,
        trace=Trace((), (), (), ()), partials=(), level_dbfs=-20.0, steadiness_cents=0.1,
        drift_cents_per_s=0.0, drift_cents_per_s_standard_error=0.1,
        drift_cents_per_db=None, drift_cents_per_db_standard_error=None,
        rise_time_s=None, speaking_delay_s=None, noise_bands=(), hum_hz=None,
        clipped_fraction=0.0, second=None, cautions=(),
    )  # fmt: skip


def surveyed(
    a4_hz: float,
    temperament: str,
    off_cents: Callable[[Reed], float | None] = lambda _: 0.0,
    *,
    layout: Layout = TREBLE,
    doubts: Mapping[Reed, str] | None = None,
) -> Survey:
    """Return the survey of an instrument in a tuning; None is a reed that was not heard."""
    scheme = Scheme(a4_hz, TUNINGS.temperament(temperament))
    readings = []
    for reed in layout.reeds():
        off = off_cents(reed)
        if off is not None:
            note = layout.note(reed)
            readings.append(
                Reading(
                    key=reed.key, side=layout.key(reed.key).side, note=note,
                    direction=reed.direction,
                    tone=_tone(target_frequency_hz(note, scheme) * ratio_from_cents(off)),
                    confidence=0.99, doubt=(doubts or {}).get(reed), also_possible=(),
                    doubt_budget=DoubtBudget(0.1, 0.0, 0.1, 0.1, 0.1, 0.1),
                )
            )  # fmt: skip
    return Survey(
        layout=layout.layout, order="ascending", duration_s=400.0, sample_rate_hz=44100.0,
        shift_cents=0.0, readings=tuple(readings), missing=(), unplaced=(), cautions=(),
    )  # fmt: skip


def at_hand(
    survey: Survey,
    *,
    title: str = "ours",
    layout: Layout = TREBLE,
    times: WorkTimes | None = None,
    tongues: Mapping[Reed, Tongue] | None = None,
) -> ReedsAtHand:
    """Return the reeds of a survey with steel tongues as they usually are."""
    return reeds_at_hand(
        layout,
        survey,
        title=title,
        equal=TUNINGS.temperament("equal"),
        tolerance=Tolerance(2.0, 3.0),
        times=times or WorkTimes(),
        metal=STEEL,
        scale=SCALE,
        rules=RULES,
        tongues=tongues or {},
    )
