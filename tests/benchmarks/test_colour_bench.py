"""Reading notes of colours by the hundred thousand, comparing colours, and `match` on notes."""

import random
import re
import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from benchmarks.test_match_bench import MATCH, RUNS, grown, ran
from farspun.craft.colour_difference import delta_e_2000
from farspun.craft.colour_notes import yarn_colour
from farspun.craft.colour_space import lab_from_srgb
from farspun.craft.colour_words import shades
from farspun.store.engine import Stash, writing

SEED = 20250301
MOST_S = 3.0  # for 100 000 different notes
WORDS_S = 0.3  # what finding the words of those takes on the machine that bound is for
COSINES_S = 0.015  # and ten cosines of 100 000 numbers; on a slower one in proportion
FORMS: tuple[Callable[[random.Random, str, str, str], str], ...] = (
    lambda draw, a, b, c: f"{draw.randint(5, 95)}% {a}, {draw.randint(5, 95)}% {b}",
    lambda draw, a, b, c: f"{a} with {b} flecks, a little {c}",
    lambda draw, a, b, c: f"{a} > {b} > {c}, each about {draw.randint(3, 40)} m",
    lambda draw, a, b, c: f"from {a} to {b}",
    lambda draw, a, b, c: f"mostly {a} and some {b}, rinsed, batch {draw.randint(1, 999)}",
)


def notes(number: int) -> list[str]:
    """So many different ones, of every name there is."""
    draw, names = random.Random(SEED), sorted(shades())
    shifts = ("", "", "", "", "light ", "dark ", "pale ")
    found: dict[str, None] = {}
    while len(found) < number:
        told = (draw.choice(shifts) + draw.choice(names) for _ in range(3))
        found[draw.choice(FORMS)(draw, *told)] = None
    return list(found)


def quickest(work: Callable[[], object]) -> float:
    """Seconds of the processor, the best of three."""
    took = []
    for _ in range(3):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return min(took)


def read_in_s(told: list[str]) -> float:
    """Seconds to read them, none of them read before."""
    yarn_colour("red, light blue")
    start = time.process_time()
    for note in told:
        yarn_colour(note)
    return time.process_time() - start


def test_two_thousand_notes_are_read_in_a_moment() -> None:
    assert read_in_s(notes(2000)) < 3  # a bound that only a disaster breaks


@pytest.mark.bench
def test_a_hundred_thousand_different_notes_take_under_three_seconds() -> None:
    told = notes(100_000)
    took = read_in_s(told)
    word = re.compile(r"\w+")
    alone = quickest(lambda: [word.findall(note) for note in told])
    most = MOST_S * max(1.0, alone / WORDS_S)
    print(f"\n100 000 notes: {took:.2f} s (at most {most:.2f} s; the words alone {alone:.2f} s)")
    assert took < most


@pytest.mark.bench
def test_one_colour_against_a_hundred_thousand_takes_under_50_ms() -> None:
    lab = lab_from_srgb(np.random.default_rng(np.random.PCG64(SEED)).random((100_000, 3)))
    took = quickest(lambda: [delta_e_2000(lab[0], lab) for _ in range(5)]) / 5
    column = lab[:, 1].copy()
    alone = quickest(lambda: [np.cos(column) for _ in range(10)])
    most = 0.05 * max(1.0, alone / COSINES_S)
    print(f"\none against 100 000: {1000 * took:.0f} ms (at most {1000 * most:.0f} ms)")
    assert took < most


def noted(path: Path, different: int) -> None:
    """Give every skein one of so many notes."""
    told, draw = notes(different), random.Random(SEED)
    with closing(sqlite3.connect(path)) as connection, connection:
        ids = [row[0] for row in connection.execute("SELECT id FROM skein")]
        rows = [(draw.choice(told), one) for one in ids]
        connection.executemany("UPDATE skein SET colour = ? WHERE id = ?", rows)
        # what was copied tells of doubts by readings of the first ones
        connection.execute("UPDATE estimate SET conflict = NULL")
        connection.execute("PRAGMA user_version = 0")  # it is sealed anew below
    with writing(Stash(path=path)):
        pass


@pytest.mark.bench
def test_notes_of_colours_do_not_make_a_match_on_a_hundred_thousand_slower(tmp_path: Path) -> None:
    bare, told = grown(tmp_path / "bare.db", 100_000), tmp_path / "told.db"
    noted(bare, 1)
    shutil.copy(bare, told)
    noted(told, 2000)
    wish = (*MATCH, "--like", "madder", "--contrast", "most")
    rounds = [[ran(bare, *MATCH), ran(told, *MATCH), ran(told, *wish)] for _ in range(RUNS + 1)]
    without, with_notes, wished = (
        min(one.processor_s for one in runs) for runs in zip(*rounds[1:], strict=True)
    )
    print(
        f"\nmatch on 100 000: {without:.2f} s with one note, {with_notes:.2f} s with 2000 different"
        f" ones, {wished:.2f} s by likeness and contrast"
    )
    assert with_notes < 1.1 * without
    assert wished < 1.5 * without
