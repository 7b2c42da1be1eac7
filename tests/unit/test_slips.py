"""The likely slip behind a figure that cannot be: found where one mends it, else none is named."""

import math

import pytest

from farspun.craft.slips import FITS, likely_slip
from farspun.craft.woven import Meant, Told, shown_factors
from farspun.units import CM_PER_INCH

USUAL = {  # middle and spread of each factor, in ln of what is kept
    "waste_cm": (50.0, 0.16),
    "let_off": (0.04, 0.026),
    "take_up": (0.09, 0.033),
    "draw_in": (0.065, 0.027),
    "shrink_length": (0.1, 0.056),
    "shrink_width": (0.1, 0.056),
    "beat": (1.0, 0.08),
}
MEANT = Meant(picks_per_cm=3.0)
WELL = Told(
    warp_cm=250.0, thrums_cm=52.0, reed_cm=50.0, off_width_cm=46.75, off_length_cm=180.2,
    tape_cm=187.7, washed_width_cm=42.0, washed_length_cm=162.0, picks_per_cm=3.05,
    picks_state="rested",
)  # fmt: skip
PLANNED = {"off_length_cm": 180.0, "washed_length_cm": 160.0, "washed_width_cm": 40.0}
LENGTHS = [
    *("thrums_cm", "reed_cm", "tape_cm", "off_width_cm", "off_length_cm"),
    *("washed_width_cm", "washed_length_cm"),
]


def off(told: Told) -> dict[str, float]:
    """Spreads off, as the services work it out."""
    found = {}
    for factor, observed in shown_factors(told, MEANT).items():
        middle, sd = USUAL[factor]
        kept = (
            (1 - observed, 1 - middle) if factor not in ("waste_cm", "beat") else (observed, middle)
        )
        found[factor] = math.log(kept[0] / kept[1]) / sd
    return found


def with_times(name: str, times: float) -> Told:
    return WELL.corrected(Told(**{name: getattr(WELL, name) * times}))


def odd(told: Told) -> list[str]:
    return [factor for factor, spreads in off(told).items() if abs(spreads) > 5]


def test_nothing_is_odd_of_what_is_well() -> None:
    assert odd(WELL) == []
    assert max(map(abs, off(WELL).values())) < FITS


@pytest.mark.parametrize("name", [*LENGTHS, "picks_per_cm"])
@pytest.mark.parametrize("times", [10.0, 0.1])
def test_a_decimal_point_that_slipped_is_found(name: str, times: float) -> None:
    told = with_times(name, times)
    found = [likely_slip(told, factor, off, odd(told), PLANNED) for factor in odd(told)]
    assert found
    for slip in found:
        assert slip is not None
        assert (slip.field, slip.kind) == (name, "decimal point")
        assert getattr(slip.told, name) == pytest.approx(getattr(WELL, name))


@pytest.mark.parametrize("name", ["tape_cm", "reed_cm", "thrums_cm"])
@pytest.mark.parametrize(
    ("times", "kind"), [(1 / CM_PER_INCH, "inches"), (CM_PER_INCH, "centimetres")]
)
def test_a_length_in_the_other_system_is_found(name: str, times: float, kind: str) -> None:
    told = with_times(name, times)
    slip = likely_slip(told, odd(told)[0], off, odd(told), PLANNED)
    assert slip is not None
    assert (slip.field, slip.kind) == (name, kind)


@pytest.mark.parametrize("size", ["off", "washed"])
def test_a_whole_size_in_inches_or_exchanged_is_found(size: str) -> None:
    names = f"{size}_width_cm", f"{size}_length_cm"
    wide, long = (getattr(WELL, name) for name in names)
    for made, kind in (
        ((wide / CM_PER_INCH, long / CM_PER_INCH), "inches"),
        ((long, wide), "exchanged"),
    ):
        told = WELL.corrected(Told(**dict(zip(names, made, strict=True))))
        for factor in odd(told):
            slip = likely_slip(told, factor, off, odd(told), PLANNED)
            assert slip is not None
            assert slip.kind == kind
            assert slip.field in names
            assert [getattr(slip.told, name) for name in names] == pytest.approx([wide, long])


def test_picks_per_inch_are_told_from_picks_per_cm() -> None:
    for times, kind in ((CM_PER_INCH, "inches"), (1 / CM_PER_INCH, "centimetres")):
        slip = likely_slip(with_times("picks_per_cm", times), "beat", off, ["beat"])
        assert slip is not None
        assert (slip.field, slip.kind) == ("picks_per_cm", kind)


def test_where_no_single_slip_makes_it_fit_none_is_named() -> None:
    told = with_times("washed_length_cm", 0.5)
    assert odd(told) == ["shrink_length"]
    assert likely_slip(told, "shrink_length", off, odd(told), PLANNED) is None


def test_the_slip_that_mends_more_is_the_likelier() -> None:
    """Either width could be wrong for the shrinkage; only one of them explains the draw-in too."""
    told = Told(reed_cm=12.0, off_width_cm=112.0, washed_width_cm=10.1)
    assert set(odd(told)) == {"draw_in", "shrink_width"}
    slip = likely_slip(told, "shrink_width", off, odd(told))
    assert slip is not None
    assert slip.field == "off_width_cm"


def test_the_plan_tells_which_of_two_lengths_is_wrong() -> None:
    for told_cm, name in (((1800.0, 162.0), "off_length_cm"), ((180.0, 16.2), "washed_length_cm")):
        told = Told(off_length_cm=told_cm[0], washed_length_cm=told_cm[1])
        slip = likely_slip(told, "shrink_length", off, ["shrink_length"], PLANNED)
        assert slip is not None
        assert slip.field == name
