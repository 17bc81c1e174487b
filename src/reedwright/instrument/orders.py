"""The orders in which a survey can be played, and which reeds are compared.

Two reeds of one pitch cannot be told apart by pitch alone, so when one of them is
dead or played twice the order decides whether they are confused. In simulated
surveys, press and draw of each key in turn gave 15 such swaps in 279 readings,
all press and then all draw gave 6 (docs/sources.md, computed
there).
"""

from collections import Counter
from collections.abc import Callable, Sequence

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Direction, Key, Layout, Reed, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.order import SurveyOrder

__all__ = ["DEFAULT_ORDER", "SURVEY_ORDERS", "given_order", "reeds_of_like_pitch", "survey_order"]

DEFAULT_ORDER = "ascending"

#: The orders offered, and for whom each is.
SURVEY_ORDERS = {
    "ascending": (
        "Lowest note first, each key on the press and then on the draw, the sharp before the "
        "flat of a pair such as G# and Ab. Easy to follow by ear; but when one of the two reeds "
        "of a key is silent, which of them spoke may stay in doubt."
    ),
    "press-then-draw": (
        "Lowest note first, every key on the press, then every key on the draw. The two reeds of "
        "a key are far apart, so they are confused least: play this one if reeds are dead or "
        "doubtful."
    ),
    "by-row": (
        "The left end row by row, then the right end, each key on the press and then on the draw, "
        "from the first button of a row to the last. Needs no knowledge of the notes: for whoever "
        "does not play."
    ),
}

_SIDES = tuple(Side)


def survey_order(layout: Layout, order: str = DEFAULT_ORDER) -> SurveyOrder:
    """Return every reed of the layout in the order of that name.

    Raises
    ------
    NotFound
        If ``order`` is not one of ``SURVEY_ORDERS``.
    InputError
        If the layout is a blank form, which has no reeds to play yet.
    """
    if order not in SURVEY_ORDERS:
        raise NotFound(
            f"a survey order is named {', '.join(SURVEY_ORDERS)}, got {order!r}; "
            "name one of these or give a file"
        )
    if layout.is_blank:
        raise InputError(
            f"a survey needs a layout with notes, {layout.layout!r} is a blank form; "
            "let the instrument teach it first, or write the notes in"
        )
    if order == "by-row":
        reeds = _key_by_key(sorted(layout.keys, key=_place))
    elif order == "ascending":
        reeds = _key_by_key(sorted(layout.keys, key=_ascending(_press_or_draw)))
    else:
        reeds = [
            Reed(key.key, direction)
            for direction, note in ((Direction.PRESS, _press), (Direction.DRAW, _draw))
            for key in sorted(layout.keys, key=_ascending(note))
            if key.note(direction) is not None
        ]
    return SurveyOrder(order, SURVEY_ORDERS[order], tuple(reeds))


def given_order(
    layout: Layout, reeds: Sequence[Reed], *, order: str, explanation: str
) -> SurveyOrder:
    """Return an order of the user's own, once it is seen to play every reed once.

    A reed that will be skipped, dead or forgotten, stays in the list: the survey
    reports it as missing.

    Raises
    ------
    InputError
        If a reed is not of the layout, is listed twice, or is left out.
    """
    known = layout.reeds()
    for reed in reeds:
        if reed not in known:
            raise InputError(
                f"an order lists reeds of the layout, {reed.key} {reed.direction} is none of "
                f"{layout.layout!r}; correct the key or the direction"
            )
    repeated = [reed for reed, count in Counter(reeds).items() if count > 1]
    if repeated:
        raise InputError(
            f"an order lists each reed once, {repeated[0].key} {repeated[0].direction} is there "
            "more than once; remove the others"
        )
    left_out = [reed for reed in known if reed not in set(reeds)]
    if left_out:
        raise InputError(
            f"an order lists every reed, {len(left_out)} of {len(known)} are left out, first "
            f"{left_out[0].key} {left_out[0].direction}; add them, also those that do not speak"
        )
    return SurveyOrder(order, explanation, tuple(reeds))


def reeds_of_like_pitch(layout: Layout, reed: Reed) -> tuple[Reed, ...]:
    """Return the reeds that a reed is compared with, in the order of the layout.

    On a key that sounds one note both ways that is its partner, the other
    direction of the same key (none where it has one reed). On a bisonoric key
    press and draw are two notes and are never compared; it is every other reed
    of the same spelled note, wherever on the instrument it lies.

    Raises
    ------
    KeyError
        If the layout has no such reed.
    """
    note = layout.note(reed)
    key = layout.key(reed.key)
    if key.press == key.draw:
        other = Direction.DRAW if reed.direction is Direction.PRESS else Direction.PRESS
        return (Reed(reed.key, other),)
    return tuple(
        candidate
        for candidate in layout.reeds()
        if candidate.key != reed.key and layout.note(candidate) == note
    )


def _key_by_key(keys: Sequence[Key]) -> list[Reed]:
    return [
        Reed(key.key, direction)
        for key in keys
        for direction in Direction
        if key.note(direction) is not None
    ]


def _place(key: Key) -> tuple[int, int, int]:
    return _SIDES.index(key.side), key.row, key.position


def _press(key: Key) -> SpelledNote | None:
    return key.press


def _draw(key: Key) -> SpelledNote | None:
    return key.draw


def _press_or_draw(key: Key) -> SpelledNote | None:
    return key.press or key.draw


def _ascending(
    note_of: Callable[[Key], SpelledNote | None],
) -> Callable[[Key], tuple[int, int, tuple[int, int, int]]]:
    """Return the sorting key: by semitone, the sharp before the flat, then by place."""

    def ascending(key: Key) -> tuple[int, int, tuple[int, int, int]]:
        note = note_of(key)
        semitone, alteration = (note.semitone, note.alteration) if note else (0, 0)
        return semitone, -alteration, _place(key)

    return ascending
