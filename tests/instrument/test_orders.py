"""Survey orders and the reeds that are compared."""

from dataclasses import replace

import pytest

from reedwright.catalogue import layout_names, load_layout
from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.orders import (
    SURVEY_ORDERS,
    given_order,
    reeds_of_like_pitch,
    survey_order,
)

TREBLE = load_layout("english-treble-48")
ANGLO = load_layout("anglo-30-a")
PRESS, DRAW = Direction.PRESS, Direction.DRAW


@pytest.mark.parametrize("order", SURVEY_ORDERS)
@pytest.mark.parametrize("name", [n for n in layout_names() if not n.startswith("duet")])
def test_every_order_plays_every_reed_once(order: str, name: str) -> None:
    """Whatever the order, nothing is left out and nothing comes twice."""
    layout = load_layout(name)
    reeds = survey_order(layout, order).reeds
    assert len(reeds) == len(layout.reeds())
    assert set(reeds) == set(layout.reeds())


def test_the_default_order_of_the_treble() -> None:
    """Ascending, each key press then draw, the sharp before the flat."""
    order = survey_order(TREBLE)
    assert order.order == "ascending"
    notes = [str(TREBLE.note(reed)) for reed in order.reeds]
    assert notes[::2] == notes[1::2]
    assert notes[:10:2] == ["G3", "G#3", "Ab3", "A3", "Bb3"]
    assert [n for n in notes[::2] if n[:-1] in {"D#", "Eb"}] == (
        ["D#4", "Eb4", "D#5", "Eb5", "D#6", "Eb6"]
    )
    assert [reed.direction for reed in order.reeds[:4]] == [PRESS, DRAW, PRESS, DRAW]
    semitones = [TREBLE.note(reed).semitone for reed in order.reeds]
    assert semitones == sorted(semitones)


def test_the_default_order_of_an_anglo_ascends_by_the_press_note() -> None:
    """The draw note follows its own key; of equal press notes the left end comes first."""
    reeds = survey_order(ANGLO).reeds
    press = [ANGLO.note(reed).semitone for reed in reeds[::2]]
    assert press == sorted(press)
    assert all(a.key == b.key for a, b in zip(reeds[::2], reeds[1::2], strict=True))
    assert [r.key for r in reeds[::2] if str(ANGLO.note(r)) == "G5"] == ["R1.1", "R2.3"]
    assert [r.key for r in reeds[::2] if str(ANGLO.note(r)) == "A4"] == ["L3.4"]


def test_press_then_draw_ascends_twice() -> None:
    """All press reeds ascending, then all draw reeds ascending by their own notes."""
    reeds = survey_order(ANGLO, "press-then-draw").reeds
    assert [reed.direction for reed in reeds] == [PRESS] * 30 + [DRAW] * 30
    for half in (reeds[:30], reeds[30:]):
        semitones = [ANGLO.note(reed).semitone for reed in half]
        assert semitones == sorted(semitones)


def test_by_row_goes_one_end_at_a_time() -> None:
    """Left before right, row by row, button by button."""
    reeds = survey_order(TREBLE, "by-row").reeds
    assert [reed.key for reed in reeds[::2]] == [
        key.key for side in Side for key in TREBLE.side_keys(side)
    ]
    assert [f"{r.key} {r.direction}" for r in reeds[:3]] == [
        "L1.1 press",
        "L1.1 draw",
        "L1.2 press",
    ]


def test_a_key_without_a_press_reed_is_placed_by_its_draw_note() -> None:
    """It is not lost, and not played first."""
    keys = tuple(replace(k, press=None) if k.key == "L2.4" else k for k in TREBLE.keys)
    reeds = survey_order(replace(TREBLE, keys=keys)).reeds
    place = reeds.index(Reed("L2.4", DRAW))
    assert str(TREBLE.note(reeds[place - 1])) == "Ab5"
    assert len(reeds) == 95


def test_each_order_says_for_whom_it_is() -> None:
    """The order that confuses least, and the one for whoever does not play."""
    assert "confused least" in survey_order(TREBLE, "press-then-draw").explanation
    assert "does not play" in survey_order(TREBLE, "by-row").explanation


def test_a_survey_of_nothing_or_of_an_unknown_order_is_refused() -> None:
    """A blank form has no reeds; the names of the orders are listed."""
    with pytest.raises(InputError, match="'duet-six-column-46' is a blank form"):
        survey_order(load_layout("duet-six-column-46"))
    with pytest.raises(NotFound, match="ascending, press-then-draw, by-row, got 'random'"):
        survey_order(TREBLE, "random")


def test_an_order_of_ones_own_must_play_every_reed_once() -> None:
    """Unknown, repeated and forgotten reeds are each refused."""
    reeds = TREBLE.reeds()[::-1]
    assert given_order(TREBLE, reeds, order="mine", explanation="backwards").reeds == reeds
    for wrong, message in (
        ((Reed("L9.9", PRESS), *reeds), "L9.9 press is none"),
        ((reeds[0], *reeds), "R4.5 draw is there more than once"),
        (reeds[:-2], "2 of 96 are left out, first L1.1 press"),
    ):
        with pytest.raises(InputError, match=message):
            given_order(TREBLE, wrong, order="mine", explanation="")


def test_a_unisonoric_key_is_compared_with_its_partner() -> None:
    """Press with draw of the same key; a single reed has no partner."""
    assert reeds_of_like_pitch(TREBLE, Reed("L1.2", PRESS)) == (Reed("L1.2", DRAW),)
    assert reeds_of_like_pitch(TREBLE, Reed("L1.2", DRAW)) == (Reed("L1.2", PRESS),)
    bass = load_layout("english-bass")
    assert reeds_of_like_pitch(bass, Reed("L1.2", PRESS)) == ()


def test_a_bisonoric_key_is_compared_with_every_other_reed_of_its_pitch() -> None:
    """G4 of a C/G Anglo: two more on the left, never its own key's draw."""
    group = reeds_of_like_pitch(ANGLO, Reed("L2.5", PRESS))
    assert group == (Reed("L1.3", PRESS), Reed("L3.4", DRAW))
    for reed in ANGLO.reeds():
        others = reeds_of_like_pitch(ANGLO, reed)
        assert all(other.key != reed.key for other in others)
        assert {ANGLO.note(other) for other in others} <= {ANGLO.note(reed)}
        assert all(reed in reeds_of_like_pitch(ANGLO, other) for other in others)
