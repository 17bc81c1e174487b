"""What stands at the top of every sheet of a job."""

from reedwright.documents.model import PaperHead
from reedwright.documents.pdf import Json
from reedwright.drawing.numbers import print_number

__all__ = ["head_values"]


def head_values(head: PaperHead, paper: str) -> dict[str, Json]:
    """Return the head's texts for a template; ``paper`` says what sheet it is."""
    temperature = (
        f"{print_number(head.temperature_c, decimals=1)} °C"
        if head.temperature_c is not None
        else "temperature not measured"
    )
    facts = (head.pitch_standard, head.temperament, temperature, head.condition)
    return {
        "paper": paper,
        "job": head.job,
        "instrument": head.instrument,
        "date": head.date,
        "facts": " · ".join(fact for fact in facts if fact),
        "notice": head.notice,
    }
