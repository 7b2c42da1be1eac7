"""docs/reach.md shows what the program prints of several cloths, and the parts it goes by."""

import json
from pathlib import Path

from docs.pages import REACH, Example, answered, demo_stash, examples
from farspun.craft.draws import POINTS
from farspun.craft.learning import Lessons, Question
from farspun.craft.records import record_columns
from farspun.craft.serving import MOST_POOLS
from farspun.craft.spread import Spread
from farspun.services.answers import InTheWay
from farspun.services.ways_for import LASTS

PAGE = REACH.read_text(encoding="utf-8")
SECTION = " ".join(PAGE.partition("## Several cloths together")[2].partition("\n## ")[0].split())


def test_the_commands_of_the_page_answer_what_is_written_below_them(tmp_path: Path) -> None:
    demo_stash(tmp_path)
    shown = examples(PAGE)
    assert len(shown) == 2
    for example in shown:
        output = answered(example, tmp_path).output
        assert example.shown == output, f"farspun {example.words}: write docs/reach.md anew"


def test_the_parts_and_limits_of_the_page_are_those_of_the_code() -> None:
    beat = Question("beat", "Barn loom, wool", "", Spread(1.0, 0.08, "ratio"))
    (way,) = Lessons(record_columns([])).ways([beat])
    assert [way.weaver, way.group, way.own] == [3 / 8, 3 / 8, 1 / 4]
    assert "Without records these are 3/8, 3/8 and 1/4" in SECTION
    assert LASTS == 3 / 4 and MOST_POOLS == 100
    assert f"The same {POINTS:,} points" in SECTION
    assert InTheWay.__slots__ == ("skeins", "cloths")
    assert '`{"skeins", "cloths"}`' in SECTION


def test_it_reads_the_other_way_as_the_page_says_it_does(tmp_path: Path) -> None:
    """The collar by itself is far less likely than all three together."""
    demo_stash(tmp_path)
    answered(Example('farspun cloth give-up "Lap rug" --yes', ""), tmp_path)
    found = json.loads(answered(Example("farspun cloth check --all --json", ""), tmp_path).output)
    collar = found[-1]
    assert collar["cloth"] == "Collar"
    assert collar["odds"]["yarn"] + 0.2 < collar["together"]
