"""Jobs: whose instrument, since when."""

from reedwright.jobs.ports import JobRecord
from reedwright.store.columns import identifier, table, text, whole
from reedwright.store.records import Shelf, add, change, find, identifiers
from reedwright.store.rows import checked_date, from_row, to_row

__all__ = ["JOBS", "JobShelf"]

JOBS = table(
    "jobs",
    identifier("job_id"),
    text("name"),
    text("opened_on"),
    text("owner_reference"),
    text("notes"),
    whole("version"),
)


class JobShelf(Shelf):
    """The jobs of a workshop; what each call does is said in ``jobs.ports``."""

    def add_job(
        self, *, name: str, opened_on: str, owner_reference: str = "", notes: str = ""
    ) -> JobRecord:
        """Open a job."""
        job = JobRecord(0, name, opened_on, owner_reference, notes, version=1)
        with self.atomic() as connection:
            return self.job(add(connection, JOBS, _values(job)))

    def job(self, job_id: int) -> JobRecord:
        """Return one job."""
        with self.snapshot() as connection:
            return from_row(JobRecord, find(connection, JOBS, job_id))

    def jobs(self) -> tuple[JobRecord, ...]:
        """Return all jobs, the oldest first."""
        with self.snapshot() as connection:
            return tuple(self.job(job_id) for job_id in identifiers(connection, JOBS))

    def update_job(self, job: JobRecord) -> JobRecord:
        """Keep a changed job; Conflict if it was changed since ``job`` was read."""
        values = _values(job)
        del values["version"]
        with self.atomic() as connection:
            change(connection, JOBS, job.job_id, job.version, values)
            return self.job(job.job_id)


def _values(job: JobRecord) -> dict[str, object]:
    checked_date(job.opened_on, "opened_on")
    return to_row(job, without={"job_id"})
