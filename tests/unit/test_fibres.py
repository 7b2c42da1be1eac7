"""Fibres and blends: what is accepted, what is read back, what is refused."""

import pytest

from farspun.craft.breeds import BREEDS, breeds_in
from farspun.craft.fibres import ALIASES, FIBRES, blend, fibre
from farspun.errors import ImpossibleValue, NotFound, UnreadableValue


@pytest.mark.parametrize(
    ("name", "density", "regain"),
    [
        ("wool", 1.31, 0.136),
        ("silk", 1.34, 0.11),
        ("cotton", 1.52, 0.07),
        ("hemp", 1.48, 0.12),
        ("viscose", 1.49, 0.11),
        ("nylon", 1.14, 0.045),
        ("polyester", 1.39, 0.004),
        ("acrylic", 1.19, 0.015),
    ],
)
def test_a_fibre_has_the_density_and_regain_of_the_handbooks(
    name: str, density: float, regain: float
) -> None:
    found = fibre(name)
    assert (found.density_g_cm3, found.regain_fraction) == (density, regain)


def test_linen_lies_between_the_densities_printed_for_flax() -> None:
    assert 1.50 <= fibre("linen").density_g_cm3 <= 1.53


def test_every_fibre_says_where_its_figures_come_from() -> None:
    assert [one.name for one in FIBRES.values() if not one.source] == []


@pytest.mark.parametrize("alias", ALIASES)
def test_another_name_for_a_fibre_means_that_fibre(alias: str) -> None:
    assert blend(alias).said == ALIASES[alias]


def test_k_of_man_made_yarn_goes_by_the_root_of_its_density() -> None:
    cotton = fibre("cotton")
    for one in FIBRES.values():
        if one.family == "man-made":
            by_density = 0.92 * (one.density_g_cm3 / cotton.density_g_cm3) ** 0.5
            assert one.ashenhurst_k == pytest.approx(by_density, abs=0.006)


def test_a_fibre_not_known_is_refused_with_all_that_are() -> None:
    with pytest.raises(NotFound) as refused:
        blend("wol 80, silk 20")
    assert "“wol”" in refused.value.message
    assert "wool" in refused.value.nearest
    assert "Fibres known: wool, alpaca" in refused.value.hint


@pytest.mark.parametrize(
    "text",
    [
        "wool 80, silk 20",
        "wool 80% silk 20%",
        "80 wool 20 silk",
        "80 % wool, 20 % silk",
        "WOOL 80 / Silk 20",
        "80% wool and 20% silk",
        "wool 80;silk 20",
    ],
)
def test_a_blend_is_read_however_it_is_written(text: str) -> None:
    assert blend(text).parts == (("wool", 0.8), ("silk", 0.2))
    assert blend(text).said == "wool 80, silk 20"


def test_the_same_fibre_by_two_names_is_added_up() -> None:
    assert blend("merino 50, wool 30, silk 20").said == "wool 80, silk 20"
    assert blend("wool 50, merino 50").said == "wool"


def test_shares_a_little_off_a_hundred_are_taken_and_said_back_as_given() -> None:
    mixed = blend("wool 33, silk 33, flax 33")
    assert sum(share for _, share in mixed.parts) == pytest.approx(1)
    assert mixed.said == "wool 33, silk 33, linen 33"


@pytest.mark.parametrize("text", ["wool 80, silk 10", "wool 120", "wool 0, silk 100", "wool 98.9"])
def test_shares_that_do_not_make_a_hundred_are_refused(text: str) -> None:
    with pytest.raises(ImpossibleValue, match="shares must make 100"):
        blend(text)


@pytest.mark.parametrize(
    "text", ["", "80", "wool silk", "wool 80, silk", "80 20 wool silk", "wool = 80", "wool 66,7"]
)
def test_a_text_that_is_no_blend_is_refused_with_the_spelling(text: str) -> None:
    with pytest.raises(UnreadableValue) as refused:
        blend(text)
    assert "wool 80, silk 20" in refused.value.hint


def test_superwash_is_pointed_to_its_own_option() -> None:
    with pytest.raises(UnreadableValue) as refused:
        blend("superwash wool")
    assert "--superwash" in refused.value.hint


def test_the_family_is_the_one_with_the_most_in_all() -> None:
    mixed = blend("silk 40, wool 30, mohair 30")
    assert (mixed.main, mixed.family, mixed.elastic) == ("silk", "wool", True)
    assert not blend("cotton 60, wool 40").elastic


def test_of_equal_shares_the_first_named_is_the_main_one() -> None:
    assert blend("silk 50, wool 50").main == "silk"
    assert blend("silk 50, wool 50").family == "silk"


def test_densities_mix_by_volume_not_by_mass() -> None:
    grams = 100.0
    volume_cm3 = grams / 2 / 1.14 + grams / 2 / 1.52
    mixed = blend("nylon 50, cotton 50")
    assert mixed.density_g_cm3 == pytest.approx(grams / volume_cm3)


def test_regain_goes_by_mass() -> None:
    assert blend("wool 50, polyester 50").regain_fraction == pytest.approx(0.07)


@pytest.mark.parametrize("breed", BREEDS)
def test_a_breed_of_sheep_is_wool_however_it_is_joined(breed: str) -> None:
    for written in (breed, breed.title(), breed.replace(" ", "-"), breed.replace(" ", "")):
        assert blend(written).said == "wool"
        assert breeds_in(written) == [written]


def test_a_breed_takes_its_share_and_no_word_is_taken_for_a_breed_in_part() -> None:
    assert blend("Blue-faced Leicester 60, merino 20, silk 20").said == "wool 80, silk 20"
    for word in ("finnish", "bonded", "jacobs"):
        with pytest.raises(NotFound):
            blend(word)
