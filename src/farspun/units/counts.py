"""Yarn counts in every system a label or an old book may use, read as tex."""

import re
from dataclasses import dataclass

from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.units.count_systems import FIBRES, SYSTEMS, System, system_of
from farspun.units.kinds import LENGTH, MASS, Kind, Unit, refusal
from farspun.units.number import FRACTION_SIGNS, NUMBER, Number, number, shown, tidied
from farspun.units.quantities import Quantity, halves

# what can be: judgement, no source (a hundredth of a silk filament; a rope)
LEAST_TEX = 0.01
MOST_TEX = 1e6

_WRITTEN = {"nm": "Nm", "ne": "Ne", "nec": "Ne", "cc": "Ne"}
_SIGNS = {f"0 {figures}": sign for sign, figures in FRACTION_SIGNS.items()}
_NO_MEANING = {"count", "counts", "yarn"}
_KIND = Kind(
    "yarn count",
    {word: Unit(word, (1, 1)) for word in ("m/100g", "yd/lb", *SYSTEMS, *FIBRES)},
    "m/100g, yd/lb, tex, dtex, den, Nm, Ne, or a named count such as “16s worsted”",
    "230 m/100g",
    MOST_TEX,
    "1 000 000 tex",
)
_LENGTH_PER_MASS = re.compile(rf"({NUMBER}) ?([a-z\"']+)/((?:{NUMBER})(?= ?[a-z]))? ?([a-z]+)\.?")
_PLIED = r"[0-9]+\.?[0-9]*/[0-9]+\.?[0-9]*"
_NAMED = re.compile(rf"([a-z ]*)({_PLIED}|{NUMBER})('?s\b)?([a-z ]*)\.?")
_READ_BACK = re.compile(", read as | = ")
_PER = re.compile(r" ?\bper\b ?")


@dataclass(frozen=True, slots=True)
class _Count:
    """Tex, the tex of one unit of the last digit, and how it is said back.

    `unit` tells two ways of counting apart; `indirect` ones fall as the yarn thickens.
    """

    tex: float
    step: float
    unit: str
    indirect: bool
    said: str


@dataclass(frozen=True, slots=True)
class _Named:
    """The figures of a named count, its system, and the whole as written."""

    figures: str
    system: System
    written: str
    has_fibre: bool


def count(text: str, what: str = "count", fibre: str | None = None) -> Quantity:
    """Linear density in tex of a yarn count.

    Of two figures joined by a slash the larger is the singles count, the smaller the plies.
    `fibre` settles a count that names no system, where one system is usual for it. What is
    said back is read again as the same.

    >>> round(count("230 m/100g").value, 2), count("Nm 8/2").value
    (434.78, 250.0)
    >>> count("2/8 cotton").said
    '2/8 cotton, read as 8/2 = Ne 4'
    """
    head = _READ_BACK.split(text, maxsplit=1)[0]
    found = _quantity(head, what, fibre)
    if head != text and _bare(text) != _bare(found.said):
        raise UnreadableValue(
            what, shown(text), "the two sides do not say the same", f"Write only “{shown(head)}”."
        )
    return found


def _bare(said: str) -> str:
    return "".join(said.split()).casefold()


def _quantity(text: str, what: str, fibre: str | None) -> Quantity:
    """The count written, without what may be said back behind it."""
    plain = tidied(text, what, _KIND.example)
    middle, spread = halves(plain)
    found = _one(middle, what, fibre)
    around = None if spread is None else _one(spread, what, fibre)
    if found is None or (spread is not None and around is None):
        raise refusal(text, plain, what, _KIND)
    if not LEAST_TEX <= found.tex <= MOST_TEX:
        allowed = f"from {LEAST_TEX:g} to {_KIND.most_said}, and this is {found.tex:.4g} tex"
        raise ImpossibleValue(what, found.said, allowed)
    if around is None:
        return Quantity(found.tex, found.step, None, found.said)
    if around.unit != found.unit or " = " in found.said + around.said:
        raise UnreadableValue(
            what,
            shown(text),
            "both sides of the ± need the same plain unit",
            "Write it like “230 m/100g ± 10 m/100g”.",
        )
    # for an indirect count tex = k/x, so an sd of x is tex²/(tex of x = sd)
    sd = found.tex**2 / around.tex if found.indirect else around.tex
    return Quantity(found.tex, found.step, sd, f"{found.said} ± {around.said}")


def _one(plain: str, what: str, fibre: str | None) -> _Count | None:
    """One side of a ±; None if it is no count."""
    ratio = _LENGTH_PER_MASS.fullmatch(re.sub(r"ypp$", "yd/lb", _PER.sub("/", plain)))
    if ratio and ratio[2] in LENGTH.units and ratio[4] in MASS.units:
        return _length_per_mass(ratio, what)
    named = _named(plain, what, fibre)
    if not named:
        return None
    plied = re.fullmatch(_PLIED, named.figures)
    return _plied(named, what) if plied else _single(named, what)


def _length_per_mass(ratio: "re.Match[str]", what: str) -> _Count:
    """So much length in so much mass: "230 m/100g", "1700 yd/lb"."""
    long, heavy = number(ratio[1], what), number(ratio[3] or "1", what)
    metre, gram = LENGTH.units[ratio[2]], MASS.units[ratio[4]]
    per = metre.symbol + "/" + (gram.after(heavy.written) if ratio[3] else gram.symbol)
    said = f"{long.written} {per}"
    _refuse_nought(min(long.top, heavy.top), said, what)
    tex = (1000 * heavy.top * gram.ratio[0] * long.bottom * metre.ratio[1]) / (
        heavy.bottom * gram.ratio[1] * long.top * metre.ratio[0]
    )
    return _Count(tex, tex * _relative_step(long), per, True, said)


def _named(plain: str, what: str, fibre: str | None) -> _Named | None:
    """A count by the name of its system, "Nm 8/2", "16s cotton"; None if it has another form."""
    found = _NAMED.fullmatch(plain)
    if not found:
        return None
    before, after = (
        [word for word in side.split() if word not in _NO_MEANING] for side in found.group(1, 4)
    )
    known = all(word in SYSTEMS or word in FIBRES for word in before + after)
    if not known or not (before or after or found[3] or "/" in found[2]):
        return None
    usual = (fibre or "").strip().casefold()
    if not before + after and usual in FIBRES:
        after = [usual]
    system = system_of(before + after, plain, what)
    words = (*before, _SIGNS.get(found[2], found[2]) + ("s" if found[3] else ""), *after)
    written = " ".join(_WRITTEN.get(word, word) for word in words)
    return _Named(found[2], system, written, any(word in FIBRES for word in words))


def _single(named: _Named, what: str) -> _Count:
    """A count of one figure: "16s cotton", "40 tex"."""
    amount, system = number(named.figures, what), named.system
    _refuse_nought(amount.top, named.written, what)
    tex = system.tex(amount.top, amount.bottom)
    label = system.label.format(_said_figures(amount.written))
    said = f"{named.written} = {label}" if named.has_fibre and label != named.written else label
    return _Count(tex, tex * _relative_step(amount), system.label, system.indirect, said)


def _said_figures(written: str) -> str:
    """The figures of a count of one figure; a bare fraction so that it is not read as plies."""
    if "/" in written and " " not in written:
        return _SIGNS.get(f"0 {written}", f"0 {written}")
    return written


def _plied(named: _Named, what: str) -> _Count:
    """Singles count and plies: the larger figure is the count of the singles."""
    system = named.system
    if not system.indirect:
        raise UnreadableValue(
            what,
            shown(named.written),
            "a count by weight is not given with its plies here",
            "Write that of the whole yarn: two plies of 20 tex are “40 tex”.",
        )
    one, two = (number(figure, what) for figure in named.figures.split("/"))
    turned = one.top * two.bottom < two.top * one.bottom
    singles, plies = (two, one) if turned else (one, two)
    _refuse_nought(plies.top, named.written, what)
    if plies.bottom != 1:
        raise UnreadableValue(
            what,
            shown(named.written),
            "the number of plies is a whole one",
            "Write the singles count and the plies: “Nm 8/2”.",
        )
    tex = system.tex(singles.top, singles.bottom * plies.top)
    read_as = f", read as {singles.written}/{plies.written}" if turned else ""
    label = system.says(singles.top / (singles.bottom * plies.top))
    said = f"{named.written}{read_as} = {label}"
    return _Count(tex, tex * _relative_step(singles), system.label, True, said)


def _refuse_nought(top: int, said: str, what: str) -> None:
    if not top > 0:
        raise ImpossibleValue(what, said, "more than 0")


def _relative_step(amount: Number) -> float:
    """One unit of the last digit as a part of the number."""
    return amount.bottom / (amount.step_bottom * amount.top)
