"""What listening is given: a sound that can be read piece by piece, and how to hear it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["Segment", "Sound", "Spread"]

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


class Spread(Protocol):
    """Work spread over the processors: results come back in the order of the items."""

    def map(
        self, function: Callable[[_Item], _Result], items: Iterable[_Item]
    ) -> Iterator[_Result]:
        """Yield ``function(item)`` for each item; both must survive pickling."""
        ...


class Sound(Protocol):
    """A recording, mixed to one channel, at its own sample rate, read in pieces.

    Reading a piece must not need the memory of the whole.
    """

    @property
    def sample_rate_hz(self) -> float:
        """Samples per second."""
        ...

    @property
    def frames(self) -> int:
        """Length in samples."""
        ...

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples from ``start`` up to ``stop``, full scale = 1, shape (n,)."""
        ...


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch that holds one note: its edges and a first idea of its pitch.

    ``level_dbfs`` is the median level of the sounding part. ``salience`` (0 to 1)
    says how reed-like the stretch is: a steady harmonic tone scores high, speech
    and knocks low.
    """

    start_s: float
    end_s: float
    coarse_frequency_hz: float
    level_dbfs: float
    salience: float
