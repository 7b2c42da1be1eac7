"""Fibres, and what a yarn is spun from."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from farspun.craft.breeds import as_wool
from farspun.errors import FarspunError, ImpossibleValue, NotFound, UnreadableValue

Family = Literal["wool", "silk", "plant", "man-made"]
Draw = Literal["woollen", "semi", "worsted"]


@dataclass(frozen=True, slots=True)
class Fibre:
    """One fibre: density at 65 % relative humidity, commercial regain of its yarn, and K.

    `ashenhurst_k` gives diameters per inch as K·√(yd/lb); None where it depends on how the yarn
    was drawn. It is good to ± 3 %, whatever its second digit suggests.
    """

    name: str
    family: Family
    density_g_cm3: float
    regain_fraction: float
    ashenhurst_k: float | None
    source: str


_MH = "density: Morton and Hearle, Physical Properties of Textile Fibres, ch. 5"
_D1909 = "regain: ASTM D1909"
_MEMORY = "from memory"
_ASH = "K: Ashenhurst 1884, through later textbooks (Taylor has 0.95 for cotton)"
_BY_DENSITY = "K: cotton's 0.92 times the root of the densities' ratio, a judgement"

# fmt: off
FIBRES: dict[str, Fibre] = {
    fibre.name: fibre
    for fibre in (
        #     name         family      g/cm³  regain  K
        Fibre("wool",      "wool",     1.31,  0.136,  None, f"{_MH}; {_D1909}"),
        Fibre("alpaca",    "wool",     1.31,  0.136,  None, f"{_MEMORY}; {_D1909}"),
        Fibre("mohair",    "wool",     1.31,  0.13,   None, _MEMORY),
        Fibre("cashmere",  "wool",     1.31,  0.136,  None, f"as alpaca, {_MEMORY}"),
        Fibre("camel",     "wool",     1.31,  0.136,  None, f"as alpaca, {_MEMORY}"),
        Fibre("yak",       "wool",     1.31,  0.136,  None, f"as alpaca, {_MEMORY}"),
        Fibre("llama",     "wool",     1.31,  0.136,  None, f"as alpaca, {_MEMORY}"),
        Fibre("angora",    "wool",     1.16,  0.136,  None,
              f"density (hollow hair) {_MEMORY}; regain as alpaca, {_MEMORY}"),
        Fibre("silk",      "silk",     1.34,  0.11,   0.92, f"{_MH}; {_D1909}; {_ASH}"),
        Fibre("cotton",    "plant",    1.52,  0.07,   0.92,
              f"{_MH}; regain of yarn {_MEMORY} (raw 8.5 %, ASTM D1909); {_ASH}"),
        Fibre("linen",     "plant",    1.515, 0.0875, 0.92,
              f"{_MH} (1.50-1.53); regain of yarn {_MEMORY} (raw 12 %, ASTM D1909); {_ASH}"),
        Fibre("hemp",      "plant",    1.48,  0.12,   0.92, f"{_MEMORY}; K as linen"),
        Fibre("ramie",     "plant",    1.51,  0.078,  0.92, f"{_MEMORY}; K as linen"),
        Fibre("viscose",   "man-made", 1.49,  0.11,   0.91,
              f"{_MH}; regain {_MEMORY}; {_BY_DENSITY}"),
        Fibre("lyocell",   "man-made", 1.50,  0.11,   0.91, f"{_MEMORY}; {_BY_DENSITY}"),
        Fibre("nylon",     "man-made", 1.14,  0.045,  0.80, f"{_MH}; {_D1909}; {_BY_DENSITY}"),
        Fibre("polyester", "man-made", 1.39,  0.004,  0.88, f"{_MH}; {_D1909}; {_BY_DENSITY}"),
        Fibre("acrylic",   "man-made", 1.19,  0.015,  0.81, f"{_MH}; {_D1909}; {_BY_DENSITY}"),
    )
}
# fmt: on

ALIASES = {
    "merino": "wool",
    "lambswool": "wool",
    "flax": "linen",
    "bast": "linen",
    "nettle": "ramie",
    "rayon": "viscose",
    "bamboo": "viscose",
    "modal": "viscose",
    "polyamide": "nylon",
}

# K of wool yarn by its draw: Ashenhurst 1884 through later textbooks; "semi" is the middle of
# the other two, a judgement.
WOOL_K: dict[Draw, float] = {"woollen": 0.84, "semi": 0.87, "worsted": 0.90}


def fibre(name: str) -> Fibre:
    """The fibre of that name or alias, any case.

    Raises: NotFound, listing the fibres known.

    >>> fibre("Flax").name
    'linen'
    """
    key = " ".join(name.casefold().split())
    key = ALIASES.get(key, key)
    if key in FIBRES:
        return FIBRES[key]
    raise _no_such_fibre(name)


def _no_such_fibre(name: str) -> FarspunError:
    known = [*FIBRES, *ALIASES]
    error = NotFound(
        "fibre", name, known, "A preparation goes by its fibre, a breed not known here by wool."
    )
    error.hint += f" Fibres known: {', '.join(known)}."
    return error


@dataclass(frozen=True, slots=True)
class Blend:
    """What a yarn is spun from: (fibre, share of the mass) in the order given, shares adding to 1.

    `said` is the blend as read back; `blend(said)` gives it again.
    """

    parts: tuple[tuple[str, float], ...]
    said: str

    @property
    def density_g_cm3(self) -> float:
        """Density of the blend: shares are of mass, so the volumes add (harmonic mean).

        >>> round(blend("wool 50, cotton 50").density_g_cm3, 4)
        1.4072
        """
        return 1 / sum(share / FIBRES[name].density_g_cm3 for name, share in self.parts)

    @property
    def regain_fraction(self) -> float:
        """Commercial regain, by share of the mass."""
        return sum(share * FIBRES[name].regain_fraction for name, share in self.parts)

    @property
    def main(self) -> str:
        """The fibre with the largest share; of equal ones the first named."""
        return max(self.parts, key=lambda part: part[1])[0]

    @property
    def family(self) -> Family:
        """The family with the largest share in all; of equal ones the first named.

        >>> blend("silk 40, wool 30, mohair 30").family
        'wool'
        """
        shares: dict[Family, float] = {}
        for name, share in self.parts:
            kind = FIBRES[name].family
            shares[kind] = shares.get(kind, 0.0) + share
        return max(shares, key=lambda kind: shares[kind])

    @property
    def elastic(self) -> bool:
        """Whether the yarn gives and comes back as wool does."""
        return self.family == "wool"

    def ashenhurst_k(self, draw: Draw) -> float:
        """K in diameters per inch = K·√(yd/lb); volumes add, so 1/K² goes by share.

        >>> round(blend("wool 50, silk 50").ashenhurst_k("woollen"), 4)
        0.8773
        """
        by_share = (
            (FIBRES[name].ashenhurst_k or WOOL_K[draw], share) for name, share in self.parts
        )
        return float(sum(share / k**2 for k, share in by_share) ** -0.5)


_TOKEN = re.compile(r"(?P<share>[0-9]{1,3}(?:\.[0-9]{1,6})?)\s*%?|(?P<fibre>[^\W\d_]+)|[\s,;/&+]+")
_SPELLING = "Write it as: wool 80, silk 20."
SHARES_SLACK = 1.0  # per cent by which the shares may miss 100: they are rounded on labels


@lru_cache(maxsize=1024)
def blend(text: str) -> Blend:
    """Read "wool", "wool 80, silk 20", "80% wool 20% silk"; shares are of the mass. A breed of
    sheep is wool.

    Raises: UnreadableValue, NotFound for a fibre not known, ImpossibleValue when the shares do not
    make 100 ± 1.

    >>> blend("Wool 80% flax 20%")
    Blend(parts=(('wool', 0.8), ('linen', 0.2)), said='wool 80, linen 20')
    >>> blend("rayon").said
    'viscose'
    >>> blend("Border Leicester 70, silk 30").said
    'wool 70, silk 30'
    """
    fibres, shares = _read(as_wool(text))
    if len(fibres) == 1 and not shares:
        name = fibre(fibres[0]).name
        return Blend(((name, 1.0),), name)
    percents: dict[str, float] = {}
    for said, share in zip(fibres, shares, strict=True):
        name = fibre(said).name
        percents[name] = percents.get(name, 0.0) + share
    total = sum(percents.values())
    if not abs(total - 100) <= SHARES_SLACK or not min(percents.values()) > 0:
        raise ImpossibleValue("fibre", text.strip(), "the shares must make 100", _SPELLING)
    if len(percents) == 1:
        return Blend(((name, 1.0),), name)
    read_back = ", ".join(f"{name} {_plain(percent)}" for name, percent in percents.items())
    return Blend(tuple((name, percent / total) for name, percent in percents.items()), read_back)


def _read(text: str) -> tuple[list[str], list[float]]:
    """Fibre names and shares, one of each in turn; no share at all for a single fibre."""
    kinds, fibres, shares, at = "", [], [], 0
    while at < len(text):
        token = _TOKEN.match(text, at)
        if not token:
            raise UnreadableValue("fibre", text, f"“{text[at]}” has no meaning here", _SPELLING)
        at = token.end()
        if token["share"]:
            kinds += "s"
            shares.append(float(token["share"]))
        elif token["fibre"] and token["fibre"].casefold() != "and":
            kinds += "f"
            fibres.append(token["fibre"])
    if "superwash" in (said.casefold() for said in fibres):
        raise UnreadableValue(
            "fibre", text, "superwash is not a fibre", "Write wool, and --superwash beside it."
        )
    if kinds not in ("f", "fs" * len(shares), "sf" * len(shares)) or not fibres:
        why = "each fibre needs its share" if fibres else "no fibre is named"
        raise UnreadableValue("fibre", text, why, _SPELLING)
    return fibres, shares


def _plain(percent: float) -> str:
    return str(int(percent)) if percent.is_integer() else repr(percent)
