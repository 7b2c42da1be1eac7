"""The set-up of a cloth: sett, reed and sleying, picks, from the yarn and what she owns."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from farspun.craft.drawn import drawn_weave
from farspun.craft.fibres import Draw, blend
from farspun.craft.plan import Reed
from farspun.craft.reed import Sleying, awkwardness, sleyings
from farspun.craft.sett import SettAnswer, WarpYarn, picks_per_cm, suggested_sett
from farspun.craft.weave import checked_purpose
from farspun.craft.yarn import Wrap
from farspun.errors import ImpossibleValue
from farspun.store.supplies import Supply

NEAR_ENOUGH = 0.025  # of an asked sett; judgement: less than a thread in forty


@dataclass(frozen=True, slots=True)
class SetUp:
    """Threads per cm as they will stand, the reed and how many ends go in its dents."""

    sett_per_cm: float
    picks_per_cm: float
    reed: Reed | None
    per_dent: tuple[int, ...] | None
    suggestion: SettAnswer | None


Side = Sequence[tuple[Supply, float]]  # skeins with their shares of a side


def set_up(
    weave_name: str,
    purpose: str,
    fulled: bool,
    warp: Side,
    weft: Side,
    wrapped: frozenset[int],
    reeds: Sequence[Reed],
    reed: Reed | None,
    sett_asked: float | None,
    picks_asked: float | None,
) -> SetUp:
    """Sett as asked or suggested, on the reed named or the best of `reeds`; picks to go with it.

    `wrapped`: ids of skeins with a reading of wraps. Raises ImpossibleValue where neither a sett
    nor wraps nor a grist is known.
    """
    ratio = _thickness_ratio(warp, weft)
    suggestion = suggested_for(weave_name, purpose, fulled, warp, weft, wrapped)
    wanted = sett_asked or (suggestion.suggested_ends_per_cm if suggestion else None)
    if wanted is None:
        raise ImpossibleValue(
            "the sett",
            "found",
            "neither wraps nor a grist of the warp is known",
            "Wrap the yarn (farspun skein measure NAME --wpi 15wpi), or give --sett.",
        )
    chosen, sleying = _reed_for(wanted, reeds, reed, asked=sett_asked is not None)
    sett = sleying.ends_per_cm if sleying else wanted
    if picks_asked is not None:
        picks = picks_asked
    elif purpose in ("weft-faced", "warp-faced") and suggestion:
        picks = suggestion.picks_per_cm
    else:
        drawn = drawn_weave(weave_name)
        picks = picks_per_cm(sett, sett, drawn, checked_purpose(purpose), fulled, ratio)
    return SetUp(sett, picks, chosen, sleying.per_dent if sleying else None, suggestion)


def suggested_for(
    weave_name: str, purpose: str, fulled: bool, warp: Side, weft: Side, wrapped: frozenset[int]
) -> SettAnswer | None:
    """What the warp's (else the weft's) wraps and grist suggest; None where neither is known."""
    ratio = _thickness_ratio(warp, weft)
    return _suggestion(warp or weft, wrapped, weave_name, purpose, fulled, ratio)


def _thickness_ratio(warp: Side, weft: Side) -> float:
    """The weft's wrapped diameter over the warp's; 1 where either is unknown."""
    warp_wraps, weft_wraps = _mean_wraps(warp), _mean_wraps(weft)
    return warp_wraps / weft_wraps if warp_wraps and weft_wraps else 1.0


def _mean_wraps(side: Side) -> float | None:
    """Wraps per cm of the yarns of a side laid in their order: their widths are averaged."""
    if not side or not all(supply.tex_known for supply, _ in side):
        return None
    return 1 / sum(share / supply.wraps_per_cm for supply, share in side)


def _suggestion(
    side: Side,
    wrapped: frozenset[int],
    weave_name: str,
    purpose: str,
    fulled: bool,
    ratio: float,
) -> SettAnswer | None:
    """What wraps and grist suggest; wraps count where one of the side's yarns was wrapped."""
    wraps = _mean_wraps(side)
    if wraps is None:
        return None
    main = max(side, key=lambda yarn: yarn[1])[0]
    yarn = WarpYarn(
        fibre=blend(main.blend),
        wraps_per_cm=(wraps,) if any(s.skein_id in wrapped for s, _ in side) else (),
        wrap=cast("Wrap | None", main.wrap),
        tex=sum(share * supply.tex for supply, share in side),
        mill=main.mill,
        draw=cast("Draw | None", main.draw),
    )
    return suggested_sett(yarn, drawn_weave(weave_name), purpose, fulled, ratio)


def _reed_for(
    wanted: float, reeds: Sequence[Reed], reed: Reed | None, asked: bool
) -> tuple[Reed | None, Sleying | None]:
    """The reed named with its best sleying, else the reed of which one comes near most simply.

    An asked sett is kept as it is where no reed comes within a fortieth of it.
    """
    offers = [
        (one, way)
        for one in ([reed] if reed is not None else reeds)
        for way in sleyings(wanted, one.dents_per_10cm, one.rigid_heddle)
    ]
    if not offers:
        return None, None
    # what only suits the yarn is met by all that is near enough; an asked sett is meant as it is
    alike = 0.0 if asked else NEAR_ENOUGH
    best, sleying = min(offers, key=lambda offer: awkwardness(offer[1], alike))
    if reed is None and asked and abs(sleying.off_fraction) > NEAR_ENOUGH:
        return None, None
    return best, sleying
