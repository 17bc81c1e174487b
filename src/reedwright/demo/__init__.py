"""An invented instrument, recorded: data for the demonstration only."""

from reedwright.demo.instrument import InventedInstrument, InventedReed, invent_instrument
from reedwright.demo.recording import record_instrument

__all__ = ["InventedInstrument", "InventedReed", "invent_instrument", "record_instrument"]
