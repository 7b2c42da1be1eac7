"""What she measured of a skein at one sitting, understood as readings that can be stored."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from farspun.craft.readings import NOT_SAID, STATES, relaxation
from farspun.errors import ImpossibleValue, WrongUse
from farspun.units import HEAVY_MASS_G, Quantity, count, say_length, say_mass, skein_name

MG_PER_G = 1000
UG_PER_G = 1_000_000
MM_PER_M = 1000
WRAPS_PER_100M = 10_000  # for each wrap per cm
MILLITEX_PER_TEX = 1000
LEAST_STEPS = 3  # of the scale in a test length's mass; judgement: below it the grist is a guess
MOST_LENGTH_M = 1e8  # as for any length


@dataclass(frozen=True, slots=True)
class Measured:
    """As given: quantities with their units, None or empty where she said nothing.

    `state` and `tool` belong to what was counted, by `strands` and `once_round` or as one `length`;
    `label` is a count as written, for some are read by the fibre.
    """

    mass: Quantity | None = None
    tare: Quantity | None = None
    strands: int | None = None
    once_round: Quantity | None = None
    state: str | None = None
    tool: str | None = None
    length: Quantity | None = None
    test_lengths: tuple[tuple[Quantity, Quantity], ...] = ()
    wpi: tuple[Quantity, ...] = ()
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """One row of evidence to be: `said` as read back, `values` in the table's whole units.

    `written`: the quantities by the name of their option, as texts that read back to the same.
    """

    kind: str
    said: str
    values: dict[str, Any] = field(default_factory=dict)
    written: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass on the scale, less its tare; `step_g` of both together."""

    mass_g: float
    step_g: float
    said: str

    @property
    def mass_mg(self) -> int:
        """As the ledger keeps it."""
        return round(self.mass_g * MG_PER_G)

    @property
    def step_ug(self) -> int:
        """At least 1: a finer scale makes no difference beside the day's humidity."""
        return max(1, round(self.step_g * UG_PER_G))


def readings(measured: Measured, fibre: str) -> list[Reading]:
    """Every reading given, in the order of the options; `fibre` is the skein's main one.

    Raises WrongUse for parts that do not go together, ImpossibleValue for what cannot be.
    """
    _refuse_parts(measured)
    return [*_weighed(measured), *_counted(measured), *_of_grist(measured, fibre)]


def weighed(mass: Quantity, tare: Quantity | None) -> Weighed:
    """What is on the scale without its cone, tube, bobbin. Raises ImpossibleValue."""
    if tare is None:
        net = Weighed(mass.value, mass.step, mass.said)
    else:
        left_g = mass.value - tare.value
        if not left_g > 0:
            raise ImpossibleValue("mass", f"{mass.said} less a tare of {tare.said}", "more than 0")
        said = f"{mass.said} less a tare of {tare.said}: {say_mass(left_g)}"
        net = Weighed(left_g, (mass.step**2 + tare.step**2) ** 0.5, said)
    _whole("mass", net.mass_g, MG_PER_G, "0.001 g", net.said)
    return net


def remarks(measured: Measured, elastic: bool, metres: bool = False) -> list[str]:
    """What was taken for granted, and what looks like a slip; `metres`: with what is made of a
    count, which is another for every skein."""
    said = []
    counted = measured.length or measured.once_round
    if counted is not None and measured.state is None:
        lost, sd = (float(part) for part in relaxation(elastic, NOT_SAID))
        longer = f"{100 * lost:.0f} % longer than it will be washed, ± {100 * sd:.0f}"
        taken = f"It is taken as {longer}."
        if metres:
            whole_m = _counted_m(measured)
            taken = (
                f"{say_length(whole_m)} counted are {say_length(whole_m * (1 - lost))} washed:"
                f" taken as {longer}."
            )
        said.append(
            f"Nothing said of how it was counted. {taken} Say how it was counted: --state relaxed,"
            " unwashed or under-tension."
        )
    masses = [measured.mass, *(mass for _, mass in measured.test_lengths)]
    said += [
        f"{mass.said} is a great deal for one skein: is it right?"
        for mass in masses
        if mass is not None and mass.value > HEAVY_MASS_G
    ]
    if any(quantity.sd is not None for quantity in _quantities(measured)):
        said.append("A ± with a reading is left out: farspun knows how far off readings are.")
    return said


def _counted_m(measured: Measured) -> float:
    if measured.strands is not None and measured.once_round is not None:
        return measured.strands * measured.once_round.value
    return measured.length.value if measured.length is not None else 0.0


def _quantities(measured: Measured) -> Iterator[Quantity]:
    for one in (
        measured.mass,
        measured.tare,
        measured.once_round,
        measured.length,
        *measured.wpi,
        *(quantity for pair in measured.test_lengths for quantity in pair),
    ):
        if one is not None:
            yield one


def _refuse_parts(measured: Measured) -> None:
    """Half a reading is none."""
    if (measured.strands is None) != (measured.once_round is None):
        raise WrongUse(
            "Strands and the length of once round go together.",
            "Give both: --strands 180 --once-round 1.5m, or the whole as --length 270m.",
        )
    counted = measured.once_round is not None or measured.length is not None
    if not counted and (measured.state is not None or measured.tool is not None):
        raise WrongUse(
            "Washed or not, and the tool, tell how a skein was counted, and no count is given.",
            "Add --strands and --once-round, or --length.",
        )
    if measured.tare is not None and measured.mass is None:
        raise WrongUse("A tare goes with a mass, and none is given.", "Add --mass.")


def _whole(what: str, value: float, per_unit: int, least: str, said: str) -> int:
    """In the table's whole units; what would vanish there is refused."""
    whole = round(value * per_unit)
    if not whole > 0:
        raise ImpossibleValue(what, said, f"at least {least}")
    return whole


def _weighed(measured: Measured) -> Iterator[Reading]:
    if measured.mass is not None:
        net = weighed(measured.mass, measured.tare)
        values = {"mass_mg": net.mass_mg, "step_ug": net.step_ug}
        yield Reading("weighed", net.said, values, mass_written(measured.mass, measured.tare))


def mass_written(on_scale: Quantity, tare: Quantity | None) -> dict[str, str]:
    """A weighing as it is written again."""
    return {"mass": on_scale.said} | ({"tare": tare.said} if tare else {})


def _counted(measured: Measured) -> Iterator[Reading]:
    state = measured.state or STATES[NOT_SAID]
    tool = skein_name(measured.tool, "tool") if measured.tool else None
    how = f", {state.replace('-', ' ')}" if measured.state else ""
    how += f", on “{tool}”" if tool else ""
    values = {"state": state, "tool": tool}
    if measured.strands is not None and measured.once_round is not None:
        once = measured.once_round
        length_m = measured.strands * once.value
        said = f"{measured.strands} × {once.said} = {say_length(length_m)}"
        if not length_m <= MOST_LENGTH_M:
            raise ImpossibleValue("the counted length", said, "at most 100 000 km")
        yield Reading(
            "counted",
            said + how,
            values
            | {
                "length_mm": _whole("length", length_m, MM_PER_M, "1 mm", said),
                "strands": measured.strands,
                "once_round_mm": _whole("once round", once.value, MM_PER_M, "1 mm", once.said),
            },
            {"strands": str(measured.strands), "once_round": once.said},
        )
    if measured.length is not None:
        one = measured.length
        length_mm = _whole("length", one.value, MM_PER_M, "1 mm", one.said)
        whole = values | {"length_mm": length_mm}
        yield Reading("counted", one.said + how, whole, {"length": one.said})


def _of_grist(measured: Measured, fibre: str) -> Iterator[Reading]:
    """Readings of how fine or thick the yarn is."""
    for length, mass in measured.test_lengths:
        said = f"{length.said} = {mass.said}"
        if not mass.value >= LEAST_STEPS * mass.step * (1 - 1e-9):
            raise ImpossibleValue(
                "test length",
                said,
                f"its mass must be at least {LEAST_STEPS} steps of the scale"
                f" ({say_mass(LEAST_STEPS * mass.step)})",
                "Weigh a longer piece, or use a finer scale.",
            )
        net = weighed(mass, None)
        length_mm = _whole("test length", length.value, MM_PER_M, "1 mm", said)
        yield Reading(
            "test length",
            said,
            {"length_mm": length_mm, "mass_mg": net.mass_mg, "step_ug": net.step_ug},
            {"test_length": f"{length.said}={mass.said}"},
        )
    for wraps in measured.wpi:
        per_100m = _whole("wraps", wraps.value, WRAPS_PER_100M, "1 in 100 m", wraps.said)
        yield Reading("wrapped", wraps.said, {"wraps_per_100m": per_100m}, {"wpi": wraps.said})
    if measured.label is not None:
        label = count(measured.label, "label", fibre)
        millitex = _whole("label", label.value, MILLITEX_PER_TEX, "0.001 tex", label.said)
        yield Reading("labelled", label.said, {"millitex": millitex}, {"label": label.said})
