"""The plot of the least work onto the disk."""

from collections.abc import Sequence
from pathlib import Path

from reedwright.documents.least_work_plot import least_work_plot
from reedwright.documents.svg import svg_of
from reedwright.errors import InputError
from reedwright.jobs.least_work import LeastWork
from reedwright.tuning import PitchStandard

__all__ = ["write_least_work"]

_WIDTH_MM, _HEIGHT_MM = 180.0, 115.0


def write_least_work(
    work: LeastWork, path: Path, *, standards: Sequence[PitchStandard], found_a4_hz: float
) -> None:
    """Write the plot as SVG.

    Raises
    ------
    InputError
        If ``path`` does not end in ``.svg``, or cannot be written.
    """
    if path.suffix.lower() != ".svg":
        raise InputError(f"the plot is written as .svg, got {path.name}; name it so")
    drawing = least_work_plot(
        work,
        standards=standards,
        found_a4_hz=found_a4_hz,
        width_mm=_WIDTH_MM,
        height_mm=_HEIGHT_MM,
    )
    try:
        path.write_text(svg_of(drawing), "utf-8")
    except OSError as error:
        raise InputError(
            f"the plot must be written to a folder, {path} cannot be ({error.strerror}); "
            "name another"
        ) from error
