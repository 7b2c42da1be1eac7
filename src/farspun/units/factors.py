"""The only conversion factors, and the count systems turned into one another.

Exact by definition (international yard and pound agreement, 1959): 1 yd = 0.9144 m,
1 lb = 453.59237 g. Everything else follows: 1 in = yd/36, 1 ft = yd/3, 1 oz = lb/16.

Yards per pound of a number-one yarn (ASTM D2260-03(2013), Table 1):

=============  ======
cotton (Ne)       840
worsted           560
woollen run      1600
linen lea         300
woollen cut       300
=============  ======

Every conversion takes scalars or arrays of positive numbers and gives the same shape back.
"""

from typing import TYPE_CHECKING, TypeVar

from farspun.errors import ImpossibleValue

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Numbers = TypeVar("Numbers", float, "NDArray[np.float64]")
Ratio = tuple[int, int]

# exact, as whole-number ratios of the canonical unit (gram, metre)
POUND_G: Ratio = (45_359_237, 100_000)
OUNCE_G: Ratio = (45_359_237, 1_600_000)
GRAIN_G: Ratio = (45_359_237, 700_000_000)  # 7000 to the pound
YARD_M: Ratio = (9_144, 10_000)
FOOT_M: Ratio = (3_048, 10_000)
INCH_M: Ratio = (254, 10_000)

GRAMS_PER_POUND = POUND_G[0] / POUND_G[1]
GRAMS_PER_OUNCE = OUNCE_G[0] / OUNCE_G[1]
OUNCES_PER_POUND = 16
METRES_PER_YARD = YARD_M[0] / YARD_M[1]
METRES_PER_FOOT = FOOT_M[0] / FOOT_M[1]
METRES_PER_INCH = INCH_M[0] / INCH_M[1]
CM_PER_INCH = 2.54
MM_PER_INCH = 25.4
CM_PER_METRE = 100.0
GRAMS_PER_KG = 1000.0

# tex = g per 1000 m, so tex x (yd/lb) = 1000 x 453.59237 / 0.9144 = 496 054.65
TEX_YD_PER_LB = 1000 * POUND_G[0] * YARD_M[1] / (POUND_G[1] * YARD_M[0])
TEX_M_PER_100G = 100_000.0
TEX_NM = 1000.0
DTEX_PER_TEX = 10.0
DENIER_PER_TEX = 9.0

# yards per pound of number one: ASTM D2260-03(2013), Table 1
COTTON_YD_PER_LB = 840
WORSTED_YD_PER_LB = 560
WOOLLEN_RUN_YD_PER_LB = 1600
LINEN_LEA_YD_PER_LB = 300
WOOLLEN_CUT_YD_PER_LB = 300


def _positive(numbers: Numbers, what: str) -> Numbers:
    """The numbers, once it is known that each is more than 0 (NaN is not)."""
    good = numbers > 0
    if not (good.all() if hasattr(good, "all") else good):
        said = f"{numbers:g}" if isinstance(numbers, int | float) else "0, below 0 or unknown"
        raise ImpossibleValue(what, said, "more than 0")
    return numbers


def dtex_from_tex(tex: Numbers) -> Numbers:
    """Decitex (g per 10 km) of a linear density in tex.

    >>> dtex_from_tex(20.0)
    200.0
    """
    return _positive(tex, "tex") * DTEX_PER_TEX


def tex_from_dtex(dtex: Numbers) -> Numbers:
    """Tex of a linear density in decitex.

    >>> tex_from_dtex(200.0)
    20.0
    """
    return _positive(dtex, "dtex") / DTEX_PER_TEX


def denier_from_tex(tex: Numbers) -> Numbers:
    """Denier (g per 9 km) of a linear density in tex.

    >>> denier_from_tex(20.0)
    180.0
    """
    return _positive(tex, "tex") * DENIER_PER_TEX


def tex_from_denier(denier: Numbers) -> Numbers:
    """Tex of a linear density in denier.

    >>> tex_from_denier(180.0)
    20.0
    """
    return _positive(denier, "denier") / DENIER_PER_TEX


def nm_from_tex(tex: Numbers) -> Numbers:
    """Metric count Nm (metres per gram) of a linear density in tex.

    >>> nm_from_tex(20.0)
    50.0
    """
    return TEX_NM / _positive(tex, "tex")


def tex_from_nm(nm: Numbers) -> Numbers:
    """Tex of a metric count Nm (metres per gram).

    >>> tex_from_nm(50.0)
    20.0
    """
    return TEX_NM / _positive(nm, "Nm")


def m_per_100g_from_tex(tex: Numbers) -> Numbers:
    """Metres in 100 g of a yarn of `tex`.

    >>> m_per_100g_from_tex(250.0)
    400.0
    """
    return TEX_M_PER_100G / _positive(tex, "tex")


def tex_from_m_per_100g(m_per_100g: Numbers) -> Numbers:
    """Tex of a yarn with so many metres in 100 g.

    >>> tex_from_m_per_100g(400.0)
    250.0
    """
    return TEX_M_PER_100G / _positive(m_per_100g, "m per 100 g")


def yd_per_lb_from_tex(tex: Numbers) -> Numbers:
    """Yards in a pound of a yarn of `tex`.

    >>> round(yd_per_lb_from_tex(1.0), 2)
    496054.65
    """
    return TEX_YD_PER_LB / _positive(tex, "tex")


def tex_from_yd_per_lb(yd_per_lb: Numbers) -> Numbers:
    """Tex of a yarn with so many yards in a pound.

    >>> round(tex_from_yd_per_lb(1700.0), 2)
    291.8
    """
    return TEX_YD_PER_LB / _positive(yd_per_lb, "yd per lb")


def ne_cotton_from_tex(tex: Numbers) -> Numbers:
    """English cotton count Ne (hanks of 840 yd per lb) of a yarn of `tex`.

    >>> round(ne_cotton_from_tex(20.0), 1)
    29.5
    """
    return TEX_YD_PER_LB / COTTON_YD_PER_LB / _positive(tex, "tex")


def tex_from_ne_cotton(ne: Numbers) -> Numbers:
    """Tex of an English cotton count Ne (hanks of 840 yd per lb).

    >>> round(tex_from_ne_cotton(1.0), 3)
    590.541
    """
    return TEX_YD_PER_LB / COTTON_YD_PER_LB / _positive(ne, "Ne")


def worsted_from_tex(tex: Numbers) -> Numbers:
    """Worsted count (hanks of 560 yd per lb) of a yarn of `tex`.

    >>> round(worsted_from_tex(1.0), 3)
    885.812
    """
    return TEX_YD_PER_LB / WORSTED_YD_PER_LB / _positive(tex, "tex")


def tex_from_worsted(worsted: Numbers) -> Numbers:
    """Tex of a worsted count (hanks of 560 yd per lb).

    >>> round(tex_from_worsted(1.0), 3)
    885.812
    """
    return TEX_YD_PER_LB / WORSTED_YD_PER_LB / _positive(worsted, "worsted count")


def woollen_run_from_tex(tex: Numbers) -> Numbers:
    """Woollen run (lengths of 1600 yd per lb) of a yarn of `tex`.

    >>> round(woollen_run_from_tex(1.0), 3)
    310.034
    """
    return TEX_YD_PER_LB / WOOLLEN_RUN_YD_PER_LB / _positive(tex, "tex")


def tex_from_woollen_run(run: Numbers) -> Numbers:
    """Tex of a woollen run (lengths of 1600 yd per lb).

    >>> round(tex_from_woollen_run(1.0), 3)
    310.034
    """
    return TEX_YD_PER_LB / WOOLLEN_RUN_YD_PER_LB / _positive(run, "run")


def linen_lea_from_tex(tex: Numbers) -> Numbers:
    """Linen lea, and woollen cut (lengths of 300 yd per lb), of a yarn of `tex`.

    >>> round(linen_lea_from_tex(1.0), 3)
    1653.515
    """
    return TEX_YD_PER_LB / LINEN_LEA_YD_PER_LB / _positive(tex, "tex")


def tex_from_linen_lea(lea: Numbers) -> Numbers:
    """Tex of a linen lea or a woollen cut (lengths of 300 yd per lb).

    >>> round(tex_from_linen_lea(1.0), 3)
    1653.515
    """
    return TEX_YD_PER_LB / LINEN_LEA_YD_PER_LB / _positive(lea, "lea")


def all_counts(tex: Numbers) -> dict[str, Numbers]:
    """One linear density in every system, by the names of the JSON answers.

    >>> counts = all_counts(20.0)
    >>> counts["denier"], counts["nm"], counts["m_per_100g"]
    (180.0, 50.0, 5000.0)
    """
    return {
        "tex": tex,
        "dtex": dtex_from_tex(tex),
        "denier": denier_from_tex(tex),
        "nm": nm_from_tex(tex),
        "ne_cotton": ne_cotton_from_tex(tex),
        "worsted": worsted_from_tex(tex),
        "woollen_run": woollen_run_from_tex(tex),
        "linen_lea": linen_lea_from_tex(tex),
        "m_per_100g": m_per_100g_from_tex(tex),
        "yd_per_lb": yd_per_lb_from_tex(tex),
    }
