"""A survey order of the user's own, from a text or a TOML file.

Text: one reed a line, key and direction, ``L2.3 press``; what follows a ``#`` is a
comment. TOML (a name ending in ``.toml``): ``order``, ``explanation`` and
``reeds``, a list of the same lines.
"""

from collections.abc import Sequence
from pathlib import Path

from pydantic import Field

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError, InputError
from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.orders import given_order

__all__ = ["load_order", "order_text"]

_OWN = "An order of your own, from {name}."


class _OrderForm(Form):
    order: str = Field(min_length=1)
    explanation: str = ""
    reeds: list[str] = Field(min_length=1)


def load_order(path: str | Path, layout: Layout) -> SurveyOrder:
    """Return the survey order that a file gives for a layout.

    Raises
    ------
    NotFound
        If there is no such file.
    CatalogueError
        If it is not such a file, or does not play every reed of the layout once;
        the message gives the line.
    """
    path = Path(path)
    text = file_text(path, error=CatalogueError)
    if path.suffix == ".toml":
        table = toml_table(text, place=path.name, error=CatalogueError)
        form = checked(_OrderForm, table, place=path.name, error=CatalogueError)
        order, explanation = form.order, form.explanation
        lines = [(f"{path.name}, reeds {n}", line) for n, line in enumerate(form.reeds, start=1)]
    else:
        order, explanation = path.stem, ""
        lines = [
            (f"{path.name}, line {number}", line.partition("#")[0])
            for number, line in enumerate(text.splitlines(), start=1)
        ]
    reeds = _reeds([(place, line) for place, line in lines if line.strip()])
    if not reeds:
        raise CatalogueError(
            f"{path.name}: an order lists at least one reed, this file lists none; "
            "write one a line, such as L2.3 press"
        )
    try:
        return given_order(
            layout, reeds, order=order, explanation=explanation or _OWN.format(name=path.name)
        )
    except InputError as reason:
        raise CatalogueError(f"{path.name}: {reason}") from None


def order_text(order: SurveyOrder) -> str:
    """Return the text form of an order, to be edited and read back by ``load_order``."""
    lines = [f"# {order.order}: {order.explanation}"]
    lines += [f"{reed.key} {reed.direction.value}" for reed in order.reeds]
    return "\n".join(lines) + "\n"


def _reeds(lines: Sequence[tuple[str, str]]) -> list[Reed]:
    reeds: list[Reed] = []
    seen: dict[Reed, str] = {}
    for place, line in lines:
        words = line.split()
        if len(words) != 2 or words[1] not in tuple(Direction):
            raise CatalogueError(
                f"{place}: a line is a key and press or draw, got {line.strip()!r}; "
                "write it like L2.3 press"
            )
        reed = Reed(words[0], Direction(words[1]))
        if reed in seen:
            raise CatalogueError(
                f"{place}: an order lists each reed once, {line.strip()!r} is already there "
                f"({seen[reed]}); remove one"
            )
        seen[reed] = place
        reeds.append(reed)
    return reeds
