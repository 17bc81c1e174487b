"""From the wanted size of a bellows to its parts, and whether it will fold.

``design_bellows`` answers with the whole of it: sizes and counts of parts, air, loads, how
it moves, what to look out for. ``compare_folds`` sets designs of several folds side by
side; ``bellows_templates`` draws the parts to be cut; ``folded_surface`` says where
everything stands in space. ``fit.fit_bellows`` finds the design that explains a bellows as
measured; it stands by itself, since it alone needs an optimiser, which is slow to import.

Conventions: millimetres, litres, degrees; across flats is that of the closed peaks; an
opening is one card's tilt, half the included angle of a fold, taken from hinge to hinge;
volumes are those inside the panels from hinge to hinge, cards not taken off. Derivations,
limits and checks: docs/theory/bellows.md.
"""

from reedwright.bellows.compare import compare_folds
from reedwright.bellows.design import design_bellows, opening_state, ring_of
from reedwright.bellows.folding import check_folding
from reedwright.bellows.surface import folded_surface
from reedwright.bellows.templates import bellows_templates

__all__ = [
    "bellows_templates",
    "check_folding",
    "compare_folds",
    "design_bellows",
    "folded_surface",
    "opening_state",
    "ring_of",
]
