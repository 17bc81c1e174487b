"""Work spread over the processors."""

from reedwright.compute.processes import Here, Processes

__all__ = ["Here", "Processes"]
