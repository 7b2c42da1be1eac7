"""A quick look at the timings in every test run: bounds that only a disaster breaks."""

from pathlib import Path

import pytest

from benchmarks.material import DRAWS, EVIDENCE
from benchmarks.timing import farspun, imports, loaded_by, measured, planned, seconds

# not pydantic: Typer itself reads it for the help of a command
HEAVY = ("numpy", "scipy", "pandas", "sqlmodel", "sqlalchemy", "rich", "faker", "PIL", "matplotlib")
RUNS = 2


@pytest.fixture(scope="module")
def stash(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned(tmp_path_factory.mktemp("planned"))


@pytest.mark.parametrize(
    "words",
    [
        *(("--help",), ("cloth", "--help"), ("cloth", "plan", "--help"), ("odds", "--help")),
        *(("picture", "--help"), ("picture", "cloth", "--help")),
    ],
)
def test_help_loads_nothing_heavy(words: tuple[str, ...]) -> None:
    assert loaded_by(*words).isdisjoint(HEAVY)


@pytest.mark.parametrize(
    "words",
    [("cloth", "check", "Shawl"), ("shortfalls",), ("reach", "Driftwood", "--size", "9cmx9cm")],
)
def test_a_check_loads_no_statistics_no_solver_and_no_tables(
    stash: Path, words: tuple[str, ...]
) -> None:
    loaded = loaded_by("--stash", str(stash), *words)
    assert "scipy.special" in loaded
    assert loaded.isdisjoint(
        {"scipy.stats", "scipy.optimize", "scipy.linalg.interpolative", "pandas"}
    )


def test_a_written_case_loads_no_database(tmp_path: Path) -> None:
    path = tmp_path / "case.json"
    skeins = '[{"skeins": [{"median_m": 500, "own_sd_ln": 0.03}]}]'
    path.write_text(
        '{"size": {"width_cm": 40, "length_cm": 160}, "ends_per_cm": 3, "picks_per_cm": 3,'
        f' "weft": {skeins}}}'
    )
    loaded = loaded_by("odds", str(path))
    assert loaded.isdisjoint({"sqlalchemy", "sqlmodel", "pandas", "scipy.stats", "scipy.optimize"})


def test_a_check_is_not_many_times_its_imports(tmp_path: Path, stash: Path) -> None:
    check = farspun("--stash", str(stash), "cloth", "check", "Shawl")
    reference = imports("typer, sqlmodel, numpy, scipy.special")
    own, other = (min(seconds(one, tmp_path) for _ in range(RUNS)) for one in (check, reference))
    assert own <= 4 * other


def test_evidence_and_draws_take_no_more_than_a_few_seconds() -> None:
    found = measured(EVIDENCE.format(skeins=20_000))
    assert found["known"] == 1.0
    assert found["effects"] > 50
    assert found["seconds"] < 2
    assert measured(DRAWS)["seconds"] < 1
