"""docs/measuring.md shows what the program prints and the figures it uses."""

import re
import shlex
from pathlib import Path

import pytest

from farspun.craft import posterior, readings
from farspun.craft.readings import STATES
from farspun.services.readings import LEAST_STEPS
from stashes import farspun

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "measuring.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```\n\$ farspun (.+?)\n(.+?)```", PAGE, flags=re.DOTALL)


def test_the_examples_print_what_the_page_shows(tmp_path):
    assert EXAMPLES
    for number, (command, shown) in enumerate(EXAMPLES):
        assert farspun(tmp_path / f"{number}.db", *shlex.split(command)).stdout == shown


def test_the_question_of_the_page_is_the_one_asked(tmp_path):
    command, _ = EXAMPLES[1]
    stderr = farspun(tmp_path / "stash.db", *shlex.split(command)).stderr
    assert f'"{stderr.strip()}"' in " ".join(PAGE.split())


@pytest.mark.parametrize("state", range(len(STATES)), ids=STATES)
def test_the_relaxations_of_the_page_are_the_ones_used(state):
    (line,) = re.findall(rf"^\| `?{STATES[state]}`?.*$", PAGE, flags=re.MULTILINE)
    for cell, table in zip(
        line.split("|")[2:4],
        (readings.RELAXATION_ELASTIC, readings.RELAXATION_FIRM),
        strict=True,
    ):
        lost, sd = table[state]
        said = f"{100 * lost:.0f} ± {100 * sd:.0f} %" if lost else "0"
        assert cell.strip().startswith(said)


def test_the_spreads_of_the_page_are_the_ones_used():
    for said in (
        f"{100 * readings.HUMIDITY_SD:.0f} % |",
        f"own {100 * readings.COUNT_OWN_SD:.1f} %",
        f"tool {100 * readings.TOOL_BIAS_SD:.1f} %",
        f"√({readings.SPINNER_CV:.2f}² · {readings.UNEVENNESS_M:.0f}/({readings.UNEVENNESS_M:.0f}",
        f"{readings.TEST_LENGTH_SD:.3f}²)",
        f"{100 * readings.WRAPS_SD:.0f} % | judgement: one person",
        f"{100 * readings.LABEL_SD:.0f} % | judgement: a mill's",
        f"{100 * readings.SPINNER_CV:.0f} % is a hand-spinner's",
    ):
        assert said in PAGE
    assert readings.OWN_QUARTER == 0.25
    assert "three quarters of the variance" in " ".join(PAGE.split())
    assert LEAST_STEPS == 3
    assert "Below three steps" in PAGE
    length_sd, tex_sd = (posterior.PRIOR_PRECISION[:2] ** -0.5).tolist()
    assert f"ln 200 ± {length_sd:g}" in PAGE
    assert f"ln 250 ± {tex_sd:g}" in PAGE
