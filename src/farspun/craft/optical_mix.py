"""What the eye sees from a step away: light of several shades added up, and how far warp and weft
stand apart.

From about a metre single threads are no longer told apart, and their light adds up. It adds where
it is linear, by the share of the plane that each covers, and not in sRGB, which would come out too
dark. Shares by the flat picture of craft/cover.py: threads as bands, one over the other where they
cross; how a yarn bulges, shines or lets light through is left out.
"""

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from farspun.craft.arrays import Array, in_kind, together
from farspun.craft.colour_difference import delta_e_2000
from farspun.craft.colour_space import lab_from_srgb, light_from_srgb, srgb_from_light
from farspun.craft.limits import between
from farspun.craft.yarn_colour import Shade, YarnColour

Contrast = Literal["vanishes", "is subtle", "shows"]
Likeness = Literal["the same to the eye", "close", "akin", "another colour"]
# name: value       unit      source
SUBTLE = 5.0  #     of L*     judgement: a step of grey that is seen where two patches touch
SHOWS = 20.0  #     of L*     judgement: a step that is seen across a room
SAME = 1.0  #       ΔE2000    common practice, no source: about what is just told apart
CLOSE = 3.0  #      ΔE2000    common practice, no source: told apart side by side
AKIN = 10.0  #      ΔE2000    judgement: the same word would do for both


def mean_lights(yarns: Sequence[YarnColour]) -> Array:
    """Linear light of yarns from a step away, (yarns, 3): each one's shades by their shares.

    NaN where no shade of a yarn is known.

    >>> from farspun.craft.colour_notes import yarn_colour
    >>> mean_lights([yarn_colour("black, white"), yarn_colour("undyed")]).tolist()
    [[0.5, 0.5, 0.5], [nan, nan, nan]]
    """
    told = [(at, one) for at, yarn in enumerate(yarns) for one in yarn.stretches]
    mixed = np.full((len(yarns), 3), np.nan)
    if told:
        at = np.array([place for place, _ in told])
        shares = np.array([one.share for _, one in told])
        mixed[at] = 0.0
        np.add.at(mixed, at, shares[:, None] * light_from_srgb([one.shade.srgb for _, one in told]))
    return mixed


def mean_srgb(yarn: YarnColour) -> tuple[float, float, float] | None:
    """The shade of a yarn from a step away: its shades by their shares, in linear light.

    None where no shade of it is known.

    >>> from farspun.craft.colour_notes import yarn_colour
    >>> [round(one, 3) for one in mean_srgb(yarn_colour("black, white"))]
    [0.735, 0.735, 0.735]
    """
    if not yarn.stretches:
        return None
    red, green, blue = (float(one) for one in srgb_from_light(mean_lights([yarn])[0]))
    return red, green, blue


def mean_hex(yarn: YarnColour) -> str | None:
    """`mean_srgb` as `#rrggbb`; None where no shade is known.

    >>> from farspun.craft.colour_notes import yarn_colour
    >>> mean_hex(yarn_colour("#336699")), mean_hex(yarn_colour(None))
    ('#336699', None)
    """
    srgb = mean_srgb(yarn)
    return None if srgb is None else Shade("", srgb, "given").hex


def warp_share(warp_cover: Any, weft_cover: Any, warp_on_top: Any) -> Any:
    """Share of a face's yarn that is warp, scalar or array.

    Covers are fractions of the plane; `warp_on_top` the share of crossings where the warp lies on
    that face (a weave's `warp_face_share`; 1 less that on the back). Warp is seen between the
    picks, and at its share of the crossings. Raises: ImpossibleValue. Source: arithmetic.

    >>> warp_share(0.5, 0.5, 0.5), round(warp_share(0.6, 0.3, 0.5), 9)
    (0.5, 0.708333333)
    """
    warp, weft, top = together(
        between("cover of the warp", warp_cover, 0.0, 1.0),
        between("cover of the weft", weft_cover, 0.0, 1.0),
        between("share of the face", warp_on_top, 0.0, 1.0),
    )
    both = warp * weft
    seen = warp - both + top * both
    return in_kind(np.asarray(seen / (warp + weft - both)))


def mixed_srgb(warp_srgb: Any, weft_srgb: Any, share_of_warp: Any) -> Array:
    """The shade of a face from a step away, (…, 3): warp and weft in linear light.

    Raises: ImpossibleValue. Source: light adds up.

    >>> mixed_srgb([1.0, 1.0, 1.0], [0.0, 0.0, 0.0], 0.5).round(3).tolist()
    [0.735, 0.735, 0.735]
    """
    share = np.asarray(between("share of the warp", share_of_warp, 0.0, 1.0))[..., None]
    light = share * light_from_srgb(warp_srgb) + (1 - share) * light_from_srgb(weft_srgb)
    return srgb_from_light(light)


def lightness_contrast(one_srgb: Any, other_srgb: Any) -> Any:
    """How much lighter the first is than the second, of L*: -100 to 100.

    >>> round(lightness_contrast([1.0, 1.0, 1.0], [0.0, 0.0, 0.0]), 6)
    100.0
    """
    apart = lab_from_srgb(one_srgb)[..., 0] - lab_from_srgb(other_srgb)[..., 0]
    return in_kind(np.asarray(apart))


def contrast_words(lightness_apart: float) -> Contrast:
    """What a step of L* between warp and weft does to the weave.

    >>> contrast_words(-30.0), contrast_words(12.0), contrast_words(2.0)
    ('shows', 'is subtle', 'vanishes')
    """
    step = abs(lightness_apart)
    return "shows" if step >= SHOWS else "is subtle" if step >= SUBTLE else "vanishes"


def likeness_words(delta_e: float) -> Likeness:
    """How alike two shades are, by their CIEDE2000.

    >>> likeness_words(0.5), likeness_words(2.0), likeness_words(8.0), likeness_words(40.0)
    ('the same to the eye', 'close', 'akin', 'another colour')
    """
    if delta_e < SAME:
        return "the same to the eye"
    return "close" if delta_e < CLOSE else "akin" if delta_e < AKIN else "another colour"


def nearest_name(srgb: Any) -> str:
    """The colour word whose shade is nearest by CIEDE2000.

    >>> nearest_name([0.0, 0.0, 0.0])
    'black'
    """
    from farspun.craft.colour_words import shades

    named = list(shades().values())
    labs = lab_from_srgb([shade.srgb for shade in named])
    return named[int(np.argmin(delta_e_2000(lab_from_srgb(srgb), labs)))].name
