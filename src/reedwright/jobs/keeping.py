"""Keeping a job's work in the workshop file, and finding it again by the job's name."""

from collections.abc import Iterable
from dataclasses import dataclass

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Layout
from reedwright.instrument.reading import Survey
from reedwright.jobs.assessing import Assessment
from reedwright.jobs.ports import (
    BenchPass,
    InstrumentRecord,
    JobRecord,
    PlanRecord,
    SurveyRecord,
    TargetRecord,
    WorkshopStore,
)
from reedwright.reedwork.model import FilingPlan

__all__ = [
    "HandedIn",
    "find_instrument",
    "find_job",
    "keep_plans",
    "keep_survey",
    "keep_targets",
    "latest_survey",
]


@dataclass(frozen=True, slots=True)
class HandedIn:
    """A recording as it was handed in: its bytes in pieces, its name and kind."""

    pieces: Iterable[bytes]
    original_name: str
    media_type: str


def find_job(store: WorkshopStore, name: str) -> JobRecord:
    """Return the job of that name.

    Raises
    ------
    NotFound
        If there is none; the message lists those there are.
    """
    jobs = store.jobs()
    for job in reversed(jobs):
        if job.name == name:
            return job
    known = ", ".join(repr(job.name) for job in jobs) or "none yet"
    raise NotFound(f"there is no job {name!r} in this workshop; the jobs are: {known}")


def find_instrument(store: WorkshopStore, job: JobRecord) -> InstrumentRecord:
    """Return the instrument of a job, the latest if there are several."""
    instruments = store.instruments(job.job_id)
    if not instruments:
        raise NotFound(
            f"the job {job.name!r} has no instrument yet; run 'survey' with --job to add it"
        )
    return instruments[-1]


def latest_survey(store: WorkshopStore, instrument: InstrumentRecord) -> SurveyRecord:
    """Return the survey of an instrument that was kept last."""
    record = store.latest_survey(instrument.instrument_id)
    if record is None:
        raise NotFound(
            f"{instrument.title!r} has not been surveyed yet; run 'survey' with --job first"
        )
    return record


def keep_survey(
    store: WorkshopStore,
    survey: Survey,
    *,
    job_name: str,
    layout: Layout,
    metal: str,
    frame_metal: str,
    recording: HandedIn,
    now: str,
    bench_pass: BenchPass = BenchPass.FOUND,
) -> SurveyRecord:
    """Keep a survey and its recording under a job, opened if it is new, all or nothing.

    Parameters
    ----------
    now : str
        ISO 8601 with the offset from UTC.

    Raises
    ------
    InputError
        If the job's instrument has another layout than the survey.
    """
    with store.atomic():
        job = next((j for j in reversed(store.jobs()) if j.name == job_name), None)
        if job is None:
            job = store.add_job(name=job_name, opened_on=now[:10])
        instruments = store.instruments(job.job_id)
        if not instruments:
            instrument = store.add_instrument(
                job.job_id,
                title=job_name,
                layout=layout,
                metal=metal,
                frame_metal=frame_metal,
            )
        else:
            instrument = instruments[-1]
            if instrument.layout.layout != survey.layout:
                raise InputError(
                    f"a job keeps one layout, {job_name!r} has {instrument.layout.layout!r}, the "
                    f"survey {survey.layout!r}; name the job's layout or another job"
                )
        kept = store.add_recording(
            recording.pieces,
            original_name=recording.original_name,
            media_type=recording.media_type,
            added_at=now,
        )
        return store.save_survey(
            instrument.instrument_id,
            survey,
            recording_id=kept.recording_id,
            made_at=now,
            bench_pass=bench_pass,
        )


def keep_targets(
    store: WorkshopStore, survey: SurveyRecord, assessment: Assessment, *, now: str
) -> TargetRecord:
    """Keep the targets of an assessment."""
    return store.save_targets(
        survey.instrument_id,
        assessment.targets,
        scheme=assessment.scheme,
        tolerance=assessment.tolerance,
        made_at=now,
        pitch_standard=assessment.pitch_standard,
        survey_id=survey.survey_id,
    )


def keep_plans(
    store: WorkshopStore,
    plans: Iterable[FilingPlan],
    *,
    survey: SurveyRecord,
    targets: TargetRecord,
    now: str,
) -> PlanRecord:
    """Keep the filing plans made from a survey against targets."""
    return store.save_plans(
        plans,
        survey_id=survey.survey_id,
        target_set_id=targets.target_set_id,
        made_at=now,
    )
