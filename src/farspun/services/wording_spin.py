"""What to spin: labels and what belongs to them."""

from collections.abc import Callable, Iterator, Sequence
from shlex import quote
from typing import TYPE_CHECKING

from farspun.services.wording import Row, in_100, in_words, listed, to_have, to_weigh
from farspun.units import (
    CM_PER_INCH,
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_odds,
    say_per_cm,
    say_per_inch,
)
from farspun.units.factors import m_per_100g_from_tex, yd_per_lb_from_tex

if TYPE_CHECKING:
    from farspun.craft.spinning import Single, Target
    from farspun.services.to_spin import Use, Work

CARD_M = 10  # m of the sample card


def work_head(work: "Work") -> str:
    """The yarn, and what it is for."""
    return f"{work.yarn}, for {listed([_use(use) for use in work.uses])}"


def _use(use: "Use") -> str:
    asked = f"asked {in_100(use.promise)}"
    odds = asked if use.odds is None else f"{say_odds(use.odds, use.promise)}, {asked}"
    return f"the {use.side} of {use.cloth} ({odds})"


def work_rows(work: "Work") -> Iterator[Row]:
    """What to do for one yarn, line by line."""
    first = quote(work.skeins[0])
    if work.lacking == "length":
        yield ("Weigh", f"nothing is known of its length: farspun skein weigh {first} …")
    elif work.lacking == "grist":
        metres = to_have(work.short_m or 0.0)
        yield ("Spin", f"{say_length(metres)} more")
        yield ("", f"in yards: {say_length_imperial(metres)}")
        how = f"or 10 m of it: farspun skein measure {first} --test-length 10m=…"
        yield ("Weigh", f"the skein there is, for its grist is not known yet; {how}")
    elif work.buy is not None:
        yield from _buy(work)
    elif work.spin is not None:
        yield from _spin(work, work.spin)
    if work.share_anew:
        enough = "reaches" if len(work.share_anew) == 1 else "reach"
        told = f"farspun share-out; {listed(work.share_anew)} {enough} if later cloths let go of it"
        yield ("or", f"share out anew: {told}")


def _buy(work: "Work") -> Iterator[Row]:
    buy = work.buy
    assert buy is not None
    packs = f"{buy.packs} pack{'s' if buy.packs > 1 else ''} of {say_mass(buy.pack_g)}"
    metres, grams = to_have(work.short_m or 0.0), to_weigh(work.short_g or 0.0)
    yield (
        "Buy",
        f"{packs}, about {say_length(buy.length_m)}: {say_length(metres)}, {say_mass(grams)} are"
        " short",
    )
    yield (
        "", f"in yards and ounces: about {say_length_imperial(buy.length_m)};"
        f" {say_length_imperial(metres)}, {say_mass_imperial(grams)} short"
    )  # fmt: skip


def _spin(work: "Work", spin: "Target") -> Iterator[Row]:
    metres, grams = to_have(spin.length_m), to_weigh(spin.mass_g)
    yield (
        "Spin",
        f"{say_length(metres)}, {say_mass(grams)} of washed yarn{_sure(spin, say_mass)}, from"
        f" {say_mass(to_weigh(spin.fibre_g))} of prepared fibre",
    )
    yield (
        "",
        f"in yards and ounces: {say_length_imperial(metres)}, {say_mass_imperial(grams)}"
        f"{_sure(spin, say_mass_imperial)}, from {say_mass_imperial(to_weigh(spin.fibre_g))}",
    )
    plies = f"{len(spin.singles)}-ply" if spin.singles else "singles"
    yield ("Yarn", f"{work.fibre}, {plies}: {_metric(spin)}")
    yield ("", _imperial(spin))
    yield from _singles(spin)
    yield from _twist(spin)
    yield from _count(work, spin)
    yield from _card(spin)
    if work.taken:
        yield ("", f"Taken as usual: {'; '.join(work.taken)}.")
    cloth = quote(work.uses[0].cloth)
    yield ("Then", f"wash it, count it slack: farspun skein add NAME … --for {cloth}")


def _sure(spin: "Target", say_it: Callable[[float], str]) -> str:
    """How much to spin so that it is enough for sure, where that is more."""
    grams, sure = say_it(to_weigh(spin.mass_g)), say_it(to_weigh(spin.sure_g))
    return "" if sure == grams else f"; to be sure of them {sure}"


def _metric(yarn: "Target | Single") -> str:
    wraps = say_per_cm(yarn.wraps_per_cm).replace(" per", " snug wraps per")
    return f"{m_per_100g_from_tex(yarn.tex):.0f} m per 100 g, {wraps}"


def _imperial(yarn: "Target | Single") -> str:
    wraps = say_per_inch(yarn.wraps_per_cm).replace(" per", " snug wraps per")
    return f"{yd_per_lb_from_tex(yarn.tex):.0f} yd per lb, {wraps}"


def _kinds(spin: "Target") -> list[tuple[int, "Single"]]:
    """The singles that differ, with how many there are of each."""
    kinds: dict[float, tuple[int, Single]] = {}
    for one in spin.singles:
        many, _ = kinds.get(one.tex, (0, one))
        kinds[one.tex] = many + 1, one
    return list(kinds.values())


def _singles(spin: "Target") -> Iterator[Row]:
    label = "Singles"
    sure = ", enough for the sure amount" if _sure(spin, say_mass) else ""
    for many, one in _kinds(spin):
        number = in_words(many)
        grams = say_mass(to_weigh(one.mass_g))
        yield (
            label,
            f"{number} of {say_length(to_have(one.length_m))} at the wheel, {grams}{sure}"
            f"{_off_the_wheel(one)}: {_metric(one)}",
        )
        yield ("", f"{_yards(one)}: {_imperial(one)}")
        label = ""


def _off_the_wheel(one: "Single") -> str:
    """Its grist there, where washing makes another of it."""
    if one.wheel_tex == one.tex:
        return ""
    return f", {m_per_100g_from_tex(one.wheel_tex):.0f} m per 100 g; washed"


def _yards(one: "Single") -> str:
    grams = say_mass_imperial(to_weigh(one.mass_g))
    wheel = one.wheel_tex != one.tex
    grist = f", {yd_per_lb_from_tex(one.wheel_tex):.0f} yd per lb; washed" if wheel else ""
    return f"in yards and ounces: {say_length_imperial(to_have(one.length_m))}, {grams}{grist}"


def _twist(spin: "Target") -> Iterator[Row]:
    kinds = _kinds(spin)
    for start, say_it, of in (
        (f"at {spin.angle_deg:g}°: ", _per_cm, "Twist"),
        ("in inches: ", _per_inch, ""),
    ):
        plied = "plied with " if kinds else ""
        singles = listed([say_it(one.twist_per_cm) for _, one in kinds]) if kinds else ""
        also = f"; singles spun with {singles}, {kinds[0][1].direction}" if kinds else ""
        yield (of, f"{start}{plied}{say_it(spin.twist_per_cm)}, {spin.direction}{also}")


def _per_cm(turns: float) -> str:
    return f"{turns:.1f} turns per cm"


def _per_inch(turns_per_cm: float) -> str:
    return f"{turns_per_cm * CM_PER_INCH:.1f} turns per inch"


def _count(work: "Work", spin: "Target") -> Iterator[Row]:
    """What the niddy-noddy must show."""
    middle, sure = spin.unwashed_m, spin.unwashed_sure_m
    promise = in_100(max(use.promise for use in work.uses))
    if sure <= spin.length_m:
        yield ("Count", f"{say_length(to_have(middle))} on the niddy-noddy, unwashed")
        yield ("", f"in yards: {say_length_imperial(to_have(middle))}")
        return
    yield (
        "Count",
        f"about {say_length(to_have(middle))} on the niddy-noddy before washing;"
        f" {say_length(to_have(sure))} to be as sure as you asked ({promise} in 100)",
    )
    yield (
        "", f"in yards: {say_length_imperial(to_have(middle))};"
        f" {say_length_imperial(to_have(sure))}"
    )  # fmt: skip


def _card(spin: "Target") -> Iterator[Row]:
    """The line to write on the sample card."""
    single = [f"{say_mass(one.card_g)}" for _, one in _kinds(spin)]
    of = f", of the single {' and '.join(single)}" if single else ""
    yield (
        "Card",
        f"{CARD_M} m should weigh {say_mass(spin.card_g)} washed and slack,"
        f" {spin.wraps_per_cm * CM_PER_INCH:.0f} wraps an inch snug; off the wheel"
        f" {say_mass(spin.card_unwashed_g)}{of}",
    )


def work_opening(found: "Sequence[Work]") -> str:
    """How many yarns are short."""
    if not found:
        return "Nothing is to spin: every cloth keeps its promise."
    number = "1 yarn is" if len(found) == 1 else f"{len(found)} yarns are"
    return f"{number} short, by priority of the cloths."


def cautions(found: "Sequence[Work]") -> list[str]:
    """Each caution once."""
    return list(dict.fromkeys(caution for one in found for caution in one.cautions))
