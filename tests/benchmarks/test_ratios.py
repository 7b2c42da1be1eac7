"""Timings as ratios, medians of eleven runs in turn: `sh tests/run bench`."""

from pathlib import Path

import pytest

from benchmarks.material import DRAWS, EVIDENCE
from benchmarks.timing import farspun, imports, many_skeins, measured, planned, timed

RUNS = 11
SKEINS = 1000

pytestmark = pytest.mark.bench


def test_help_costs_at_most_twice_what_typer_does(tmp_path: Path) -> None:
    found = timed("farspun --help", farspun("--help"), imports("typer"), tmp_path, RUNS)
    print("\n" + found.row(2.0))
    assert found.ratio <= 2.0


def test_a_thousand_skeins_are_listed_in_little_more_than_the_imports(tmp_path: Path) -> None:
    path = tmp_path / "stash.db"
    many_skeins(path, SKEINS)
    command = farspun("--stash", str(path), "skein", "list")
    found = timed("skein list, 1000", command, imports("typer, sqlmodel, numpy"), tmp_path, RUNS)
    print("\n" + found.row(1.7))
    assert found.ratio <= 1.7


def test_a_check_costs_little_more_than_the_imports(tmp_path: Path) -> None:
    command = farspun("--stash", str(planned(tmp_path)), "cloth", "check", "Shawl")
    reference = imports("typer, sqlmodel, numpy, scipy.special")
    found = timed("cloth check", command, reference, tmp_path, RUNS)
    print("\n" + found.row(1.5))
    assert found.ratio <= 1.5


def test_the_evidence_of_a_hundred_thousand_skeins_takes_under_a_second() -> None:
    runs = [measured(EVIDENCE.format(skeins=100_000)) for _ in range(3)]
    best = min(runs, key=lambda run: run["seconds"])
    print(
        f"\nevidence of 100 000 skeins: {best['seconds']:.2f} s, {best['peak_mb']:.0f} MB at most,"
        f" {best['effects']:.0f} shared causes (at most 1 s, 400 MB)"
    )
    assert best["known"] == 1.0
    assert best["seconds"] < 1.0
    assert best["peak_mb"] < 400


def test_draws_of_twenty_causes_take_at_most_fifty_milliseconds() -> None:
    best = min(measured(DRAWS)["seconds"] for _ in range(5))
    print(f"\ndraws of 20 causes: {best * 1000:.0f} ms (at most 50 ms)")
    assert best <= 0.050
