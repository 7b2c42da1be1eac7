"""docs/halfway.md: its example is run; its options and constants are the real ones."""

import re
from pathlib import Path

from cli.running import command
from docs.pages import HALFWAY, answered, examples, prepare
from farspun.craft import halfway
from farspun.services import halfway as service
from farspun.services import halfway_ways

PAGE = HALFWAY.read_text(encoding="utf-8")


def test_every_command_of_the_example_answers_what_is_written_below_it(tmp_path: Path) -> None:
    prepare(PAGE, tmp_path)
    shown = examples(PAGE)
    assert len(shown) == 2
    for example in shown:
        assert answered(example, tmp_path).output == example.shown, example.line


def test_every_option_is_explained() -> None:
    options = {
        option
        for one in command().commands["cloth"].commands["weigh"].params
        for option in one.opts
        if option.startswith("--") and option != "--help"
    }
    assert options <= set(re.findall(r"--[a-z][\w-]*", PAGE))


def test_the_figures_are_those_of_the_program() -> None:
    strays = [times for times, _ in halfway.STRAYS]
    chances = [round(100 * chance) for _, chance in halfway.STRAYS]
    said = f"{strays[0]:g}, {strays[1]:g}, {strays[2]:g} or {strays[3]:g} times"
    flat = " ".join(PAGE.split())
    assert said in flat
    assert f"(beforehand {', '.join(str(one) for one in chances)} in 100)" in flat
    assert f"| {100 * halfway.UNEVENNESS:g} % |" in PAGE
    assert f"| {100 * halfway.SCALE_FRACTION:g} % of the first mass |" in PAGE
    assert halfway.ENOUGH_WEIGHINGS == 4 and "From four weighings" in PAGE
    assert f"by {100 * service.HUMIDITY:g} in 100 for the day's humidity" in flat
    assert f"by {100 * service.WORKED_OUT:g} in 100 of what was taken by length" in flat
    assert service.FAR_OFF == 4 and "four spreads off" in PAGE
    assert f"at most {100 * halfway_ways.LIKE_GRIST:g} in 100 off in grist" in flat
    assert halfway_ways.OPEN_AT_LEAST == 0.7 and "more than a third" in PAGE
