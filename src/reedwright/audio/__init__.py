"""Recordings from files, in pieces, at their own sample rate."""

from reedwright.audio.recording import Channel, Recording, open_recording
from reedwright.audio.writing import write_samples

__all__ = ["Channel", "Recording", "open_recording", "write_samples"]
