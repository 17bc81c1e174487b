"""Simple parts that the tests of templates share."""

from reedwright.drawing.template import Layer, Outline, Round, Template

__all__ = ["disc", "part", "rectangle", "trapezoid"]


def part(*outlines: Outline | Round, count: int = 1, grain: float | None = None) -> Template:
    """Return a template of these outlines."""
    return Template(
        number="T1",
        title="part",
        material="card, 1 mm",
        count=count,
        outlines=outlines,
        grain_degrees=grain,
        grain=None if grain is None else "grain along x",
    )


def rectangle(wide: float, high: float, *, count: int = 1, grain: float | None = None) -> Template:
    """Return an upright rectangle from the origin."""
    points = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    return part(Outline(Layer.CUT, points), count=count, grain=grain)


def trapezoid(long: float, short: float, high: float, *, count: int = 1) -> Template:
    """Return a trapezoid, long edge up."""
    inset = (long - short) / 2.0
    points = ((0.0, 0.0), (long, 0.0), (long - inset, high), (inset, high))
    return part(Outline(Layer.CUT, points), count=count)


def disc(radius: float, *, count: int = 1) -> Template:
    """Return a disc about (5, 7)."""
    return part(Round(Layer.CUT, (5.0, 7.0), radius), count=count)
