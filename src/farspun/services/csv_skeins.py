"""From a line of a CSV table to a skein that can be stored, with every cell that is bad."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from farspun import units
from farspun.craft.fibres import Blend, blend
from farspun.errors import FarspunError, ImpossibleValue
from farspun.services.csv_cells import SEVERAL, Read, cells
from farspun.services.csv_reading import Bad, Line, reason, too_long
from farspun.services.readings import Measured, Reading, readings, remarks
from farspun.services.skeins import Description, described_columns

YES, NO = ("yes", "true", "1"), ("no", "false", "0")
WORDS = {
    "draw": ("woollen", "semi", "worsted"),
    "twist": ("S", "Z"),
    "state": ("relaxed", "unwashed", "under-tension"),
    "wrap": ("snug", "loose"),
    "tug": ("holds", "drifts"),
}
TOGETHER = (  # columns that are understood together
    ("mass", "tare"),
    ("strands", "once_round", "state", "tool", "length"),
    ("test_lengths",),
    ("wpi",),
    ("label",),
)
EVERY_READING = tuple(column for group in TOGETHER for column in group)


@dataclass(frozen=True, slots=True)
class CsvSkein:
    """A skein as one line of the table tells it."""

    line: int
    name: str
    described: dict[str, Any]
    readings: list[Reading]
    cells: dict[str, str]  # as an export would write them
    remarks: list[str]


def _word(column: str) -> Callable[[str], str]:
    by_key = {word.casefold(): word for word in WORDS[column]}

    def read(text: str) -> str:
        if text.casefold() not in by_key:
            raise ImpossibleValue(column, text, f"one of {', '.join(by_key.values())}")
        return by_key[text.casefold()]

    return read


def _yes(column: str) -> Callable[[str], bool]:
    def read(text: str) -> bool:
        if text.casefold() not in YES + NO:
            raise ImpossibleValue(column, text, "yes or no")
        return text.casefold() in YES

    return read


READERS: dict[str, Callable[[str], Any]] = {
    "name": units.skein_name,
    "fibre": lambda text: blend(text).said,
    "plies": lambda text: units.whole(text, "plies"),
    "superwash": _yes("superwash"),
    "mill": _yes("mill"),
    "rebuy": lambda text: units.mass(text, "rebuy"),
    "mass": units.mass,
    "tare": lambda text: units.mass(text, "tare"),
    "strands": lambda text: units.whole(text, "strands"),
    "once_round": lambda text: units.length(text, "once round"),
    "tool": lambda text: units.skein_name(text, "tool"),
    "length": units.length,
    "test_lengths": units.test_length,
    "wpi": units.wraps,
    **{column: _word(column) for column in WORDS},
}


@dataclass(slots=True)
class CsvSkeins:
    """Understands line after line; a text seen before is not read again."""

    bad: list[Bad] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    blend: Callable[[str], Blend] = field(default_factory=lambda: cache(blend))
    readers: dict[str, Callable[[str], Any]] = field(
        default_factory=lambda: {column: cache(read) for column, read in READERS.items()}
    )

    def understood(self, line: Line) -> CsvSkein | None:
        """The skein of a line; None where something is bad, which is kept in `bad`."""
        before = len(self.bad)
        self.bad += too_long(line)
        if len(self.bad) > before:
            return None
        read = {
            column: self._cell(line, column, text) for column, text in line.cells.items() if text
        }
        name = read.get("name")
        if not line.cells["name"]:
            self.bad.append(Bad(line.number, "name", "", "it is missing"))
        elif name is not None:
            self._once(line, name)
        if len(self.bad) > before:
            return None
        described = self._described(line, read)
        taken = self._readings(line, read, (described or {}).get("fibre", "wool"))
        if described is None or len(self.bad) > before:
            return None
        found, _ = cells({**described, "name": name}, [Read.of(one) for one in taken])
        springy = self.blend(described["fibre"]).elastic and not described["superwash"]
        said = remarks(_measured(read, *EVERY_READING), springy)
        return CsvSkein(line.number, str(name), described, taken, found, said)

    def _cell(self, line: Line, column: str, text: str) -> Any:
        """What a cell says; None where it cannot be read."""
        reader = self.readers.get(column)
        try:
            if column in SEVERAL and reader:
                return tuple(reader(one.strip()) for one in text.split(";") if one.strip())
            return reader(text) if reader else text
        except FarspunError as error:
            self.bad.append(Bad(line.number, column, text, reason(error)))
            return None

    def _once(self, line: Line, name: str) -> None:
        first = self.seen.setdefault(units.name_key(name), line.number)
        if first != line.number:
            self.bad.append(Bad(line.number, "name", name, f"it is on line {first} already"))

    def _described(self, line: Line, read: dict[str, Any]) -> dict[str, Any] | None:
        known = Description.__dataclass_fields__
        said = {name: value for name, value in read.items() if name in known and value is not None}
        try:
            return described_columns(Description(**said))
        except FarspunError as error:
            column = str(getattr(error, "what", "rebuy"))
            self.bad.append(Bad(line.number, column, line.cells.get(column, ""), reason(error)))
            return None

    def _readings(self, line: Line, read: dict[str, Any], fibre: str) -> list[Reading]:
        main = self.blend(fibre).main
        try:
            return readings(_measured(read, *EVERY_READING), main)
        except FarspunError:
            for group in TOGETHER:  # which of them it was, and whether there are more
                self._look(line, read, group, main)
            return []

    def _look(self, line: Line, read: dict[str, Any], group: tuple[str, ...], main: str) -> None:
        try:
            readings(_measured(read, *group), main)
        except FarspunError as error:
            given = [column for column in group if line.cells.get(column)]
            value = ", ".join(line.cells[column] for column in given)
            self.bad.append(Bad(line.number, ", ".join(given), value, reason(error)))


def _measured(read: dict[str, Any], *columns: str) -> Measured:
    given = {column: read[column] for column in columns if read.get(column) is not None}
    return Measured(**given)
