"""A cloth for pieces to be cut from it: the lay settles its length, and the plan follows."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.habits import NOT_SAID_LOOM, WASTE_CM
from farspun.craft.lay import (
    RAW_EDGE_CM,
    SEAM_CM,
    SELVEDGE_CM,
    Lay,
    Piece,
    cut_size_cm,
    panel_width_cm,
    panels_for,
)
from farspun.craft.plan import Plan
from farspun.errors import ImpossibleValue, WrongUse
from farspun.pictures.lay import lay_svg
from farspun.services.answers import Check
from farspun.services.checking import checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.cloths import claimed, planned_cloth, refuse_taken_cloth
from farspun.services.file_asked import ascii_safe, write_whole
from farspun.services.packing import MOST_TRIES, PAIRS_TRIED, laid_out
from farspun.services.planning import planned
from farspun.services.writing import doing
from farspun.store import cloths
from farspun.store.engine import Stash, reading
from farspun.units import CutPiece, name_key, say_cm, skein_name

CM_PER_M = 100
WIDEST_CM = 500.0  # judgement: wider than any hand loom
WIDTHS_TRIED = 30  # judgement
TRIAL_LENGTH_CM = 100.0  # how long hardly changes how wide a loom weaves
MOST_SIDE_CM = 10_000.0  # judgement: as any width


@dataclass(frozen=True, slots=True)
class CutAsked:
    """What is to be cut. `width_cm`: of the finished cloth, None where it is left to farspun.

    `free`: pieces of which nothing else is said may be turned; `nap`: none may; `panels`: those
    too wide are made of strips.
    """

    pieces: tuple[CutPiece, ...]
    width_cm: float | None = None
    seam_cm: float = SEAM_CM
    raw_edge_cm: float = RAW_EDGE_CM
    selvedge_cm: float = SELVEDGE_CM
    free: bool = False
    nap: bool = False
    panels: bool = False


@dataclass(frozen=True, slots=True)
class Cut:
    """The lay, the answer for the cloth it needs, and what it was before where it was there.

    `split`: pieces made of panels, in words; `stored`, `picture`: what was written.
    """

    lay: Lay
    asked: CutAsked
    check: Check
    before: Check | None
    split: list[str]
    stored: bool
    picture: str | None


def cut_cloth(
    stash: Stash,
    name: str,
    asked: ClothAsked,
    cut: CutAsked,
    out: Path | None = None,
    dry_run: bool = False,
) -> Cut:
    """Lay the pieces out, plan (or change) the cloth for them, and tell whether it will reach.

    Raises ImpossibleValue for pieces that no cloth of hers can hold, WrongUse; then nothing is
    stored or written.
    """
    _check(cut, out)
    if dry_run:
        with reading(stash) as connection:
            before = _there(connection, name, asked)
            plan, lay, split = _settled(connection, asked, cut, before)
            check = checked(connection, plan)
            was = None if before is None else checked(connection, before)
        _draw(lay, cut, name, out)
        return Cut(lay, cut, check, was, split, False, _shown(out))
    said = "; ".join(f"{one.name} {one.size.said} x{one.count}" for one in cut.pieces)
    with doing(stash, "cloth cut", f"{name.strip()}: {said}") as deed:
        before = _there(deed.connection, name, asked)
        was = None if before is None else checked(deed.connection, before)
        plan, lay, split = _settled(deed.connection, asked, cut, before)
        if before is None:
            tidy = skein_name(name, "cloth name")
            at = datetime.now(UTC).isoformat("T", "seconds")
            new = replace(plan, name=tidy, planned_at=at)
            check = claimed(deed, cloths.add_plan(deed.connection, deed.action_id, new))
        else:
            assert plan.id is not None
            cloths.replace_plan(deed.connection, deed.action_id, plan)
            check = checked(deed.connection, cloths.plans(deed.connection, [plan.id])[0])
        _draw(lay, cut, check.cloth or "", out)
        return Cut(lay, cut, check, was, split, True, _shown(out))


def _check(cut: CutAsked, out: Path | None) -> None:
    if not cut.pieces:
        raise WrongUse("No piece was named.", 'Give --piece "front 34cmx38cm x2" for each.')
    keys = [name_key(one.name) for one in cut.pieces]
    for at, key in enumerate(keys):
        if key in keys[:at]:
            raise WrongUse(
                f"Two pieces are called “{cut.pieces[at].name}”.",
                "Say how many behind the size: x2; or give each a name of its own.",
            )
    for one in cut.pieces:
        longest = max(one.size.width_m, one.size.length_m) * CM_PER_M
        if not longest <= MOST_SIDE_CM:
            raise ImpossibleValue(f"the piece “{one.name}”", one.size.said, "at most 100 m")
    if cut.nap and any(one.grain == "free" for one in cut.pieces):
        raise WrongUse(
            "A cloth with a nap lies one way, so no piece of it may be turned.",
            "Leave out --nap, or “free”.",
        )
    if out is not None and out.suffix.lower() != ".svg":
        raise WrongUse(
            f"The picture {ascii_safe(out)} would be of no known kind.", "Let it end in .svg."
        )


def _there(connection: Connection, name: str, asked: ClothAsked) -> Plan | None:
    """The cloth of that name; None where it is to be planned. Raises NotFound, WrongUse."""
    tidy = skein_name(name, "cloth name")
    if name_key(tidy) in {name_key(one) for one in cloths.cloth_names(connection)}:
        return planned_cloth(connection, tidy)
    if not asked.warp or not asked.weft:
        raise WrongUse(
            f"There is no cloth “{tidy}” yet, and a new one needs a warp and a weft.",
            "Give --warp SKEIN and --weft SKEIN; or name one that is planned: farspun cloth list",
        )
    refuse_taken_cloth(connection, tidy)
    return None


def _settled(
    connection: Connection, asked: ClothAsked, cut: CutAsked, before: Plan | None
) -> tuple[Plan, Lay, list[str]]:
    """The plan as long as the lay asks, the lay, and what was split into panels."""
    own_cm = cut.width_cm or (before.width_cm if before else None)
    widest_cm = _widest_cm(connection, asked, before)
    if own_cm is not None and widest_cm is not None and own_cm > widest_cm:
        raise ImpossibleValue(
            "the width",
            say_cm(own_cm),
            f"at most about {say_cm(math.floor(widest_cm))} can be woven on the looms there are",
            f"Give --width {math.floor(widest_cm)}cm; pieces too wide for it can be made of"
            " strips: --panels.",
        )
    most_cm = own_cm or widest_cm or WIDEST_CM
    pieces, split = _pieces(cut, most_cm, widest_cm)
    width_cm = own_cm or _best_width_cm(pieces, cut, most_cm)
    lay = laid_out(pieces, width_cm, cut.selvedge_cm, cut.nap)
    length_cm = math.ceil(lay.length_cm - 1e-6)
    counted = ", ".join(f"{piece.count} {piece.name}" for piece in pieces)
    said = f"{say_cm(width_cm)} wide, {say_cm(length_cm)} long, for {counted}"
    sized = replace(asked, width_cm=width_cm, length_cm=float(length_cm), size_said=said,
                    pieces=1, cut=True)  # fmt: skip
    return planned(connection, sized, before), lay, split


def _widest_cm(connection: Connection, asked: ClothAsked, before: Plan | None) -> float | None:
    """The widest finished cloth that a loom of hers (or the one she named) weaves, to the mm.

    None where no loom is known. What does not hang on the width is refused as by `planned`.
    """

    def fits(width_cm: float) -> Plan | None:
        trial = replace(asked, width_cm=width_cm, length_cm=TRIAL_LENGTH_CM, size_said="",
                        pieces=1, cut=True)  # fmt: skip
        try:
            return planned(connection, trial, before)
        except ImpossibleValue as refused:
            if refused.what != "the width":
                raise
            return None

    if fits(WIDEST_CM) is not None:
        return None
    low, high = 0.0, WIDEST_CM
    while high - low > 0.1:
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    if not low:  # it does not hang on the width: the ends are settled, and too many
        raise ImpossibleValue(
            "the number of ends",
            str(asked.ends or (before.ends if before else None)),
            "no loom of yours is wide enough for them",
            "Give --ends anew, or a closer --sett.",
        )
    return low


def _pieces(
    cut: CutAsked, most_cm: float, widest_cm: float | None
) -> tuple[list[Piece], list[str]]:
    """As they are cut, those too wide made of panels where she wants that, and which those are."""
    usable_cm = most_cm - 2 * cut.selvedge_cm
    made, split = [], []
    for one in cut.pieces:
        whole = _as_cut(one, cut, 1)
        if _goes(whole, usable_cm, cut.nap):
            made.append(whole)
            continue
        panels = panels_for(one.size.width_m * CM_PER_M, usable_cm, cut.seam_cm, cut.raw_edge_cm)
        if not cut.panels:
            raise _too_wide(one, whole, cut, panels, most_cm, widest_cm)
        made.append(_as_cut(one, cut, panels))
        split.append(f"{one.name}: {panels} strips of {say_cm(_panel_cm(one, panels))}, sewn")
    return made, split


def _goes(piece: Piece, usable_cm: float, nap: bool) -> bool:
    across = piece.width_cm
    if piece.turnable and not nap:
        across = min(across, piece.length_cm)
    return across <= usable_cm + 1e-6


def _panel_cm(one: CutPiece, panels: int) -> float:
    return panel_width_cm(one.size.width_m * CM_PER_M, panels)


def _as_cut(one: CutPiece, cut: CutAsked, panels: int) -> Piece:
    free = one.grain == "free" or (one.grain is None and cut.free)
    return Piece(
        name=one.name,
        width_cm=cut_size_cm(_panel_cm(one, panels), cut.seam_cm, cut.raw_edge_cm),
        length_cm=cut_size_cm(one.size.length_m * CM_PER_M, cut.seam_cm, cut.raw_edge_cm),
        count=one.count * panels,
        turnable=free and not cut.nap,
    )


def _too_wide(
    one: CutPiece,
    whole: Piece,
    cut: CutAsked,
    panels: int,
    most_cm: float,
    widest_cm: float | None,
) -> ImpossibleValue:
    """Say how wide it is, and the width or the panels that would do."""
    needed_cm = whole.width_cm + 2 * cut.selvedge_cm
    strip = f"{_panel_cm(one, panels):.4g}cmx{one.size.length_m * CM_PER_M:.4g}cm"
    text = quote(f"{one.name} {strip} x{panels * one.count}")
    hint = f"Make it of {panels} strips: --panels, or --piece {text}."
    if widest_cm is None or needed_cm <= widest_cm:
        hint = f"Give --width {math.ceil(needed_cm)}cm. Or: {hint[:1].lower()}{hint[1:]}"
    on = "the cloth is" if widest_cm is None or most_cm < widest_cm else "no loom of yours weaves"
    wide = say_cm(math.floor(10 * most_cm) / 10)
    limit = f"{on} {wide} wide" if on == "the cloth is" else f"{on} more than {wide}, washed"
    return ImpossibleValue(
        f"the piece “{one.name}”",
        f"{say_cm(one.size.width_m * CM_PER_M)} wide",
        f"with seams and selvedges it takes {say_cm(needed_cm)}, and {limit}",
        hint,
    )


def _best_width_cm(pieces: Sequence[Piece], cut: CutAsked, most_cm: float) -> float:
    """Of whole cm, the width at which the pieces take the least yarn, loom waste counted.

    Warp and weft are taken as alike: yarn goes with width × (2 length + waste).
    """
    together = sum(piece.count for piece in pieces)
    tries = max(2, min(MOST_TRIES, PAIRS_TRIED // together**2) // WIDTHS_TRIED)
    waste_cm = WASTE_CM[NOT_SAID_LOOM][0]

    def yarn(width_cm: float) -> float:
        lay = laid_out(pieces, width_cm, cut.selvedge_cm, cut.nap, tries)
        return width_cm * (2 * lay.length_cm + waste_cm)

    return min(_widths(pieces, cut, most_cm), key=yarn)


def _widths(pieces: Sequence[Piece], cut: CutAsked, most_cm: float) -> Iterator[float]:
    """From the widest piece to all side by side, or as wide as can be."""
    edges_cm = 2 * cut.selvedge_cm
    least = max(
        min(p.width_cm, p.length_cm) if p.turnable else p.width_cm for p in pieces
    ) + edges_cm  # fmt: skip
    most = min(most_cm, sum(p.count * max(p.width_cm, p.length_cm) for p in pieces) + edges_cm)
    low, high = math.ceil(least - 1e-6), math.floor(most + 1e-6)
    if high <= low:
        yield float(low) if low <= most_cm else most_cm
        return
    step = max(1, math.ceil((high - low) / WIDTHS_TRIED))
    yield from (float(width) for width in range(low, high + 1, step))


def _draw(lay: Lay, cut: CutAsked, name: str, out: Path | None) -> None:
    if out is not None:
        write_whole(out, lay_svg(lay, name, cut.seam_cm + cut.raw_edge_cm))


def _shown(out: Path | None) -> str | None:
    return None if out is None else ascii_safe(out)
