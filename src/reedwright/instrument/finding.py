"""Findings: what is remarkable about a part, as values, never as exceptions."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Finding", "Severity"]


class Severity(StrEnum):
    """How much a finding matters: a note to know, work to do, or not playable."""

    NOTE = "note"
    WORK = "work"
    UNPLAYABLE = "unplayable"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found on a part: ``part`` addresses it, ``evidence`` says why."""

    part: str
    statement: str
    severity: Severity
    evidence: str
