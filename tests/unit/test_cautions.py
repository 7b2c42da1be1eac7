"""Which cloths are warned of."""

import pytest

from farspun.craft.cautions import FINISH, TEXTS, WET, WORDS, cautions
from farspun.craft.habits import WASHES


def codes(name: str, wash: str = "none", purpose: str = "everyday") -> list[str]:
    return [one.code for one in cautions(name, purpose, wash)]


@pytest.mark.parametrize("wash", WASHES)
def test_every_wash_is_told_and_all_with_water_warn_of_scalds(wash: str) -> None:
    assert FINISH[wash]
    assert ("scald" in codes("Shawl", wash)) == (wash != "none") == (wash in WET)


def test_the_scald_names_both_temperatures() -> None:
    (scald, local) = cautions("Shawl", "drape", "hot")
    assert scald.temperatures_c == (49.0, 60.0)
    assert local.code == "local"


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Pot holders, four", "heat"),
        ("baby's blanket", "child"),
        ("Children's coat", "child"),
        ("Sleepwear for Ada", "sleepwear"),
        ("Guitar strap", "load"),
        ("HAMMOCK", "load"),
    ],
)
def test_the_name_of_the_cloth_asks_for_its_caution(name: str, code: str) -> None:
    assert code in codes(name)


@pytest.mark.parametrize("name", ["Kidney red", "Beltane shawl", "Cottage curtain", "Ovenbird"])
def test_a_word_within_another_is_not_meant(name: str) -> None:
    assert codes(name) == []


def test_every_code_has_its_sentence() -> None:
    assert set(TEXTS) == {*WORDS, "scald", "local"}
