"""The slip of the pen that most likely stands behind a figure that cannot be believed.

Each figure it was worked out from is put right in every way a weaver may have gone wrong: the
decimal point, inches written as centimetres or the reverse, width and length exchanged. The one
after which everything fits best, with the plan too, is offered as a question.
"""

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from farspun.craft.woven import SHOWN_BY, Told
from farspun.units import CM_PER_INCH

Kind = Literal["decimal point", "inches", "centimetres", "exchanged"]
Off = Callable[[Told], Mapping[str, float]]

# name: value     unit                source
FITS = 3.5  # spreads of the habit    judgement: put right, it must be believed at once
PLANNED_SD = 0.25  # of ln            judgement: how far a cloth comes out from what was planned
TENFOLD = 10.0  # times               exact: one place of the decimal point
SIZES = {
    "off_width_cm": ("off_width_cm", "off_length_cm"),
    "off_length_cm": ("off_width_cm", "off_length_cm"),
    "washed_width_cm": ("washed_width_cm", "washed_length_cm"),
    "washed_length_cm": ("washed_width_cm", "washed_length_cm"),
}
PER_LENGTH = ("picks_per_cm",)


@dataclass(frozen=True, slots=True)
class Slip:
    """What was told wrongly, how, and all that was told with that put right."""

    field: str
    kind: Kind
    told: Told


def likely_slip(
    told: Told,
    factor: str,
    off: Off,
    in_question: Collection[str] = (),
    planned: Mapping[str, float] | None = None,
) -> Slip | None:
    """The likeliest slip behind `factor`; None where no single one makes it fit.

    `off` gives the spreads that each factor is off for what was told; `in_question` all factors of
    the piece that cannot be believed: a slip that mends more of them is the likelier; `planned`
    what a figure was to be, by its name in Told. Source: judgement.

    >>> def off(told: Told) -> dict[str, float]:
    ...     return {"shrink_length": (1 - told.washed_length_cm / told.off_length_cm - 0.1) / 0.05}
    >>> slip = likely_slip(Told(off_length_cm=121.0, washed_length_cm=10.8), "shrink_length", off,
    ...                    planned={"off_length_cm": 122.0, "washed_length_cm": 110.0})
    >>> slip.field, slip.kind, slip.told.washed_length_cm
    ('washed_length_cm', 'decimal point', 108.0)
    """
    best, rank = None, (0, -FITS)
    for slip in _slips(told, factor):
        changed = {name for name in slip.told.names if _differ(told, slip.told, name)}
        now = off(slip.told)
        misfit = max(
            _misfit(now, changed, factor), _off_the_plan(slip.told, changed, planned or {})
        )
        mended = sum(abs(now.get(one, math.inf)) < FITS for one in {factor, *in_question})
        if misfit < FITS and (mended, -misfit) > rank:
            best, rank = slip, (mended, -misfit)
    return best


def _slips(told: Told, factor: str) -> Iterator[Slip]:
    for name in SHOWN_BY[factor]:
        value = getattr(told, name)
        if not isinstance(value, float):
            continue
        both = [one for one in SIZES.get(name, (name,)) if getattr(told, one) is not None]
        for times in (TENFOLD, 1 / TENFOLD):
            yield Slip(name, "decimal point", _times(told, [name], times))
        smaller: Kind = "centimetres" if name not in PER_LENGTH else "inches"
        larger: Kind = "inches" if name not in PER_LENGTH else "centimetres"
        yield Slip(name, larger, _times(told, both, CM_PER_INCH))
        yield Slip(name, smaller, _times(told, both, 1 / CM_PER_INCH))
        if len(both) == 2:
            wide, long = (getattr(told, one) for one in both)
            yield Slip(
                name, "exchanged", replace(told, **dict(zip(both, (long, wide), strict=True)))
            )


def _times(told: Told, names: Collection[str], times: float) -> Told:
    return replace(told, **{name: getattr(told, name) * times for name in names})


def _differ(one: Told, other: Told, name: str) -> bool:
    return bool(getattr(one, name) != getattr(other, name))


def _misfit(off: Mapping[str, float], changed: Collection[str], factor: str) -> float:
    """Spreads off, the most of the factor asked about and of those that hang on what changed."""
    if factor not in off:
        return math.inf
    hang = {one for one in off if set(SHOWN_BY[one]) & set(changed)}
    return max(abs(off[one]) for one in {factor, *hang})


def _off_the_plan(told: Told, changed: Collection[str], planned: Mapping[str, float]) -> float:
    return max(
        (
            abs(math.log(getattr(told, one) / planned[one])) / PLANNED_SD
            for one in changed
            if one in planned
        ),
        default=0.0,
    )
