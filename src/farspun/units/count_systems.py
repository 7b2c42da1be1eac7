"""The systems in which yarn is counted, and the words that name them."""

import re
from dataclasses import dataclass

from farspun.errors import UnreadableValue
from farspun.units.factors import (
    COTTON_YD_PER_LB,
    LINEN_LEA_YD_PER_LB,
    POUND_G,
    WOOLLEN_CUT_YD_PER_LB,
    WOOLLEN_RUN_YD_PER_LB,
    WORSTED_YD_PER_LB,
    YARD_M,
    Ratio,
)
from farspun.units.number import shown


@dataclass(frozen=True, slots=True)
class System:
    """`ratio`: tex of number one. Indirect: the higher the number, the finer the yarn."""

    label: str
    ratio: Ratio
    indirect: bool

    def says(self, amount: float) -> str:
        """The count in this system: "Ne 4", "16s worsted", "40 tex"."""
        return self.label.format(f"{amount:.6g}")

    def tex(self, top: int, bottom: int) -> float:
        """Tex of the count top/bottom."""
        one, of = self.ratio
        return one * bottom / (of * top) if self.indirect else one * top / (of * bottom)


def _hanks(label: str, yd_per_lb: int) -> System:
    """A count of so many yards per pound for number one."""
    tex = (1000 * POUND_G[0] * YARD_M[1], POUND_G[1] * YARD_M[0] * yd_per_lb)
    return System(label, tex, True)


TEX = System("{} tex", (1, 1), False)
DTEX = System("{} dtex", (1, 10), False)
DENIER = System("{} den", (1, 9), False)
METRIC = System("Nm {}", (1000, 1), True)
COTTON = _hanks("Ne {}", COTTON_YD_PER_LB)
WORSTED = _hanks("{}s worsted", WORSTED_YD_PER_LB)
LEA = _hanks("{} lea", LINEN_LEA_YD_PER_LB)
RUN = _hanks("{} run", WOOLLEN_RUN_YD_PER_LB)
CUT = _hanks("{} cut", WOOLLEN_CUT_YD_PER_LB)

SYSTEMS = {
    "tex": TEX,
    "dtex": DTEX,
    "decitex": DTEX,
    "den": DENIER,
    "denier": DENIER,
    "nm": METRIC,
    "metric": METRIC,
    "ne": COTTON,
    "nec": COTTON,
    "cc": COTTON,
    "lea": LEA,
    "leas": LEA,
    "run": RUN,
    "runs": RUN,
    "cut": CUT,
    "cuts": CUT,
}
# the systems usual for a fibre or a way of spinning; where there are several it is asked
FIBRES = {
    "cotton": (COTTON,),
    "worsted": (WORSTED,),
    "linen": (LEA,),
    "flax": (LEA,),
    "hemp": (LEA, METRIC),
    "silk": (COTTON, METRIC),
    "woollen": (RUN, CUT),
    "woolen": (RUN, CUT),
    "wool": (WORSTED, RUN, CUT),
}
_FOR_ANY_FIBRE = (TEX, DTEX, DENIER, METRIC)

# Blanco, Piece Goods Manual, 1917; which systems a wool, silk or hemp label may mean is from memory
_WOOLLEN = (
    "woollen counts of 256, 300 and 1600 yd/lb are all in use",
    "Write which is meant: “{0} run” (1600 yd/lb), “{0} cut” (300 yd/lb), or give yd/lb.",
)
_SEVERAL = {
    "woollen": _WOOLLEN,
    "woolen": _WOOLLEN,
    "wool": (
        "wool is counted as worsted, as Nm and in several woollen ways",
        "Write which is meant: “{0} worsted”, “Nm {0}”, “{0} run”, “{0} cut”, or give yd/lb.",
    ),
    "silk": (
        "silk is counted as Nm and as Ne",
        "Write which is meant: “Nm {0}”, “Ne {0}”, or give m/100g.",
    ),
    "hemp": (
        "hemp is counted as lea and as Nm",
        "Write which is meant: “{0} lea”, “Nm {0}”, or give m/100g.",
    ),
}
_NONE_NAMED = (
    "it does not say in which system",
    "Write “{0} cotton”, “{0} worsted”, “Nm {0}”, or give m/100g or yd/lb.",
)
_AT_ODDS = ("its words name two systems", "Keep one of them, or give m/100g or yd/lb.")


def system_of(words: list[str], plain: str, what: str) -> System:
    """The one system that the words of `plain` leave; raises UnreadableValue where it is asked.

    >>> system_of(["nm", "cotton"], "nm 8/2 cotton", "count").label
    'Nm {}'
    """
    named = {SYSTEMS[word] for word in words if word in SYSTEMS}
    usual = [FIBRES[word] for word in words if word in FIBRES]
    left = named or {system for systems in usual for system in systems}
    fitting = [
        system
        for system in left
        if (named and system in _FOR_ANY_FIBRE) or all(system in systems for systems in usual)
    ]
    if len(fitting) == 1 and len(named) < 2:
        return fitting[0]
    several = next((_SEVERAL[word] for word in words if word in _SEVERAL), _AT_ODDS)
    why, hint = (several if fitting and not named else _AT_ODDS) if words else _NONE_NAMED
    figures = re.search(r"[0-9][0-9./ ]*", plain)
    said = figures[0].strip() if figures else "16"
    raise UnreadableValue(what, shown(plain), why, hint.format(said))
