"""docs/life.md: its example is run; its options, factors, keys and constants are the real ones."""

import re
from pathlib import Path

import pytest

from cli.running import command, furnished
from docs.pages import LIFE, answered, examples, prepare
from farspun.cli.life import STAGES
from farspun.craft import slips
from farspun.craft.records import GROUPED_BY
from farspun.services import life, taught, used_yarn
from farspun.services.factors import FACTORS
from lives import LIFE as LINES
from lives import SAMPLE

PAGE = LIFE.read_text(encoding="utf-8")


def table(heading: str) -> list[list[str]]:
    """Rows of the first table below a heading or a sentence, cell by cell."""
    below = PAGE.partition(heading)[2]
    rows = re.findall(
        r"^\| (.*) \|$", below.partition("\n\n| ")[2].partition("\n\n")[0], re.MULTILINE
    )
    return [row.split(" | ") for row in rows[1:]]


def test_every_command_of_the_example_answers_what_is_written_below_it(tmp_path: Path) -> None:
    prepare(PAGE, tmp_path)
    shown = examples(PAGE)
    assert len(shown) == 8
    for example in shown:
        assert answered(example, tmp_path).output == example.shown, example.line


def test_every_option_is_explained_once() -> None:
    explained = [
        re.findall(r"--[a-z][\w-]*", row[0]) for row in table("## What to measure, and where")
    ]
    named = {option for row in explained for option in row} | {"--state", "--tare"}
    options = {
        option
        for name in ("sample", *STAGES)
        for one in command().commands["cloth"].commands[name].params
        for option in one.opts
        if option.startswith("--") and option != "--help"
    }
    assert named == options
    first = PAGE.partition("They come in this order")[0]
    assert set(re.findall(r"--[a-z][\w-]*", first)) == options


def test_every_factor_that_is_learned_is_shown_by_something() -> None:
    said = " ".join(row[0] for row in table("## What it shows"))
    names = said.replace("in length, in width", "in length shrinkage in width")
    assert all(FACTORS[factor] in names for factor in GROUPED_BY)


def test_every_key_of_the_lessons_is_on_the_page(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(*LINES, SAMPLE, "cloth finished Shawl --washed 41.4cmx15.66cm")
    found = desk.told("lessons")
    told = set(re.findall(r"`([a-z_]+)`", PAGE.partition("## Lessons as JSON")[2]))
    parts = [found, *found["factors"], *found["questions"]]
    parts += [
        one for factor in found["factors"] for one in (*factor["records"], *factor["beliefs"])
    ]
    parts += [part["habit"] for part in parts if "habit" in part]
    assert found["questions"]
    assert {key for part in parts for key in part} <= told
    shown = desk.told("cloth show Shawl")
    assert {"measured", "used_g", "shows", "picks_state"} <= told
    assert {"sample", "cloth"} == set(shown["measured"])


@pytest.mark.parametrize(
    ("constant", "value"),
    [
        ("asked about", f"{taught.ABSURD:g} spreads of the habit"),
        ("may grow", f"{100 * taught.GREW:g} %"),
        ("grist known well enough", f"{100 * taught.SURE_GRIST:g} %"),
        ("a slip explains it", f"within {slips.FITS:g} spreads of the habit"),
        ("how far a cloth is off its plan", f"{100 * slips.PLANNED_SD:g} %"),
        ("a warp far off the plan", f"{life.FAR_OFF_PLAN:g} times"),
        ("not worth a correction", f"{used_yarn.NOTHING_MORE_M:g} m of yarn"),
        (
            "the scale and the length disagree",
            f"{100 * used_yarn.FAR_OFF:g} %, and {used_yarn.FAR_OFF_G:g} g",
        ),
        ("more left than there was", f"{100 * used_yarn.MORE_THAN_THERE:g} %"),
    ],
)
def test_the_constants_of_the_page_are_the_ones_used(constant: str, value: str) -> None:
    rows = {row[0]: row[1] for row in table("## Where the constants come from")}
    assert rows[constant] == value
    assert len(rows) == 9
