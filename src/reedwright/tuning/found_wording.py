"""The tuning as found, in the words of the trade, with how sure it is."""

from collections.abc import Sequence

from reedwright.drawing.numbers import print_frequency, print_number, print_with_doubt
from reedwright.tuning.families import Family
from reedwright.tuning.found import AsFound, Misfit, TuningProbability
from reedwright.tuning.model_choice import ALL_BUT_CERTAIN_FROM

__all__ = ["remarks_of", "verdict_of"]

_WORTH_A_WORD = 0.15
_FAMILY = {
    Family.EQUAL: "equal temperament",
    Family.REGULAR: "one size of fifth throughout (a meantone or like it)",
    Family.CIRCULATING: "a circulating temperament",
    Family.UNCLEAR: "a pattern of its own",
}


def verdict_of(found: AsFound) -> str:
    """Return what the instrument was most likely tuned to, and how sure that is."""
    at = f"at A4 = {_pitch(found)}"
    if found.family is not Family.UNCLEAR:
        probability = found.probability(found.family)
        likely = "Almost certainly" if probability >= ALL_BUT_CERTAIN_FROM else "Probably"
        return f"{likely} ({percent(probability)} sure) {_tuning(found)}, {at}."
    if found.probability(Family.UNCLEAR) >= max(f.probability for f in found.family_probabilities):
        return f"Cannot be told: {_no_system(found)}; taken as a whole it stands {at}."
    possible = sorted(found.family_probabilities, key=lambda each: -each.probability)
    likeliest = " or ".join(
        f"{_FAMILY[each.family]} ({percent(each.probability)})"
        for each in possible
        if each.probability >= _WORTH_A_WORD
    )
    return f"Cannot be told: it may be {likeliest}; taken as a whole it stands {at}."


def remarks_of(found: AsFound) -> tuple[str, ...]:
    """Return what else is worth saying, one sentence each."""
    remarks = [
        f"{found.reeds} reeds tell it; those that fit scatter by "
        f"{print_number(found.scatter_cents, decimals=1)} cents.",
        f"The fifths along the chain are {_fifth(found)} cents "
        "(equal 700.0, pure 702.0, quarter-comma 696.6).",
    ]
    if found.misfits:
        remarks.append(_astray(found.misfits))
    respelled = _respelled(found.misfits)
    if respelled:
        remarks.append(respelled)
    if found.information < 1.0:
        remarks.append(
            "The reeds of one note agree more than chance, so that each counts for "
            f"{print_number(found.information, decimals=2)} of a reed."
        )
    if found.set_aside:
        count = found.set_aside
        remarks.append(
            f"{count} {'reading' if count == 1 else 'readings'} in doubt "
            f"{'was' if count == 1 else 'were'} set aside."
        )
    return tuple(remarks)


def percent(probability: float) -> str:
    """Return a probability in per cent, never as certainty."""
    if probability > 0.99:
        return "over 99 %"
    return f"{max(100.0 * probability, 1.0):.0f} %"


def _tuning(found: AsFound) -> str:
    if found.family is Family.EQUAL:
        return "equal temperament"
    if found.family is Family.REGULAR:
        if found.temperament_title is not None:
            return f"{found.temperament_title}, its fifths {_fifth(found)} cents"
        is_meantone = found.fifth_interval_cents[1] < 700.0
        kind = "a meantone" if is_meantone else "a tuning with one size of fifth"
        return f"{kind}, its fifths {_fifth(found)} cents{_perhaps(found)}"
    if found.temperament_title is not None:
        return (
            f"the circulating temperament {_turned(found.temperament_title, found.turned_fifths)}"
        )
    return f"a circulating temperament{_perhaps(found)}"


def _perhaps(found: AsFound) -> str:
    """Name the likeliest of the family with its probability within all."""
    own = [t for t in found.tuning_probabilities if t.family is found.family and t.temperament]
    names = [
        f"{_turned(t.title, t.turned_fifths)} ({percent(t.probability)})"
        for t in own
        if t.probability >= _WORTH_A_WORD
    ]
    return f", perhaps {_listed(names)}" if names else ""


def _no_system(found: AsFound) -> str:
    best: TuningProbability = found.tuning_probabilities[0]
    sure = percent(found.probability(Family.UNCLEAR))
    if best.temperament is not None:
        return (
            f"the notes come nearest to {best.title}, which is none of the usual families ({sure})"
        )
    return f"the notes follow no temperament known here but a pattern of their own ({sure})"


def _turned(title: str, turned_fifths: int | None) -> str:
    if not turned_fifths:
        return title
    count = abs(turned_fifths)
    return (
        f"{title} turned by {count} {'fifth' if count == 1 else 'fifths'} towards the "
        f"{'sharps' if turned_fifths > 0 else 'flats'}"
    )


def _pitch(found: AsFound) -> str:
    near = found.pitch_standard
    said = "" if near is None else f", near {near.title} ({near.a4_hz:g} Hz)"
    return f"{print_frequency(found.a4_hz, found.a4_standard_error_cents)} Hz{said}"


def _fifth(found: AsFound) -> str:
    return str(print_with_doubt(found.fifth_cents, found.fifth_standard_error_cents, finest=0.1))


def _astray(misfits: Sequence[Misfit]) -> str:
    sharp = sum(misfit.offset_cents > 0.0 for misfit in misfits)
    count = len(misfits)
    if count == 1:
        return f"One reed does not fit, it is {'sharp' if sharp else 'flat'}."
    sides = f"{sharp} sharp, {count - sharp} flat"
    if sharp in {0, count}:
        sides = f"all {'sharp' if sharp else 'flat'}"
    return f"{count} reeds do not fit, {sides}."


def _respelled(misfits: Sequence[Misfit]) -> str:
    """Say which reeds stand where the other name of their note would."""
    names = dict.fromkeys(
        f"{misfit.note.printed} as {misfit.fits_as.printed}"
        for misfit in misfits
        if misfit.fits_as is not None
    )
    if not names:
        return ""
    return f"Perhaps tuned by another name: {_listed(tuple(names), last='and')}."


def _listed(names: Sequence[str], *, last: str = "or") -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
