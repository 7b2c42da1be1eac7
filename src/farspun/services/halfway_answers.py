"""What the half-way check answers, as scripts read it and the screen says it."""

from dataclasses import dataclass, field

from farspun.services.halfway_ways import Way


@dataclass(frozen=True, slots=True)
class Two:
    """A value and its standard deviation."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Seen:
    """One weighing of a yarn: cm of tape woven, grams of all its skeins by then."""

    woven_cm: float
    mass_g: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the tape, and the 5, 50 and 95 in 100 points of what the ball will weigh there;
    below 0 what will be lacking."""

    woven_cm: float
    low_g: float
    middle_g: float
    high_g: float


@dataclass(frozen=True, slots=True)
class HalfwayYarn:
    """One weft yarn. `odds` that it lasts to the end; `reaches_cm` of tape at the promise.

    `left_g`, `left_m` at the end of the cloth, below 0 where it is short; `kept_g` of it is claimed
    by other cloths; `ways`: what can be done where it does not reach; `doubted`: the last weighing
    is so far from what was expected that it is likelier a slip.
    """

    skeins: list[str]
    odds: float
    verdict: str
    rate_g_per_cm: Two
    mass_g: float
    left_g: Two
    left_m: float | None
    reaches_cm: float
    kept_g: float
    weighings: list[Seen]
    marks: list[Mark] = field(default_factory=list)
    ways: list[Way] = field(default_factory=list)
    doubted: bool = False

    @property
    def held_back(self) -> bool:
        """Whether that it lasts rests on a weighing that is likely a slip."""
        return self.doubted and self.verdict == "reaches"


@dataclass(frozen=True, slots=True)
class HalfwayAnswer:
    """A cloth on the loom: `woven_cm` of `end_cm` of tape, and each of its wefts."""

    cloth: str
    woven_cm: float
    end_cm: float
    promise: float
    yarns: list[HalfwayYarn]
    remarks: list[str] = field(default_factory=list)
