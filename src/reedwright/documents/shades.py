"""How far off is how dark: the shade of an offset, the same on every paper."""

__all__ = ["SHADE_LIMITS_CENTS", "is_dark", "shade_of"]

#: Where shade 1 ends and 2 begins, 2 and 3, 3 and 4. Chosen for the eye: each about twice the last.
SHADE_LIMITS_CENTS = (5.0, 10.0, 20.0)


def shade_of(offset_cents: float | None, *, is_within_tolerance: bool) -> str:
    """Return the style of an offset: ``in-tune``, ``flat-1`` to ``sharp-4``, or ``unheard``.

    An offset within its tolerance is in tune, however wide the tolerance is.
    """
    if offset_cents is None:
        return "unheard"
    if is_within_tolerance:
        return "in-tune"
    step = 1 + sum(abs(offset_cents) >= limit for limit in SHADE_LIMITS_CENTS)
    return f"{'sharp' if offset_cents > 0.0 else 'flat'}-{step}"


def is_dark(shade: str) -> bool:
    """Whether text on a shade must be white to be read."""
    return shade in ("flat-4", "sharp-4")
