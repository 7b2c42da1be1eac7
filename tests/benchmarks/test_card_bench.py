"""Printing a card against what its imports alone take: `sh tests/run bench`."""

from pathlib import Path

import pytest

from benchmarks.timing import farspun, imports, planned, timed

RUNS = 11
REFERENCE = "typer, sqlmodel, numpy, scipy.special, typst"

pytestmark = pytest.mark.bench


def test_a_card_costs_little_more_than_the_imports(tmp_path: Path) -> None:
    out = str(tmp_path / "card.pdf")
    words = ("cloth", "card", "Shawl", "--out", out, "--force")
    command = farspun("--stash", str(planned(tmp_path)), *words)
    found = timed("cloth card", command, imports(REFERENCE), tmp_path, RUNS)
    print("\n" + found.row(1.5))
    assert found.ratio <= 1.5


def test_tags_cost_little_more_than_the_imports(tmp_path: Path) -> None:
    out = str(tmp_path / "tags.pdf")
    words = ("skein", "tag", "Driftwood", "Gorse 1", "--qr", "--out", out, "--force")
    command = farspun("--stash", str(planned(tmp_path)), *words)
    found = timed("skein tag, 2", command, imports(REFERENCE), tmp_path, RUNS)
    print("\n" + found.row(1.5))
    assert found.ratio <= 1.5
