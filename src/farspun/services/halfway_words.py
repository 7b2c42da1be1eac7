"""The half-way check in words, as every screen says it."""

from collections.abc import Iterator

from farspun.services.halfway_answers import HalfwayAnswer, HalfwayYarn
from farspun.services.halfway_ways import Way
from farspun.units import (
    Quantity,
    say_cm,
    say_inches,
    say_length,
    say_mass,
    say_odds,
    say_per_cm,
    say_per_inch,
)

NO_SENSE_BELOW_CM = 1.0  # of tape still to weave
LITTLE_G = 1.0  # less than a scale tells


def heading(answer: HalfwayAnswer) -> str:
    """How far the cloth is.

    >>> heading(HalfwayAnswer("Shawl", 58.0, 146.0, 0.95, []))
    'Shawl: 58 of 146 cm woven (22.8 of 57.5 in).'
    """
    done, end = say_cm(answer.woven_cm), say_cm(answer.end_cm)
    inches = f"{say_inches(answer.woven_cm).removesuffix(' in')} of {say_inches(answer.end_cm)}"
    return f"{answer.cloth}: {done.removesuffix(' cm')} of {end} woven ({inches})."


def yarn_name(yarn: HalfwayYarn) -> str:
    """Its skeins, joined."""
    return " + ".join(yarn.skeins)


def verdict_sentence(yarn: HalfwayYarn, answer: HalfwayAnswer) -> str:
    """Whether it lasts, first of all."""
    name, odds = yarn_name(yarn), say_odds(yarn.odds, answer.promise)
    if answer.end_cm - answer.woven_cm < NO_SENSE_BELOW_CM:
        return f"{name} lasted: the cloth is woven as long as it was planned."
    if yarn.held_back:
        return f"{name}: the weighing is in doubt, so it is not told yet whether it lasts."
    if yarn.verdict == "reaches":
        return f"{name} will last to the end: {odds}."
    if yarn.doubted:
        name = f"{name}: the weighing is in doubt; if {say_mass(yarn.mass_g)} is right, it"
    surely = say_odds(answer.promise)
    far = f"with {surely} it lasts to {say_cm(yarn.reaches_cm)} of the tape."
    if yarn.reaches_cm - answer.woven_cm < NO_SENSE_BELOW_CM:
        far = "do not weave on with it alone."
    if yarn.verdict == "uncertain":
        return f"{name} may not last: {odds}; {far}"
    return f"{name} will hardly last: {odds}; {far}"


def rows(yarn: HalfwayYarn) -> Iterator[tuple[str, str]]:
    """(label, text) of what it weighs, takes and leaves."""
    rate = yarn.rate_g_per_cm
    yield "Now", f"{say_mass(yarn.mass_g)} on ball and shuttle"
    yield "Takes", f"{rate.mean:.2f} g for each cm of tape, give or take {rate.sd:.2f}"
    if not yarn.held_back:
        yield "End", _end(yarn)
    if yarn.kept_g > 0:
        yield "Kept", f"{say_mass(yarn.kept_g)} of it is kept for other cloths"


def _end(yarn: HalfwayYarn) -> str:
    left = yarn.left_g
    about = f"{say_mass(abs(left.mean))} {'short' if left.mean < 0 else 'left'}"
    if abs(left.mean) < LITTLE_G:
        about = "next to nothing left"
    elif yarn.left_m is not None:
        about += f", about {say_length(abs(yarn.left_m))}"
    return f"{about} (give or take {say_mass(left.sd)})"


def ball_said(skein: str, on_scale: Quantity, tare: Quantity | None) -> str:
    """A ball as it was weighed; the net mass first where a tare comes off.

    >>> from farspun.units import mass
    >>> ball_said("Sea", mass("83 g"), mass("20 g"))
    'Sea 63 g (83 g less 20 g of the shuttle)'
    >>> ball_said("Sea", mass("83 g"), None)
    'Sea 83 g'
    """
    if tare is None or on_scale.value == 0:
        return f"{skein} {on_scale.said}"
    net_g = on_scale.value - tare.value
    return f"{skein} {say_mass(net_g)} ({on_scale.said} less {tare.said} of the shuttle)"


def way_sentence(way: Way, yarn: HalfwayYarn) -> str:
    """One thing that can be done."""
    return {
        "shorten": _shorten,
        "another skein": _another,
        "alternate": _alternate,
        "border": _border,
        "open the beat": _open,
    }[way.do](way, yarn)


def _shorten(way: Way, yarn: HalfwayYarn) -> str:
    tape, length = way.tape_cm or 0.0, way.length_cm or 0.0
    serves = "" if way.serves_cm is None else f"; you allowed {say_cm(way.serves_cm)}"
    return f"Stop at {say_cm(tape)} of the tape: it comes out about {say_cm(length)} long{serves}."


def _another(way: Way, yarn: HalfwayYarn) -> str:
    return f"Weave the last {say_cm(way.last_cm or 0.0)} with another yarn: {_other(way)}."


def _alternate(way: Way, yarn: HalfwayYarn) -> str:
    own, other = way.picks or (1, 1)
    name = yarn_name(yarn)
    return f"From now on {own} of {name} and {other} of another by turns: {_other(way)}."


def _border(way: Way, yarn: HalfwayYarn) -> str:
    each = say_cm(way.last_cm or 0.0)
    return f"A border of {each} in another yarn at both ends: {_other(way)}."


def _open(way: Way, yarn: HalfwayYarn) -> str:
    picks = way.picks_per_cm or 0.0
    text = f"Beat more gently from now on: {say_per_cm(picks)} ({say_per_inch(picks)}), rested"
    if way.handle is None:
        return f"{text}; look whether the two halves still match."
    if way.handle == way.handle_before:
        return f"{text}; the cloth stays {way.handle}, a little more open than before."
    return f"{text}; it was {way.handle_before}, and will be {way.handle} from there."


def _other(way: Way) -> str:
    length = say_length(way.other_m or 0.0)
    if not way.like:
        return f"about {length} of it; no skein of yours near in grist has so much free"
    return f"about {length} of it; near in grist, with enough free: {', '.join(way.like)}"
