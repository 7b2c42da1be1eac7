"""Whether a reading in a document is one that a command could have written."""

from collections.abc import Iterator
from typing import Any

from farspun import units
from farspun.craft.fibres import blend
from farspun.errors import FarspunError
from farspun.services.document import ReadingDocument
from farspun.services.readings import Measured, Reading, readings

HELD = {
    "weighed": {"mass_mg", "step_ug"},
    "counted": {"length_mm", "state"},
    "test length": {"mass_mg", "step_ug", "length_mm"},
    "wrapped": {"wraps_per_100m"},
    "labelled": {"millitex"},
}
MAY_HOLD = {"counted": {"strands", "once_round_mm", "tool"}}
WRITTEN = {
    "weighed": ({"mass"}, {"mass", "tare"}),
    "counted": ({"strands", "once_round"}, {"length"}),
    "test length": ({"test_length"},),
    "wrapped": ({"wpi"},),
    "labelled": ({"label"},),
}


def reading_troubles(one: ReadingDocument, fibre: str) -> Iterator[tuple[str, str]]:
    """(the part of it, why it cannot be); `fibre` is what the skein is spun from."""
    every = {name for kind in HELD.values() for name in kind} | MAY_HOLD["counted"]
    given = {name for name in every if getattr(one, name) is not None}
    must, may = HELD[one.kind], MAY_HOLD.get(one.kind, set())
    for name in sorted(must - given):
        yield f".{name}", f"a reading of the kind “{one.kind}” has it"
    for name in sorted(given - must - may):
        yield f".{name}", f"a reading of the kind “{one.kind}” does not have it"
    if (one.strands is None) != (one.once_round_mm is None):
        yield ".strands", "strands and once_round_mm go together"
    elif one.strands and one.once_round_mm and one.length_mm:
        off_mm = abs(one.strands * one.once_round_mm - one.length_mm)
        if off_mm > one.strands / 2 + 1:
            yield ".length_mm", f"{one.strands} times {one.once_round_mm} mm is another length"
    if one.tool is not None and not _tidy(one.tool):
        yield ".tool", "no tool can be called so"
    if one.written is not None and not must - given and not _says_the_same(one, fibre):
        yield ".written", "it does not say what the reading holds"


def _tidy(name: str) -> bool:
    try:
        return units.skein_name(name, "tool") == name
    except FarspunError:
        return False


def _says_the_same(one: ReadingDocument, fibre: str) -> bool:
    """What is written is read as a reading of this kind, with the same values."""
    written = one.written or {}
    if set(written) not in WRITTEN[one.kind]:
        return False
    try:
        found = reading_written(written, one.state, one.tool, blend(fibre).main)
    except FarspunError:
        return False
    return found.kind == one.kind and all(
        getattr(one, name) == value for name, value in found.values.items()
    )


def reading_written(
    written: dict[str, str], state: str | None, tool: str | None, fibre: str
) -> Reading:
    """The one reading that these texts are of. Raises what reading them raises."""
    read: dict[str, Any] = {
        "mass": units.mass,
        "tare": units.mass,
        "strands": lambda text: units.whole(text, "strands"),
        "once_round": units.length,
        "length": units.length,
        "label": str,
        "test_length": units.test_length,
        "wpi": units.wraps,
    }
    given = {name: read[name](text) for name, text in written.items()}
    if "test_length" in given:
        given["test_lengths"] = (given.pop("test_length"),)
    if "wpi" in given:
        given["wpi"] = (given["wpi"],)
    said = None if state == "not said" else state
    return readings(Measured(**given, state=said, tool=tool), fibre)[0]
