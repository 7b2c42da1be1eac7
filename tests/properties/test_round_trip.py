"""What is exported comes back: byte for byte, and with the same answers."""

import sqlite3
from contextlib import closing

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from doings import (
    DOINGS,
    LIVED,
    NOTHING,
    PRELUDE,
    a_folder,
    do_all,
    exported,
    lines,
    seen,
    without_numbers,
)
from farspun.services.csv_cells import written_from
from farspun.services.document_readings import reading_written
from farspun.services.importing import import_file
from farspun.services.readings import readings
from farspun.services.undoing import undo
from farspun.store.engine import Stash
from farspun.units import length, mass, wraps
from properties.tried import tried
from stashes import measured

KINDS = ("weighed", "counted", "test length", "wrapped", "labelled")
UNITS = st.sampled_from(["g", "oz", "grains"])
NUMBERS = st.sampled_from(["112", "3.95", "0.50", "3 3/4", "1/4", "½", "2½", "7", "12.345"])


def through_json(doings: list) -> None:
    """Out and in again: the same bytes and answers; twice adds nothing; undone, nothing is left."""
    with a_folder() as folder:
        one, two = Stash(path=folder / "one.db"), Stash(path=folder / "two.db")
        do_all(one, doings)
        first = exported(one, "one.json")
        done = import_file(two, folder / "one.json")
        assert exported(two, "two.json") == first
        assert lines(two) == lines(one)
        assert without_numbers(seen(two)) == without_numbers(seen(one))
        if not done.anything:
            return
        again = import_file(two, folder / "one.json")
        assert not again.anything
        assert sum(map(len, again.passed_over.values())) == sum(done.new.values())
        undo(two)
        assert seen(two) == NOTHING
        assert b'"actions": []' in exported(two, "three.json")
        import_file(two, folder / "one.json")
        assert exported(two, "four.json") == first


def through_a_table(doings: list) -> None:
    """Out and in again: the same bytes; twice adds nothing."""
    with a_folder() as folder:
        one, two = Stash(path=folder / "one.db"), Stash(path=folder / "two.db")
        do_all(one, doings)
        first = exported(one, "one.csv")
        new = import_file(two, folder / "one.csv").new["skeins"]
        assert exported(two, "two.csv") == first
        assert import_file(two, folder / "one.csv").new == {"skeins": 0}
        assert len(lines(two)) == new


@tried(3)
@given(doings=DOINGS)
def test_everything_comes_back_from_json_and_goes_again_when_undone(doings):
    through_json([*PRELUDE, *doings])


@tried(2)
@given(at=st.integers(0, len(LIVED)), doings=DOINGS)
@example(at=len(LIVED), doings=[])
def test_a_woven_cloth_comes_back_from_json_with_all_that_was_told_of_it(at, doings):
    through_json([*PRELUDE, *LIVED[:at], *doings])


@tried(3)
@given(doings=DOINGS)
def test_skeins_come_back_from_a_table(doings):
    through_a_table([*PRELUDE, *doings])


def test_an_empty_stash_comes_back_from_both():
    through_json([])
    through_a_table([])


@pytest.mark.long
@tried(100)
@given(doings=DOINGS)
def test_a_hundred_stashes_come_back(doings):
    through_json([*PRELUDE, *doings])
    through_a_table([*PRELUDE, *doings])


@given(number=NUMBERS, unit=UNITS, tare=st.booleans(), long=NUMBERS)
def test_a_reading_is_written_so_that_it_reads_back_the_same(number, unit, tare, long):
    tare_said = f"{number} mg" if tare else "1 mg"
    given_once = measured(
        mass=f"{number} {unit}", tare=tare_said, length=f"{long} yd", state="relaxed",
        wpi=f"{long} wpi", label=f"{number} m/100g" if tare else "2/8 cotton",
        test_length=f"{long}m=4.3 {unit}",
    )  # fmt: skip
    found = readings(given_once, "wool")
    assert [one.kind for one in found] == list(KINDS)
    for one in found:
        state = one.values.get("state")
        back = reading_written(one.written, state, None, "wool")
        assert (back.kind, back.values, back.written) == (one.kind, one.values, one.written)


@given(
    mass_mg=st.integers(1, 10**7),
    power=st.integers(0, 7),
    length_mm=st.integers(1, 10**8),
    per_100m=st.integers(1, 787_402),
    millitex=st.integers(10, 10**9),
)
@example(mass_mg=1, power=0, length_mm=1, per_100m=787_402, millitex=10)
def test_whole_units_are_written_so_that_they_read_back_the_same(
    mass_mg, power, length_mm, per_100m, millitex
):
    weighed = written_from({"kind": "weighed", "mass_mg": mass_mg, "step_ug": 10**power})
    back = mass(weighed["mass"])
    assert round(back.value * 1000) == mass_mg
    if mass_mg * 1000 % 10**power == 0 and power <= 6:
        assert round(back.step * 1_000_000) == 10**power
    counted = {"kind": "counted", "length_mm": length_mm, "strands": None}
    assert round(length(written_from(counted)["length"]).value * 1000) == length_mm
    wrapped = written_from({"kind": "wrapped", "wraps_per_100m": per_100m})
    assert round(wraps(wrapped["wpi"]).value * 10_000) == per_100m
    [label] = readings(measured(**written_from({"kind": "labelled", "millitex": millitex})), "wool")
    assert label.values == {"millitex": millitex}


@tried(3)
@given(doings=DOINGS)
def test_an_older_stash_whose_readings_were_not_kept_as_written_comes_back_from_a_table(doings):
    with a_folder() as folder:
        one, two = Stash(path=folder / "one.db"), Stash(path=folder / "two.db")
        do_all(one, [*PRELUDE, *doings])
        with closing(sqlite3.connect(one.path)) as connection:
            connection.execute("DROP TRIGGER evidence_keeps_update")
            connection.execute("UPDATE evidence SET written = NULL")
            connection.execute("PRAGMA user_version = 0")
            connection.commit()
        first = exported(one, "one.csv")
        import_file(two, folder / "one.csv")
        assert exported(two, "two.csv") == first
        exported(one, "one.json")
        assert not import_file(one, folder / "one.json").anything
