"""Reedwright: the workshop tool of a concertina repairer."""

__version__ = "0.1.0"
