"""farspun lash: both unit systems on lines of their own, and the same as JSON."""

from pathlib import Path

import pytest

from cli.running import Desk

LINE = "lash --width 42cm --bundle 6cm --gap 4cm --rod 2cm"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def test_the_cord_is_said_in_cm_and_in_inches_on_lines_of_their_own(desk: Desk) -> None:
    lines = desk.does(LINE).splitlines()
    assert lines[0] == "This takes 182 cm of cord through 7 bundles"
    assert not any(" cm" in line and " in" in line.replace(" inch", "") for line in lines[2:])
    assert any("does not stretch" in line for line in lines)


def test_json_holds_the_numbers_unrounded(desk: Desk) -> None:
    found = desk.told(LINE)
    assert found["bundles"] == 7
    assert found["cord_cm"] == pytest.approx(181.99115, abs=1e-5)
    assert set(found) == {
        *("bundles", "bundle_cm", "gap_cm", "rod_cm", "loop_cm", "tails_cm", "cord_cm"),
    }


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("lash --width 42cm --bundle 6cm --gap 4cm", 2),
        ("lash --width 42 --bundle 6cm --gap 4cm --rod 2cm", 3),
        ("lash --width 42cm --bundle 0cm --gap 4cm --rod 2cm", 3),
    ],
)
def test_what_is_missing_or_cannot_be_is_refused(desk: Desk, line: str, code: int) -> None:
    ran = desk.run(line)
    assert ran.exit_code == code
    assert ran.stdout == ""
