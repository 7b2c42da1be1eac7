"""Texts and documents that are nearly right, for tests of what reads them.

Texts are put together from the pieces that the grammars know, or are right ones with a piece put
in, taken out or written over. Documents are right ones with things left out, doubled, exchanged, or
of another kind.
"""

import copy
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from hypothesis import strategies as st

# close to what a person writes, so that much of it is read and the rest is nearly right
WRITTEN = """
0 1 2 8 16 30 150 3.5 .5 1/2 3/4 ½ ¾ 1e3 nan , . - + ± +- % / x × = : ( ) ' " ″ s
g kg mg oz lb m cm mm yd ft in wpi wpc epi ppi dpi ends/cm /cm /10cm /in m/100g yd/lb m/g
tex dtex den Nm Ne cotton worsted woollen wool linen silk lea run cut per ends wraps
percent of out
"""
WEAVES = "plain tabby twill S Z end satin basket warp weft rib herringbone point 2/2 x8 # ."
# what no person means, and some program writes
STRANGE = (
    *("\ufeff", "\0", ";", "\t", "\n", "\r\n", "\u2028", "\u202e", "\u200b", "\ud800", "🧶"),
    *("٣", "²", "⅓", "İ", "ß", "e\u0301", "“", "”", "−", "\\", "{", "}", "[", "]", "%s", "{0}"),
    *("inf", "Infinity", "-0", "1_000", "0x1F", "1e400", "9" * 400, "x" * 300, " " * 300),
    *("/" * 60, "|"),
)
PIECES = st.sampled_from((*WRITTEN.split(), *WEAVES.split(), *STRANGE))
GAPS = st.sampled_from(("", "", " ", "\u202f"))
PUT_TOGETHER = st.lists(st.tuples(PIECES, GAPS), max_size=10).map(
    lambda pairs: "".join(piece + gap for piece, gap in pairs)
)
JUNK: tuple[Any, ...] = (
    *(None, True, False, 0, 1, -1, 2, 7, 1000, 2**31, 2**63, -(2**63), 10**30, 10**400),
    *(0.0, -0.0, 0.5, 1.0, 1.5, 1e-300, 1e16, 1e308, float("nan"), float("inf"), -float("inf")),
    *("", " ", "0", "1", "wool", "plain", "S", "x" * 3000, "a\nb", "\0", "\ud800", "\u202e", "-a"),
    *([], {}, [[]], [{}], {"a": 1}, [1, 2], [None], ["1", "1"]),
)


@st.composite
def spoiled(draw: st.DrawFn, right: Sequence[str]) -> str:
    """One of the right texts, with up to three pieces put in, taken out or written over."""
    text = draw(st.sampled_from(right))
    for _ in range(draw(st.integers(0, 3))):
        start = draw(st.integers(0, len(text)))
        end = start + draw(st.sampled_from((0, 0, 1, 1, 2, 5, 40)))
        text = text[:start] + draw(st.one_of(st.just(""), PIECES, PIECES)) + text[end:]
    return text


def texts(right: Sequence[str]) -> st.SearchStrategy[str]:
    """Mostly nearly one of the right ones, sometimes anything."""
    nearly = spoiled(right)
    return st.one_of(nearly, nearly, nearly, PUT_TOGETHER, st.text(max_size=40))


def _places(thing: Any) -> Iterator[tuple[Any, Any]]:
    """Every (object or list, key or place in it)."""
    if isinstance(thing, dict | list):
        for key in list(thing) if isinstance(thing, dict) else range(len(thing)):
            yield thing, key
            yield from _places(thing[key])


def _other_value(draw: st.DrawFn, value: Any) -> Any:
    """A little other, or of another kind altogether."""
    junk = st.sampled_from(JUNK).map(copy.deepcopy)
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300:
        near = (value + 1, value - 1, -value, value * 10, float(value), str(value))
        far = (value * 1000, value * 10**6, value * 10**9, value / 1000)
        return draw(st.one_of(junk, st.sampled_from(near), st.sampled_from(far)))
    if isinstance(value, str):
        return draw(st.one_of(junk, spoiled([value]), texts([value, "plain", "wool", "112 g"])))
    return draw(junk)


@st.composite
def spoiled_documents(draw: st.DrawFn, right: Sequence[Any], most: int = 3) -> Any:
    """One of the right documents with up to `most` faults; often one that is not seen at once."""
    document = copy.deepcopy(draw(st.sampled_from(right)))
    for _ in range(draw(st.integers(1, most))):
        places = list(_places(document))
        if not places:
            break
        within, key = places[draw(st.integers(0, len(places) - 1))]
        how = draw(st.sampled_from(("other", "other", "other", "out", "twice", "swap", "more")))
        if how == "other":
            within[key] = _other_value(draw, within[key])
        elif how == "out":
            del within[key]
        elif how == "twice" and isinstance(within, list):
            within.insert(key, copy.deepcopy(within[key]))
        elif how == "swap":
            other, its_key = places[draw(st.integers(0, len(places) - 1))]
            within[key], other[its_key] = copy.deepcopy((other[its_key], within[key]))
        elif isinstance(within, dict):
            name = draw(st.sampled_from(("unknown", "id", "action", "skein", "name", "", "\0")))
            within[name] = copy.deepcopy(draw(st.sampled_from(JUNK)))
    return document


@st.composite
def spoiled_json(draw: st.DrawFn, right: Sequence[Any], most: int = 3) -> str:
    """A spoiled document as text, and then sometimes the text is spoiled as well."""
    document = draw(spoiled_documents(right, most))
    text = json.dumps(
        document, ensure_ascii=draw(st.booleans()), indent=draw(st.sampled_from((None, 1)))
    )
    how = draw(st.sampled_from(("whole",) * 7 + ("cut", "key twice", "piece", "deep", "deep")))
    at = draw(st.integers(0, len(text)))
    if how == "cut":
        return text[:at]
    if how == "key twice":
        return text.replace("{", '{"name": 1, "name": 2, ', 1)
    if how == "piece":
        return text[:at] + draw(PIECES) + text[at:]
    if how == "deep":
        depth = draw(st.sampled_from((20, 900, 5000, 200_000)))
        opening, closing = draw(st.sampled_from((("[", "]"), ('{"a":', "}"))))
        value = opening * depth + "1" + closing * depth
        place = text.find(":") + 1
        return text[:place] + value + "," + text[place:] if draw(st.booleans()) else value
    return text


def between(least: float, most: float) -> st.SearchStrategy[float]:
    """Both ends, and anything between, small as likely as large."""
    inside = st.floats(math.log(least), math.log(most)).map(math.exp)
    return st.one_of(st.sampled_from((least, most)), inside.map(lambda x: min(max(x, least), most)))


MEANS = {  # of a doubtful factor, by its kind
    "loss": st.sampled_from((-0.9, 0.0, 0.1, 0.5, 0.99)),
    "addition": st.sampled_from((-0.9, 0.0, 0.1, 10.0, 9e5)),
    "ratio": between(0.1, 9e5),
    "length": st.one_of(st.just(0.0), between(0.01, 9e5)),
}
FAR_LENGTHS = ("hem_cm", "side_hem_cm", "fringe_cm", "gap_cm", "sample_cm", "header_cm")
WHOLE = st.sampled_from((1, 2, 3, 150, 10_000))
SHARED_SD = st.sampled_from((0.0, 0.025, 5.0))


@st.composite
def far_fetched_cases(draw: st.DrawFn, kinds: Mapping[str, str]) -> dict[str, Any]:
    """A written case in which each value may stand, however far-fetched they are together; but
    there is at least a pick in it.

    `kinds`: of each doubtful factor.
    """
    size = {"width_cm": draw(between(0.1, 1e4)), "length_cm": draw(between(10, 1e6))}
    size |= draw(
        st.fixed_dictionaries(
            {"pieces": WHOLE},
            optional={
                "give": st.sampled_from((0.0, 0.05, 0.5)),
                "floating_selvedges": WHOLE,
                "size_promise": st.sampled_from((0.500001, 0.999)),
                **dict.fromkeys(FAR_LENGTHS, between(1e-3, 1e10)),
            },
        )
    )
    skein = st.fixed_dictionaries(
        {"median_m": between(1e-3, 1e8), "own_sd_ln": SHARED_SD, "shared_sd_ln": SHARED_SD}
    )
    sides = draw(st.sampled_from((("warp",), ("weft",), ("warp", "weft"))))
    yarns = draw(st.integers(1, 3))
    yarn = st.fixed_dictionaries(
        {"skeins": st.lists(skein, min_size=1, max_size=2), "share": st.just(1 / yarns)}
    )
    spreads = {}
    for name in draw(st.lists(st.sampled_from(sorted(kinds)), unique=True)):
        mean = draw(MEANS[kinds[name]])
        spreads[name] = [mean, draw(st.sampled_from((0.0, 0.01, abs(mean) / 2, abs(1 - mean))))]
    return {
        "size": size,
        "ends_per_cm": draw(between(1e-3, 1e3)),
        "picks_per_cm": draw(between(0.1, 1e3)),
        "promise": draw(st.sampled_from((0.500001, 0.95, 0.999))),
        "cut": draw(st.booleans()),
        "spreads": spreads,
        **{side: draw(st.lists(yarn, min_size=yarns, max_size=yarns)) for side in sides},
        **draw(
            st.fixed_dictionaries({}, optional={"ends": WHOLE, "warp_cut_cm": between(0.1, 1e10)})
        ),
    }
