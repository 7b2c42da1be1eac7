"""farspun demo: the invented stash, its four answers, and the walk through them."""

import os
import resource
import shlex
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from farspun.cli.app import app
from farspun.services import demo
from farspun.services.answers import Check
from farspun.services.cloths import check_cloths
from farspun.store.engine import Stash
from stashes import told

TIMES_THE_IMPORTS = 6.0  # processor time of the demo over that of its heavy imports
IMPORTS = "import typer, sqlmodel, numpy, scipy.special"
VERDICTS = {
    "Winter scarf": "reaches",
    "Table runner": "uncertain",
    "Collar": "falls short",
    "Lap rug": "falls short",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The folder for temporary files while these tests run."""
    place, before = tmp_path_factory.mktemp("demo"), tempfile.tempdir
    tempfile.tempdir = str(place)
    yield place
    tempfile.tempdir = before


@pytest.fixture(scope="module")
def shown(folder: Path) -> Result:
    """The demo, run once; the stash named in the surroundings is hers, and not there yet."""
    result = CliRunner().invoke(app, ["demo"], env={"FARSPUN_STASH": str(folder / "own.db")})
    assert result.exit_code == 0, result.output
    return result


@pytest.fixture(scope="module")
def place(shown: Result, folder: Path) -> Path:
    """The file the demo left behind."""
    (found,) = folder.glob("farspun-demo-*/stash.db")
    return found


def _with_mass(skein: str, mass: str) -> demo.Scenario:
    """The scenario with another mass for one skein."""
    data = deepcopy(dict(demo.scenario()))
    (one,) = (row for row in data["skein"] if row["name"] == skein)
    one["mass"] = mass
    return data


def _answers(place: Path) -> dict[str | None, Check]:
    return {check.cloth: check for check in check_cloths(Stash(path=place))}


def test_the_four_cloths_have_the_verdicts_the_walk_speaks_of(place: Path) -> None:
    assert {row["name"]: row["verdict"] for row in told(place, "cloth", "list")} == VERDICTS


def test_the_collar_would_reach_but_for_the_yarn_kept_for_the_scarf(
    place: Path, shown: Result
) -> None:
    without = demo.but_for(place, "Collar", "Winter scarf")
    assert _answers(place)["Collar"].verdict == "falls short"
    assert without.verdict == "reaches"
    assert "But for the yarn kept for Winter scarf, Collar would reach: over 99 in 100." in (
        shown.output
    )


def test_asking_what_would_be_leaves_the_stash_as_it_is(place: Path) -> None:
    before = told(place, "cloth", "check")
    demo.but_for(place, "Collar", "Winter scarf")
    assert told(place, "cloth", "check") == before


def test_another_mass_gives_other_odds_and_another_verdict(folder: Path, place: Path) -> None:
    heavier = _answers(demo.made(_with_mass("Harebell", "130 g")))["Collar"]
    before = _answers(place)["Collar"]
    assert (before.verdict, heavier.verdict) == ("falls short", "reaches")
    assert before.odds.weft is not None and heavier.odds.weft is not None
    assert heavier.odds.weft > before.odds.weft + 0.3


def test_the_stash_shows_every_kind_of_doubt(place: Path) -> None:
    skeins = {one["name"]: one for one in told(place, "skein", "list")}
    assert len(skeins) == len(demo.scenario()["skein"]) + 1 == 15  # one comes in the walk
    assert len({one["fibre"] for one in skeins.values()}) >= 8
    assert skeins["Lichen"]["conflict"] is not None
    assert skeins["Puddle"]["length_m"] is None and skeins["Puddle"]["mass_g"] is None
    assert any(one["mill"] for one in skeins.values())
    assert {one["state"] for one in demo.scenario()["skein"] if "state" in one} >= {
        "relaxed",
        "unwashed",
        "under-tension",
    }
    used = [name for name in skeins if "taken" in _whats(place, name)]
    assert len(used) >= 2


def _whats(place: Path, skein: str) -> set[str]:
    return {line["what"] for line in told(place, "skein", "history", skein)}


def test_there_are_two_looms_and_five_reeds_and_heddles(place: Path) -> None:
    assert len(told(place, "loom", "list")) == 2
    assert [reed["rigid_heddle"] for reed in told(place, "reed", "list")].count(True) == 3
    assert len(told(place, "reed", "list")) == 5


def test_the_cone_is_bought_again_and_handspun_is_spun(place: Path) -> None:
    ways = {one["yarn"]: set(one["get"]) for one in told(place, "shortfalls")}
    assert ways.pop("Cream cone") == {"buy"}
    assert set(ways) == {"Peat smoke", "Harebell", "Hearth + Lichen"}
    assert all(way == {"spin"} for way in ways.values())


def test_each_command_of_the_walk_answers_and_its_answer_is_shown(
    folder: Path, shown: Result
) -> None:
    place = demo.made(demo.scenario())
    for step in demo.scenario()["walk"]:
        for line in step["run"]:
            words = shlex.split(line.replace("\\\n", " "))
            assert words[0] == "farspun"
            answer = CliRunner().invoke(app, ["--stash", str(place), *words[1:]])
            assert answer.exit_code == 0, answer.output
            assert f"$ {line.strip()}\n{answer.output}" in shown.output


def test_her_own_stash_is_left_alone_and_the_file_is_named(
    folder: Path, shown: Result, place: Path
) -> None:
    assert not (folder / "own.db").exists()
    assert f"farspun --stash {shlex.quote(str(place))} skein list" in shown.output


def test_a_folder_that_cannot_be_written_is_said_in_plain_words(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(folder / "nowhere"))
    result = CliRunner().invoke(app, ["demo"])
    assert result.exit_code == 5
    assert result.stderr.splitlines()[1] == (
        "Name a folder you may write in: TMPDIR=FOLDER farspun demo"
    )


def test_the_data_of_the_demo_go_with_the_installed_package() -> None:
    top = Path(__file__).resolve().parents[2]
    tools = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))["tool"]
    taken = tools["setuptools"]["package-data"]
    package = top / "src" / "farspun"
    data = [one for one in package.rglob("*.*") if one.suffix not in (".py", ".pyc")]
    installed = {
        path
        for folder, patterns in taken.items()
        for pattern in patterns
        for path in package.parent.joinpath(*folder.split(".")).glob(pattern)
    }
    assert set(data) == installed and data


def test_typed_at_the_prompt_the_whole_walk_is_shown(folder: Path) -> None:
    """In a process of its own, where only the command that is named is built."""
    words = [sys.executable, "-m", "farspun", "demo"]
    own = os.environ | {"TMPDIR": str(folder)}
    ran = subprocess.run(words, check=False, capture_output=True, text=True, env=own)
    assert (ran.returncode, ran.stderr) == (0, "")
    for step in demo.scenario()["walk"]:
        for line in step["run"]:
            assert f"$ {line.strip()}" in ran.stdout
    assert "And now yours" in ran.stdout


def _processor_time(folder: Path, *words: str) -> float:
    """Seconds of processor time a command takes, as the least of three."""
    taken = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, *words],
            check=True,
            stdout=subprocess.DEVNULL,
            env=os.environ | {"TMPDIR": str(folder)},
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(taken)


@pytest.mark.bench
def test_the_demo_takes_little_longer_than_its_imports(folder: Path) -> None:
    ratio = _processor_time(folder, "-m", "farspun", "demo") / _processor_time(
        folder, "-c", IMPORTS
    )
    print(f"\nfarspun demo: {ratio:.1f} times its imports (at most {TIMES_THE_IMPORTS:g})")
    assert ratio <= TIMES_THE_IMPORTS
