"""The tuning bench whose bellows fall under a weight: its pressure, and how long a take lasts.

A weight m on bellows of effective area A presses the air by ``m g / A`` at any height,
as long as the folds themselves neither push nor pull. The air it holds, A s, lasts
``A s / Q`` at a flow Q of reed and leaks together. Limits: the springiness of the
folds is left out; it shows as a pressure that changes while the bellows fall.
"""

from dataclasses import dataclass

from reedwright.errors import ModelError

__all__ = ["FallingBench", "flow_ml_s", "pressure_pa", "take_s"]

#: Standard gravity, m/s^2 (CGPM 1901).
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class FallingBench:
    """The bench: the mass that falls, the effective area of the bellows, how far they fall."""

    falling_mass_kg: float
    area_cm2: float
    travel_mm: float

    def __post_init__(self) -> None:
        for name in ("falling_mass_kg", "area_cm2", "travel_mm"):
            if not getattr(self, name) > 0.0:
                raise ModelError(
                    f"{name} of a bench must be above zero, got {getattr(self, name):g}; measure it"
                )

    @property
    def volume_ml(self) -> float:
        """The air of one fall: cm2 times mm, in tenths of a millilitre."""
        return self.area_cm2 * self.travel_mm / 10.0


def pressure_pa(bench: FallingBench) -> float:
    """Return the steady pressure m g / A, pascals."""
    return bench.falling_mass_kg * GRAVITY / (bench.area_cm2 * 1e-4)


def flow_ml_s(bench: FallingBench, *, fall_s: float) -> float:
    """Return the flow of a fall that took so long: of the leaks alone, or of a reed with them.

    Raises
    ------
    ModelError
        If the time is not above zero.
    """
    if not fall_s > 0.0:
        raise ModelError(f"a fall takes a time above zero, got {fall_s:g} s; time it again")
    return bench.volume_ml / fall_s


def take_s(bench: FallingBench, *, flow_ml_s: float) -> float:
    """Return how long one fall sounds a reed that passes so much air with all leaks.

    Raises
    ------
    ModelError
        If the flow is not above zero.
    """
    if not flow_ml_s > 0.0:
        raise ModelError(f"a flow must be above zero, got {flow_ml_s:g} ml/s; time a fall for it")
    return bench.volume_ml / flow_ml_s
