"""From what she asks to a plan: names looked up, loom, reed, sett and picks chosen."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.draft_on_loom import check_loom, shafts_lacking
from farspun.craft.drawn import drawn_draft
from farspun.craft.habits import WASHES
from farspun.craft.plan import Loom, Part, Plan, Reed
from farspun.craft.planning import settled_ends
from farspun.craft.weave import checked_purpose
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.case_for import size_level, size_of, yarn_groups
from farspun.services.cloth_asked import ClothAsked
from farspun.services.defaults import gone_back
from farspun.services.drafts import weave_kept
from farspun.services.factors import yarns_of
from farspun.services.habits_for import spreads_for
from farspun.services.names import Names
from farspun.services.orders import in_order, refuse_longer, with_parts
from farspun.services.setting_up import set_up, suggested_for
from farspun.services.stock import Stock, stock_for
from farspun.store.skeins import names_of
from farspun.units import say_cm

# fields of the asked cloth that go into the plan as they are
LOOKED_UP = (
    "warp",
    "weft",
    "warp_order",
    "weft_order",
    "loom",
    "reed",
    "given",
    "sett_per_cm",
    "picks_per_cm",
    "default",
)
LIMITS = {  # judgement: far beyond any loom
    "width_cm": (10_000, " cm"),
    "length_cm": (10_000_000, " cm"),
    "hem_cm": (10_000, " cm"),
    "side_hem_cm": (10_000, " cm"),
    "fringe_cm": (10_000, " cm"),
    "gap_cm": (100_000, " cm"),
    "header_cm": (100_000, " cm"),
    "sample_cm": (100_000, " cm"),
    "waste_cm": (10_000, " cm"),
    "warp_cut_cm": (100_000_000, " cm"),
    "ends": (100_000, ""),
    "pieces": (10_000, ""),
    "repeat": (10_000, ""),
    "floating_selvedges": (1_000, ""),
    "priority": (1_000_000, ""),
}
WIDTH = "the width"  # what cannot be where a cloth is wider than her looms
ROUNDING_CM = 1e-6  # judgement: far below a thread
PANEL_SEAMS_CM = 3.0  # of finished width a panel loses to its seams; common practice, no source
PANEL_EDGES_CM = 1.5  # of reed width a panel draws in beside the proportion; judgement


def planned(connection: Connection, asked: ClothAsked, before: Plan | None = None) -> Plan:
    """The plan for what is asked, or `before` changed by it.

    Raises NotFound for names that are not in the stash, ImpossibleValue for a cloth that cannot
    be, WrongUse for options that do not go together.
    """
    return ready(connection, asked, before).settled()


@dataclass(frozen=True, slots=True)
class Ready:
    """A plan whose names are looked up; what is left is to set it up."""

    plan: Plan
    looms: Sequence[Loom | None]
    reed: Reed | None
    reeds: Sequence[Reed]
    stock: Stock

    def settled(self) -> Plan:
        """On the first loom that takes the reed and is wide enough. Raises ImpossibleValue."""
        found = _on_a_loom(self.plan, self.looms, self.reed, self.reeds, self.stock)
        refuse_longer(found, ends_in_reed(found, self.stock))
        names = {number: one.name for number, one in self.stock.supplies.items()}
        return with_parts(found, names, found.picks_per_cm)

    def with_side(self, side: str, parts: Sequence[Part]) -> "Ready":
        """The same with these yarns on one side; `stock` must know them."""
        if side == "warp":
            return replace(self, plan=replace(self.plan, warp=tuple(parts)))
        return replace(self, plan=replace(self.plan, weft=tuple(parts)))

    def sized(self, width_cm: float, length_cm: float) -> Plan:
        """The same in another size. Raises ImpossibleValue, of `WIDTH` where no loom is as wide."""
        plan = replace(self.plan, width_cm=width_cm, length_cm=length_cm)
        return replace(self, plan=plan).settled()


def ready(connection: Connection, asked: ClothAsked, before: Plan | None = None) -> Ready:
    """What is asked with its names looked up; raises as `planned`."""
    _check_words(asked)
    _check_limits(asked)
    start = before or Plan(0.0, 0.0, "", (), (), 1.0, 1.0)
    names = Names(connection)
    said = {name: value for name, value in asked.said().items() if name not in LOOKED_UP}
    if "weave" in said:
        said["weave"] = weave_kept(said["weave"])
    plan = replace(
        gone_back(start, asked),
        **said,
        warp=names.side(start, asked, "warp"),
        weft=names.side(start, asked, "weft"),
    )
    plan = replace(
        plan,
        given={**plan.given, **asked.given},
        loom_asked=plan.loom_asked or asked.loom is not None,
        reed_asked=plan.reed_asked or asked.reed is not None,
        sett_asked=asked.sett_per_cm or plan.sett_asked,
        picks_asked=asked.picks_per_cm or plan.picks_asked,
    )
    plan = in_order(plan, asked, start, names_of(connection, plan.skein_ids))
    if not plan.width_cm > 0:
        raise WrongUse("No size was given.", "Give --size WIDTHxLENGTH, as 40cmx160cm.")
    stock = stock_for(connection, plan.skein_ids)
    _check_open(stock)
    reed = names.reed(asked.reed) or _reed_kept(asked, plan)
    loom = names.loom(asked.loom) or plan.loom
    return Ready(plan, names.looms_for(loom, plan.loom_asked), reed, names.reeds, stock)


def _reed_kept(asked: ClothAsked, plan: Plan) -> Reed | None:
    """The reed she named; one that farspun chose until a change touches what the sett hangs on."""
    if plan.reed_asked:
        return plan.reed
    anew = (asked.sett_per_cm, asked.warp, asked.weft, asked.weave, asked.purpose, asked.loom)
    if asked.wash is not None or asked.default or any(one is not None for one in anew):
        return None
    return plan.reed


def _check_limits(asked: ClothAsked) -> None:
    """What no loom can hold is a slip."""
    for name, (most, unit) in LIMITS.items():
        given = asked.given.get(name)
        value = given.spread.mean if given else getattr(asked, name, None)
        if value is not None and not value <= most:
            what = name.removesuffix("_cm").replace("_", " ")
            raise ImpossibleValue(what, f"{value:.10g}{unit}", f"at most {most}{unit}")


def _check_words(asked: ClothAsked) -> None:
    if asked.purpose is not None:
        checked_purpose(asked.purpose)
    if asked.wash is not None and asked.wash not in WASHES:
        raise ImpossibleValue("wash", asked.wash, f"one of {', '.join(WASHES)}")


def _check_open(stock: Stock) -> None:
    for one in stock.supplies.values():
        if one.closed:
            raise ImpossibleValue(
                "a yarn",
                one.name,
                "that skein was closed",
                "Choose one that is still in the stash: farspun skein list",
            )


def _on_a_loom(
    plan: Plan, looms: Sequence[Loom | None], reed: Reed | None, reeds: Sequence[Reed], stock: Stock
) -> Plan:
    """The plan set up on the first of the looms that takes the reed and is wide enough."""
    movable = not plan.reed_asked  # a reed that farspun chose gives way to the loom
    taking = [loom for loom in looms if reed is None or movable or reed.fits(loom)]
    if reed is not None and not taking:
        raise ImpossibleValue(
            "the reed",
            reed.name,
            f"it does not fit {' or '.join(loom.name for loom in looms if loom)}",
            "A rigid heddle goes on a rigid-heddle loom, a reed on the others: give --reed.",
        )
    widest: tuple[float, Loom, Plan] | None = None
    wide_enough = []
    for loom in _with_shafts(plan, taking):
        fits = reed if reed and reed.fits(loom) else None
        tried = set_up_on(plan, loom, fits, reeds, stock)
        width_cm = reed_width_cm(tried, stock)
        if loom is None or width_cm <= loom.width_cm + ROUNDING_CM:
            wide_enough.append(tried)
        elif widest is None or loom.width_cm > widest[1].width_cm:
            widest = width_cm, loom, tried
    if wide_enough:
        # the first that has a reed for the sett, else the first
        return next((tried for tried in wide_enough if tried.reed), wide_enough[0])
    assert widest is not None
    raise _too_wide(*widest)


def _with_shafts(plan: Plan, looms: Sequence[Loom | None]) -> Sequence[Loom | None]:
    """The looms that lift its draft; a rigid heddle that she named all the same, for what it does
    not lift can be picked up.

    Raises ImpossibleValue where none does.
    """
    draft = drawn_draft(plan.weave)
    able = [loom for loom in looms if loom is None or shafts_lacking(draft, loom) is None]
    by_hand = [loom for loom in looms if loom and loom.kind == "rigid-heddle"]
    if able or (by_hand and plan.loom_asked):
        return able or by_hand
    others = [loom for loom in looms if loom and loom.kind != "rigid-heddle"]
    for loom in others[:1] if not by_hand else ():
        check_loom(draft, loom)
    few = len(draft.alike)
    raise ImpossibleValue(
        "the draft",
        "on any of your looms",
        f"it needs {few} shafts, and none of them has so many",
        f"Take another weave, or pick up by hand what two heddles do not lift: --loom"
        f" {quote(by_hand[0].name)}.",
    )


def set_up_on(
    plan: Plan, loom: Loom | None, reed: Reed | None, reeds: Sequence[Reed], stock: Stock
) -> Plan:
    """The plan on that loom with that reed, else with the best of `reeds`."""
    supplies = dict(stock.supplies)
    chosen = set_up(
        weave_name=plan.weave,
        purpose=plan.purpose,
        fulled=plan.wash == "fulled",
        warp=yarns_of(plan, "warp", supplies),
        weft=yarns_of(plan, "weft", supplies),
        wrapped=stock.wrapped,
        reeds=[one for one in reeds if one.fits(loom)],
        reed=reed,
        sett_asked=plan.sett_asked,
        picks_asked=plan.picks_asked,
    )
    return replace(
        plan,
        loom=loom,
        sett_per_cm=chosen.sett_per_cm,
        picks_per_cm=chosen.picks_per_cm,
        reed=chosen.reed,
        per_dent=chosen.per_dent,
    )


def suggested_sett(plan: Plan, stock: Stock) -> float | None:
    """Ends per cm that suit the yarn; None where neither wraps nor grist are known."""
    supplies = dict(stock.supplies)
    suggestion = suggested_for(
        plan.weave,
        plan.purpose,
        plan.wash == "fulled",
        yarns_of(plan, "warp", supplies),
        yarns_of(plan, "weft", supplies),
        stock.wrapped,
    )
    return suggestion.suggested_ends_per_cm if suggestion else None


def reed_width_cm(plan: Plan, stock: Stock) -> float:
    """How wide the warp stands in the reed, as settled for the size promise."""
    return ends_in_reed(plan, stock) / plan.sett_per_cm


def ends_in_reed(plan: Plan, stock: Stock) -> int:
    """Ends without floating selvedges, by hand or as settled for the size promise."""
    spreads = spreads_for(plan, stock)
    parts = len(yarn_groups(plan.warp)) + len(yarn_groups(plan.weft)) + 2
    level = size_level(plan, spreads, parts)
    return plan.ends or settled_ends(
        size_of(plan, spreads), spreads, plan.sett_per_cm, level, plan.end_step
    )


def _too_wide(width_cm: float, loom: Loom, plan: Plan) -> ImpossibleValue:
    """Refuse, and say the panels that would do."""
    reed_cm_per_cm = width_cm / plan.width_cm
    more_cm = PANEL_SEAMS_CM + 1 + 2 * plan.side_hem_cm  # of each panel; whole cm are offered
    edges_cm = PANEL_EDGES_CM + plan.end_step / plan.sett_per_cm
    room_cm = loom.width_cm - edges_cm - more_cm * reed_cm_per_cm
    fits_cm = math.floor(plan.width_cm * loom.width_cm / width_cm)
    one_piece = f" In one piece it may be about {say_cm(fits_cm)} wide." if fits_cm > 0 else ""
    hint = f"Use a wider loom, or plan a narrower cloth.{one_piece}"
    if room_cm > 0 and not plan.ends:
        panels = max(2, math.ceil(width_cm / room_cm))
        panel_cm = math.ceil(plan.width_cm / panels + PANEL_SEAMS_CM)
        hint = (
            f"Weave {panels} panels, each finished {say_cm(panel_cm)} wide (of which"
            f" {say_cm(PANEL_SEAMS_CM)} go into the seams), and sew them together:"
            f" --size {panel_cm}cmx… --pieces {panels * plan.pieces}.{one_piece}"
        )
    return ImpossibleValue(
        WIDTH,
        f"{say_cm(plan.width_cm)} on {loom.name}",
        f"it needs {say_cm(width_cm)} in the reed and the loom takes {say_cm(loom.width_cm)}",
        hint,
    )
