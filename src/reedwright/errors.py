"""Every error a caller may want to catch, one class per situation.

ReedwrightError
├── InputError            what a person typed or recorded          -> exit 2
│   ├── ModelError        outside the limits of a formula
│   ├── RecordingError    unreadable, silent, clipped, too short, no single pitch
│   ├── LayoutError       a layout file that does not describe an instrument
│   └── CatalogueError    any other data file of ours or the user's
├── NotFound              no such job, instrument, reading, layout -> exit 3
├── Conflict              changed elsewhere since it was read      -> exit 4
└── FileError             not our workshop file, or newer than us  -> exit 5

A message says the rule, the value that broke it and the remedy, with units, in
one or two sentences. Faults of the *instrument* are never exceptions: they are
``instrument.finding.Finding`` values. Anything that is not a ReedwrightError is
a mistake of this program.
"""

__all__ = [
    "CatalogueError",
    "Conflict",
    "FileError",
    "InputError",
    "LayoutError",
    "ModelError",
    "NotFound",
    "RecordingError",
    "ReedwrightError",
]


class ReedwrightError(Exception):
    """The root: anything this program refuses on purpose."""


class InputError(ReedwrightError):
    """Something typed or recorded cannot be used as it is."""


class ModelError(InputError):
    """A value lies outside the limits within which a formula holds."""


class RecordingError(InputError):
    """A recording cannot be listened to."""


class LayoutError(InputError):
    """A layout file does not describe an instrument."""


class CatalogueError(InputError):
    """A data file of temperaments, metals, scales or orders cannot be used."""


class NotFound(ReedwrightError):
    """The thing asked for is not there."""


class Conflict(ReedwrightError):
    """The thing was changed elsewhere since it was read."""


class FileError(ReedwrightError):
    """The workshop file is damaged, not ours, or newer than this program."""
