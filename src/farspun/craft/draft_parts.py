"""The parts of a written draft: headings, the lines below each, comments left out."""

import re
from dataclasses import dataclass, field

from farspun.craft.interlacement import MOST_THREADS
from farspun.errors import ImpossibleValue, UnreadableValue, shortened

# name: value            unit     source
MOST_LETTERS = 200_000  # letters  the largest draft, and as much again of comments: judgement
MOST_DIGITS = 6  # of a number, judgement: more is a slip

TREADLED = ("threading", "tie-up", "treadling")
LIFTED = ("threading", "lift plan")
MADE_OF = "it is made of threading, tie-up and treadling, or of threading and lift plan"
_HINT = "Write each part under its heading, as docs/drafts.md shows."
_NAMES = {
    "threading": "threading",
    "tie up": "tie-up",
    "tieup": "tie-up",
    "treadling": "treadling",
    "lift plan": "lift plan",
    "sinking": "sinking",
    "sinking sheds": "sinking",
}
_HEADING = re.compile(
    r"(threading|tie[- ]?up|treadling|lift[- ]plan|sinking(?: sheds)?)(?:\s*:|(?=\s)|$)(.*)",
    re.IGNORECASE,
)
_COMMENT = re.compile(r"(?:^|(?<=\s))#\s*[^#.\s].*$")  # a # that begins no row of marks
_APART = re.compile(r"[\s,]+")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the text by its number from 1, without its comment."""

    number: int
    text: str

    @property
    def is_marks(self) -> bool:
        """Whether nothing but `#`, `.` and blanks is in it."""
        return set("".join(self.text.split())) <= {"#", "."}

    @property
    def marks(self) -> str:
        """The marks, without the blanks between them."""
        return "".join(self.text.split())

    @property
    def words(self) -> list[str]:
        """What blanks and commas set apart."""
        return [word for word in _APART.split(self.text) if word]

    def whole(self, word: str, said: str = "") -> int:
        """The number that `word` of this line is, or of `said`. Raises UnreadableValue."""
        if not re.fullmatch("[0-9]+", word):
            raise self.refused(
                said or word, "it is not a number", "Write shafts and treadles as 1 2 3."
            )
        if len(word) > MOST_DIGITS:
            raise self.refused(word, "it is too large", f"A draft goes up to {MOST_THREADS}.")
        return int(word)

    def refused(self, said: str, why: str, hint: str) -> UnreadableValue:
        """The error for what is `said` in this line."""
        return UnreadableValue(f"line {self.number}", shortened(said), why, hint)


@dataclass(frozen=True, slots=True)
class Part:
    """What stands under one heading."""

    name: str
    heading: Line
    lines: list[Line] = field(default_factory=list)

    @property
    def place(self) -> str:
        """The lines it takes: "lines 2 to 5"."""
        return f"lines {self.lines[0].number} to {self.lines[-1].number}"

    @property
    def drawn(self) -> bool:
        """Whether it is drawn in marks. Raises UnreadableValue where it is mixed or ragged."""
        first = self.lines[0]
        for line in self.lines:
            if line.is_marks != first.is_marks:
                hint = "Write the part in numbers, or draw it in rows of # and dots."
                raise line.refused(line.text, f"marks and numbers under {self.name}", hint)
            if first.is_marks and len(line.marks) != len(first.marks):
                many = f"it has {len(line.marks)} and line {first.number} has {len(first.marks)}"
                raise line.refused(line.text, f"the rows are ragged, {many}", "Make them alike.")
        return first.is_marks


def parts_of(text: str) -> dict[str, Part]:
    """The parts by name, as many as make a draft and none of them empty.

    Raises: UnreadableValue with the line; ImpossibleValue where a part is missing or all too long.

    >>> list(parts_of("threading 1 2\\nLift plan: # by hand\\n1: 1\\n2: 2"))
    ['threading', 'lift plan']
    """
    if len(text) > MOST_LETTERS:
        allowed = f"at most {MOST_LETTERS} letters, {MOST_THREADS} ends and {MOST_THREADS} picks"
        raise ImpossibleValue("the draft", f"of {len(text)} letters", allowed)
    parts: dict[str, Part] = {}
    part: Part | None = None
    for number, written in enumerate(text.split("\n"), start=1):
        line = Line(number, _COMMENT.sub("", written).strip())
        heading = _HEADING.fullmatch(line.text)
        if heading:
            part = _begun(parts, heading[1], line)
            line = Line(number, heading[2].strip())
        if not line.words or (part is None and line.text.startswith("#")):
            continue
        if part is None:
            raise line.refused(line.text, "no heading stands above it", _HINT)
        part.lines.append(line)
    _check_whole(parts)
    return parts


def _begun(parts: dict[str, Part], said: str, line: Line) -> Part:
    """A new part, by its name as it is said here."""
    name = _NAMES[said.casefold().replace("-", " ")]
    if name in parts:
        above = parts[name].heading.number
        raise line.refused(said, f"{name} stands in line {above} already", f"Keep one {name}.")
    parts[name] = Part(name, line)
    return parts[name]


def _check_whole(parts: dict[str, Part]) -> None:
    if not parts:
        raise ImpossibleValue("the draft", "empty", MADE_OF, _HINT)
    wanted = LIFTED if "lift plan" in parts else TREADLED
    for name, part in parts.items():
        if name not in (*wanted, "sinking") or (name == "sinking" and wanted == LIFTED):
            hint = "Leave out the lift plan, or tie-up, treadling and sinking."
            raise part.heading.refused(name, "it does not go with a lift plan", hint)
        if name == "sinking" and part.lines:
            line = part.lines[0]
            raise line.refused(line.text, "nothing stands under sinking", "Leave it out.")
        if name != "sinking" and not part.lines:
            raise part.heading.refused(name, "nothing stands under it", _HINT)
    for name in wanted:
        if name not in parts:
            raise ImpossibleValue("the draft", f"without {name}", MADE_OF, _HINT)
