"""From sound to readings: what each reed does, with its doubt.

Conventions: times in seconds from the start of the recording; frequencies in
hertz; ``frequency_hz`` is the unweighted time mean of the fundamental over the
measured stretch. ``survey`` names the reeds of an instrument, ``listen`` hears
single notes, ``calibrate_clock`` finds the error of the recorder's clock.
"""

from reedwright.listening.doubt import ClockCalibration, calibrate_clock
from reedwright.listening.model import Segment, Sound, Spread
from reedwright.listening.notes import listen
from reedwright.listening.survey import survey

__all__ = [
    "ClockCalibration",
    "Segment",
    "Sound",
    "Spread",
    "calibrate_clock",
    "listen",
    "survey",
]
