"""The reference bellows that the tests of bellows share."""

from dataclasses import replace
from typing import Any

from reedwright.bellows.model import WantedBellows
from reedwright.catalogue.bellows import load_bellows_figures

__all__ = ["FIGURES", "SIX_BY_SIX", "wanted"]

FIGURES = load_bellows_figures()

#: Six sides, six folds, 158 mm across flats, 25 mm deep, opening 35 degrees.
SIX_BY_SIX = WantedBellows(
    sides=6,
    folds=6,
    across_flats_mm=158.0,
    depth_mm=25.0,
    layers=FIGURES.layers,
    allowances=FIGURES.allowances,
    opening_deg=35.0,
)


def wanted(**changes: Any) -> WantedBellows:  # noqa: ANN401 - any field of the bellows
    """Return the reference bellows with changes; layers and allowances by their own names."""
    layers = {k: v for k, v in changes.items() if hasattr(SIX_BY_SIX.layers, k)}
    allowances = {k: v for k, v in changes.items() if hasattr(SIX_BY_SIX.allowances, k)}
    rest = {k: v for k, v in changes.items() if k not in layers and k not in allowances}
    return replace(
        SIX_BY_SIX,
        layers=replace(SIX_BY_SIX.layers, **layers),
        allowances=replace(SIX_BY_SIX.allowances, **allowances),
        **rest,
    )
