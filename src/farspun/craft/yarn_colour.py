"""The colour of a yarn: its shades, how much of each, and how they lie along it."""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


class Lie(StrEnum):
    """How the shades of a yarn lie in it."""

    SOLID = "solid"
    HEATHER = "heather"  # fibres blended before spinning: one mixed shade from a step away
    MARL = "marl"  # plies of several shades: flecks a few millimetres long
    VARIEGATED = "variegated"  # stretches of several shades, in no told order
    GRADIENT = "gradient"  # from the first shade to the last, once over the whole yarn
    STRIPING = "striping"  # the told stretches one after another, again and again
    UNKNOWN = "unknown"  # no shade could be read


@dataclass(frozen=True)
class Shade:
    """One shade: the words it was told in and its sRGB values.

    `srgb`: red, green, blue, each 0–1, gamma-encoded (IEC 61966-2-1).
    `source`: "survey", "css", "memory" (fleece and dye words) or "given" (#rrggbb, L a b)."""

    name: str
    srgb: tuple[float, float, float]
    source: str

    @property
    def hex(self) -> str:
        """The shade as `#rrggbb`.

        >>> Shade("madder", (0.698, 0.2, 0.157), "memory").hex
        '#b23328'
        """
        return "#" + "".join(f"{round(255 * value):02x}" for value in self.srgb)


class Stretch(NamedTuple):  # made several times for each note: a tuple is quicker to make
    """A shade and its part of the yarn: `share` 0–1, all shares together 1;
    `length_m`: how long each stretch of it is along the yarn, if that was told."""

    shade: Shade
    share: float
    length_m: float | None = None


@dataclass(frozen=True, slots=True)
class YarnColour:
    """What a colour note says: the stretches in the order told, and what could not be read."""

    lie: Lie
    stretches: tuple[Stretch, ...]
    unknown_words: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def partly_read(self) -> bool:
        """Whether shades are known and words beside them are not: more colours may be meant.

        >>> told = (Stretch(Shade("rust", (0.6, 0.2, 0.0), "given"), 1.0),)
        >>> YarnColour(Lie.SOLID, told, ("wibble",)).partly_read
        True
        >>> YarnColour(Lie.SOLID, told, ("7",)).partly_read
        False
        """
        return bool(self.stretches) and any(
            len(word) > 2 and word.isalpha() for word in self.unknown_words
        )
