"""Warp and weft of a cloth as its geometry sees them: how close, how thick, how often waved."""

from dataclasses import dataclass, replace
from typing import Any

from farspun.craft.arrays import together
from farspun.craft.interlacement import Weave
from farspun.craft.limits import above_zero, between
from farspun.craft.yarn import MM_PER_CM

# numbers below are scalars or arrays of any shapes that go together
Numbers = Any


@dataclass(frozen=True, slots=True, eq=False)
class Threads:
    """Warp or weft: threads per cm of cloth, diameter in mm.

    `waved` is the share of its crossings at which a thread changes face, the mean of all threads.
    Raises: ImpossibleValue.

    >>> Threads(per_cm=4.0, diameter_mm=0.6).spacing_mm
    2.5
    """

    per_cm: Numbers
    diameter_mm: Numbers
    waved: Numbers = 1.0

    def __post_init__(self) -> None:
        above_zero("threads", self.per_cm, "per cm")
        above_zero("diameter", self.diameter_mm, "mm")
        between("share of waved crossings", above_zero("share", self.waved, ""), 0.0, 1.0)

    @property
    def spacing_mm(self) -> Numbers:
        """From the middle of one thread to the middle of the next, on average."""
        return MM_PER_CM / self.per_cm


@dataclass(frozen=True, slots=True, eq=False)
class Cloth:
    """Two systems of threads; `face_share` is the part of the upper face that is warp."""

    warp: Threads
    weft: Threads
    face_share: Numbers = 0.5

    def __post_init__(self) -> None:
        between("share of the face", self.face_share, 0.0, 1.0)

    @property
    def both_mm(self) -> Numbers:
        """D: both diameters together."""
        return self.warp.diameter_mm + self.weft.diameter_mm

    @property
    def systems(self) -> tuple[Threads, Threads]:
        """Warp and weft."""
        return self.warp, self.weft

    def swapped(self) -> "Cloth":
        """The same cloth turned by a right angle: warp for weft."""
        return Cloth(self.weft, self.warp, 1 - self.face_share)

    def set_at(self, ends_per_cm: Numbers, picks_per_cm: Numbers) -> "Cloth":
        """The same yarns and weave at another sett."""
        warp, weft = replace(self.warp, per_cm=ends_per_cm), replace(self.weft, per_cm=picks_per_cm)
        return replace(self, warp=warp, weft=weft)

    def as_arrays(self) -> "Cloth":
        """The same cloths, every number an array of their common shape."""
        warp, weft = self.warp, self.weft
        ends, end_mm, warp_waved, picks, pick_mm, weft_waved, share = together(
            *(warp.per_cm, warp.diameter_mm, warp.waved),
            *(weft.per_cm, weft.diameter_mm, weft.waved, self.face_share),
        )
        return Cloth(Threads(ends, end_mm, warp_waved), Threads(picks, pick_mm, weft_waved), share)

    def at(self, place: int) -> "Cloth":
        """One of the cloths of `as_arrays`, counted along all of them."""

        def one(threads: Threads) -> Threads:
            figures = (threads.per_cm, threads.diameter_mm, threads.waved)
            return Threads(*(float(figure.flat[place]) for figure in figures))

        return Cloth(one(self.warp), one(self.weft), float(self.face_share.flat[place]))


def cloth(
    weave: Weave,
    ends_per_cm: Numbers,
    picks_per_cm: Numbers,
    warp_diameter_mm: Numbers,
    weft_diameter_mm: Numbers,
) -> Cloth:
    """The cloth of a weave; for an array of weaves give `Threads` their shares.

    >>> from farspun.craft.weave import weave as weave_of
    >>> twill = cloth(weave_of("2/2 twill"), 6.0, 5.0, 0.6, 0.7)
    >>> twill.warp.waved, twill.weft.waved, round(twill.both_mm, 9)
    (0.5, 0.5, 1.3)
    """
    warp, weft = waved_shares(weave)
    return Cloth(
        Threads(ends_per_cm, warp_diameter_mm, warp),
        Threads(picks_per_cm, weft_diameter_mm, weft),
        weave.warp_face_share,
    )


def waved_shares(weave: Weave) -> tuple[float, float]:
    """(warp, weft): face changes over threads passed in a repeat, the mean of all ends or picks.

    >>> from farspun.craft.weave import weave as weave_of
    >>> waved_shares(weave_of("plain")), waved_shares(weave_of("warp rib 2/2"))
    ((1.0, 1.0), (0.5, 1.0))
    """
    return 1 / weave.warp_float, 1 / weave.weft_float
