"""The colours of the yarns that are matched: what is wished of them, and how they stand together.

Notes are read only where they are asked for: those of the rows that are told, and with a wish each
different note of the stash once.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from shlex import quote
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from sqlalchemy import Connection, select

from farspun.craft.candidates import Floats, Ints
from farspun.craft.colour_difference import delta_e_2000
from farspun.craft.colour_notes import yarn_colour
from farspun.craft.colour_space import lab_from_srgb, srgb_from_light
from farspun.craft.cover import compact_diameter_mm, cover_fraction
from farspun.craft.optical_mix import (
    contrast_words,
    lightness_contrast,
    likeness_words,
    mean_lights,
    mean_srgb,
    mixed_srgb,
    nearest_name,
    warp_share,
)
from farspun.craft.yarn_colour import Shade
from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.services.factors import yarns_of
from farspun.services.match_question import Question
from farspun.services.stock import Stock
from farspun.store.skeins import named
from farspun.store.tables import skein
from farspun.units import say_percent

if TYPE_CHECKING:
    from farspun.services.match_rows import Table

NOT_READ = "not read in its note"
Contrast = Literal["most", "least"]
Srgb = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Target:
    """What a yarn is to be like: as it is called, and its shade from a step away."""

    name: str
    srgb: Srgb


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wished of the colours: the likest to `like`, the most or the least contrast."""

    like: Target | None = None
    contrast: Contrast | None = None

    def said(self) -> str:
        """As part of the rule of the order."""
        told = [f"the likest to {self.like.name} (in ΔE2000)"] if self.like else []
        told += [f"the {self.contrast} contrast (in L*)"] if self.contrast else []
        return "".join(f"; then {one}, to the whole number" for one in told)


def wish(connection: Connection, like: str | None, contrast: Contrast | None) -> Wish:
    """From what was typed: `like` a skein of the stash, else a colour.

    Raises: ImpossibleValue for a skein without a colour, UnreadableValue for what is neither.
    """
    return Wish(None if like is None else _target(connection, like), contrast)


def _target(connection: Connection, like: str) -> Target:
    found = named(connection, like)
    if found is None:
        srgb = mean_srgb(yarn_colour(like))
        if srgb is None:
            raise UnreadableValue(
                "colour",
                like[:60],
                "it is no skein of yours, and no colour word in it is known",
                "Name a skein, or a colour: slate, pale madder, #a0522d, lab 52 12 -8.",
            )
        return Target(like.strip(), srgb)
    srgb = mean_srgb(yarn_colour(found["colour"]))
    if srgb is None:
        raise ImpossibleValue(
            "--like",
            found["name"],
            "no colour of it is known",
            f"Note its colour: farspun skein change {quote(found['name'])} --colour …",
        )
    return Target(found["name"], srgb)


@dataclass(frozen=True, slots=True)
class Coloured:
    """The colours of all rows: `notes` the different ones of the stash; `other` the side that is
    there, from a step away, None where a shade of it is not known."""

    notes: Sequence[str | None]
    other: Srgb | None
    wish: Wish

    def said(self) -> str:
        """The wish as part of the rule of the order; what was read in part stands behind."""
        if self.wish == Wish() or not any(yarn_colour(one).partly_read for one in self.notes):
            return self.wish.said()
        return f"{self.wish.said()}; then those whose colour note was read whole"

    def wishes(self, note: Ints) -> list[Floats]:
        """What the order goes by, the least first, of rows with these notes; NaN: not known. Last
        whether a note was only read in part."""
        if self.wish == Wish():
            return []
        colours = [yarn_colour(one) for one in self.notes]
        light = mean_lights(colours)
        known = np.isfinite(light[:, 0])
        srgb = srgb_from_light(light[known]).clip(0.0, 1.0)
        found = []
        if self.wish.like is not None:
            apart = delta_e_2000(lab_from_srgb(self.wish.like.srgb), lab_from_srgb(srgb))
            found.append(_spread(apart, known)[note])
        if self.wish.contrast is not None:
            values = np.full(len(srgb), np.nan)
            if self.other is not None:
                values = np.abs(lightness_contrast(srgb, self.other))
            sign = -1.0 if self.wish.contrast == "most" else 1.0
            found.append(sign * _spread(values, known)[note])
        found.append(np.array([float(one.partly_read) for one in colours])[note])
        return found


def _spread(values: Floats, known: Any) -> Floats:
    """Values of the known ones among all; NaN for the others."""
    all_of_them = np.full(len(known), np.nan)
    all_of_them[known] = values
    return all_of_them


def coloured(q: Question, stock: Stock, notes: Sequence[str | None], wished: Wish) -> Coloured:
    """With the shade of the side that is there."""
    side = yarns_of(q.plan, q.known_side, dict(stock.supplies))
    ids = [one.skein_id for one, _ in side]
    rows = q.connection.execute(select(skein.c.id, skein.c.colour).where(skein.c.id.in_(ids)))
    note = {row.id: row.colour for row in rows}
    light = mean_lights([yarn_colour(note[one]) for one in ids])
    shares = np.array([share for _, share in side])
    mixed = shares @ light / shares.sum()
    known = bool(np.isfinite(mixed).all())
    return Coloured(notes, _three(srgb_from_light(mixed)) if known else None, wished)


def _three(srgb: Any) -> Srgb:
    red, green, blue = (float(one) for one in np.clip(srgb, 0.0, 1.0))
    return red, green, blue


@dataclass(frozen=True, slots=True)
class Seen:
    """A criterion of colour: its value, None where not known, and why."""

    name: str
    value: float | None
    why: str


def seen(t: "Table", row: int, other_name: str) -> Iterator[Seen]:
    """Contrast to the other side and likeness, of one row."""
    colours = t.colours
    note = colours.notes[int(t.note[row])]
    read = yarn_colour(note)
    own, other = mean_srgb(read), colours.other
    unread = f"; {NOT_READ}: {', '.join(read.unknown_words)}" if read.partly_read else ""
    like = colours.wish.like
    to = like.srgb if like is not None else other
    name = like.name if like is not None else other_name
    if own is None:
        why = f"its colour note tells no shade: “{note}”" if note else "no colour is noted"
        yield Seen("contrast", None, why)
        yield Seen("likeness", None, why)
        return
    unknown = f"of {other_name} no shade is known"
    if other is None:
        yield Seen("contrast", None, unknown)
    else:
        yield _contrast(t, row, own, other, other_name, unread)
    if to is None:
        yield Seen("likeness", None, unknown)
    else:
        apart = float(delta_e_2000(lab_from_srgb(own), lab_from_srgb(to)))
        words = likeness_words(apart)
        yield Seen("likeness", apart, f"ΔE2000 {apart:.1f} from {name}: {words}{unread}")


def _contrast(
    t: "Table", row: int, own: Srgb, other: Srgb, other_name: str, unread: str
) -> Seen:  # fmt: skip
    apart = float(lightness_contrast(own, other))
    step = f"{abs(apart):.0f} L* {'lighter' if apart >= 0 else 'darker'} than {other_name}"
    why = f"{step}: the weave {contrast_words(apart)}"
    share = _share_of_own(t, row)
    if share is not None:
        face = mixed_srgb(own, other, share)
        shade = Shade(nearest_name(face), _three(face), "given")
        why += (
            f"; from a step away the cloth is near {shade.name} ({shade.hex}),"
            f" {say_percent(round(share, 2))} of its face this yarn"
        )
    return Seen("contrast", apart, why + unread)


def _share_of_own(t: "Table", row: int) -> float | None:
    """How much of the upper face's yarn is the row's own; None where the set-up is not known."""
    bed, kind = t.looms.bed, t.c.kinds[int(t.c.kind[row])]
    sett, picks = float(t.found.sett_per_cm[row]), float(t.found.picks_per_cm[row])
    tex, known_mm = float(t.c.tex[row]), bed.known_compact_mm
    if not (sett > 0 and picks > 0 and tex > 0 and known_mm > 0):
        return None
    own_mm = float(compact_diameter_mm(tex, kind.blend))
    warp_mm, weft_mm = (own_mm, known_mm) if bed.side == "warp" else (known_mm, own_mm)
    covers = cover_fraction(sett, warp_mm), cover_fraction(picks, weft_mm)
    share = float(warp_share(*covers, bed.weave.warp_face_share))
    return share if bed.side == "warp" else 1 - share
