"""The boxes of a form: what each takes, and reading what was typed into them."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from farspun.errors import (
    FarspunError,
    ImpossibleValue,
    ToConfirm,
    UnreadableValue,
    WrongUse,
    ended,
    one_line,
)

Kind = Literal["amount", "number", "text", "long", "choice", "check"]
Typed = Mapping[str, str]
IN_TEN = re.compile(r"\d+(?:\.\d+)?\s*/\s*10")  # as a reed is stamped
MOST_TYPED = 4000  # characters in a box; judgement
OWN_UNIT = "%\"'″′“”‘’"  # signs of units, however a keyboard sets them
COMMAND = re.compile(r"\bfarspun [a-z-]+|(?<!\w)--[a-z]")


@dataclass(frozen=True)
class Field:
    """One box. `units`: what its number may be in, the first unless she switches; `read`: text with
    its unit to a value; `choices`: (value, words); `says`: a line below the box; `needed`: what is
    said where it is left empty; `goes_with`: the box that must be filled in where this one is."""

    name: str
    label: str
    kind: Kind = "text"
    read: Callable[[str], Any] = str
    units: Sequence[str] = ()
    choices: Sequence[tuple[str, str]] = ()
    says: str = ""
    usual: str = ""
    needed: str = ""
    goes_with: str = ""

    @property
    def keyboard(self) -> str:
        """What the phone offers."""
        return {"amount": "decimal", "number": "numeric"}.get(self.kind, "text")


def bad_boxes(wrong: Mapping[str, str]) -> WrongUse:
    """The error that says which boxes are empty or cannot be read, each with what is wrong."""
    number = len(wrong)
    error = WrongUse(
        "One box is not right yet." if number == 1 else f"{number} boxes are not right yet.",
        "What is wrong stands beside it; nothing was stored.",
    )
    error.boxes = dict(wrong)
    return error


def read(fields: Sequence[Field], typed: Typed) -> dict[str, Any]:
    """What was typed, by name; None for an empty box. Raises WrongUse naming all that are wrong."""
    values: dict[str, Any] = {}
    wrong = dict(_lacking(fields, typed))
    for field in fields:
        try:
            values[field.name] = _value(field, typed)
        except FarspunError as error:
            wrong[field.name] = said_beside(error)
    if wrong:
        raise bad_boxes({one.name: wrong[one.name] for one in fields if one.name in wrong})
    return values


def _lacking(fields: Sequence[Field], typed: Typed) -> Iterator[tuple[str, str]]:
    """Boxes that are empty and must not be."""
    by_name = {field.name: field for field in fields}
    for field in fields:
        filled = bool(typed.get(field.name, "").strip())
        if field.needed and not filled:
            yield field.name, field.needed
        if field.goes_with and filled and not typed.get(field.goes_with, "").strip():
            other = by_name[field.goes_with]
            yield other.name, f"“{field.label}” goes with this one: fill in both, or neither."


def _value(field: Field, typed: Typed) -> Any:
    text = typed.get(field.name, "").strip()
    if field.kind == "check":
        return bool(text)
    if not text:
        return None
    if len(text) > MOST_TYPED:
        raise ImpossibleValue(
            field.label.lower(), f"{len(text)} characters long", f"at most {MOST_TYPED}"
        )
    if field.kind == "choice":
        if text not in {value for value, _ in field.choices}:
            raise UnreadableValue(
                field.label.lower(), text[:60], "it is not among the choices", "Choose one of them."
            )
        return text
    if field.kind == "amount":
        return field.read(with_unit(text, typed.get(f"{field.name}_unit", ""), field.units))
    return field.read(text)


def with_unit(text: str, unit: str, units: Sequence[str]) -> str:
    """A figure with the unit that stands beside its box; one typed with its own unit keeps that.

    A comma for the decimal mark, which some phones alone offer, is read as one; where it might
    stand for thousands the text is left to be refused.

    >>> with_unit("112,5", "g", ("g", "oz")), with_unit("3.95 oz", "g", ("g", "oz"))
    ('112.5 g', '3.95 oz')
    >>> with_unit("1½", "m", ("m", "yd")), with_unit("60”", "cm", ("cm", "in"))
    ('1½ m', '60”')
    >>> with_unit("1,500", "g", ("g", "oz")), with_unit("10±", "%", ("%",))
    ('1,500 g', '10±')

    A reed is stamped with how many dents stand in 10 cm; so written, it needs no unit.

    >>> with_unit("40/10", "dpi", ("/10cm", "dpi"))
    '40/10cm'
    """
    text = re.sub(r"(?<=\d),(?=\d{1,2}\b|\d{4,}\b)", ".", text) if text.count(",") == 1 else text
    if any(sign.isalpha() or sign in OWN_UNIT for sign in text) or not units:
        return text
    if IN_TEN.fullmatch(text) and any(one.startswith("/") for one in units):
        return f"{text}cm"
    chosen = unit if unit in units else units[0]
    if re.search(r"(±|\+-)\s*$", text):
        return text  # its doubt is lacking: refused as it was typed
    return re.sub(r"\s*(±|\+-)\s*", f" {chosen}±", text) + (
        chosen if chosen == "%" else f" {chosen}"
    )


def apart(text: str, units: Sequence[str]) -> tuple[str, str]:
    """A figure and its unit, as the two boxes hold them; all in the first where that is no choice.

    >>> apart("24 in", ("cm", "in")), apart("2.9/cm", ("/cm", "ppi"))
    (('24', 'in'), ('2.9', '/cm'))
    >>> apart("1 yd 6 in", ("cm", "in", "yd"))
    ('1 yd 6 in', '')
    """
    for unit in sorted(units, key=len, reverse=True):
        figure = text.removesuffix(unit).strip()
        if figure != text.strip() and not any(sign.isalpha() for sign in figure):
            return figure, unit
    return text, ""


def said_on_page(error: FarspunError) -> str:
    """What happened and what to do, without the commands and options of the command line."""
    hint = without_commands(error.hint)
    said = without_commands(error.message) or error.message
    said = said[:1].upper() + said[1:]
    return f"{said} {hint}".strip()


def said_beside(error: FarspunError) -> str:
    """The same beside its box, which tells already what it is about.

    >>> said_beside(ImpossibleValue("mass", "-3 g", "more than 0 g"))
    'It cannot be -3 g: more than 0 g.'
    >>> said_beside(UnreadableValue("mass", "heavy", "it is no number", "Write 112 g."))
    '“heavy” cannot be read: it is no number. Write 112 g.'

    What is only asked about can be.

    >>> said_beside(ToConfirm("mass", "97 g", "It was 52 g before."))
    'Is that right? It was 52 g before.'
    """
    if not isinstance(error, ImpossibleValue) or isinstance(error, ToConfirm):
        return said_on_page(error)
    again = f"Give {error.what} again: {ended(error.allowed)}"
    if isinstance(error, ToConfirm):
        return f"Is that right? {ended(one_line(error.allowed))}"
    hint = "" if error.hint == one_line(again) else without_commands(error.hint)
    if isinstance(error, UnreadableValue):
        said = f"“{one_line(error.said)}” cannot be read: {ended(one_line(error.allowed))}"
    else:
        said = f"It cannot be {one_line(error.said)}: {ended(one_line(error.allowed))}"
    return f"{said} {hint}".strip()


def without_commands(text: str) -> str:
    """The text less what only the command line understands.

    >>> without_commands("See the list: farspun skein list")
    ''
    >>> without_commands("Weigh it first: farspun skein weigh Gorse MASS")
    'Weigh it first.'
    >>> without_commands("If it is for that cloth, add --for and its name.")
    ''
    """
    if not COMMAND.search(text):
        return text
    sentences = re.split(r"(?<=[.?]) ", re.sub(r" \((?:--[a-z-]+)\)", "", text))
    return " ".join(part for part in map(_without_command, sentences) if part)


def parts_without_commands(text: str) -> str:
    """The same where several things are told in one sentence, with ; between: each by itself.

    >>> parts_without_commands("not tugged: try, then farspun skein measure … --tug holds; 2-ply")
    'not tugged; 2-ply'
    >>> parts_without_commands("undyed")
    'undyed'
    """
    if not COMMAND.search(text):
        return text
    parts = (without_commands(part).removesuffix(".") for part in text.split("; "))
    return "; ".join(part for part in parts if part)


def _without_command(sentence: str) -> str:
    """Its first half, where that says something without the command."""
    found = COMMAND.search(sentence)
    if found is None:
        return sentence
    before = re.split(r"[:;,]", sentence[: found.start()])[0].strip()
    whole = bool(before) and not before.startswith(("To ", "If ", "See ")) and " " in before
    return f"{before}." if whole and sentence[len(before)] in ":;," else ""


def field_of(error: FarspunError, fields: Sequence[Field]) -> str | None:
    """The box an error speaks of; None where it is about the whole."""
    what = getattr(error, "what", "")
    plain = (
        re.sub(r"^(the|a|an) ", "", what.lower()).lstrip("-").replace(" ", "_").replace("-", "_")
    )
    names = {field.name for field in fields}
    by_label = {field.label.lower().replace(" ", "_"): field.name for field in fields}
    return plain if plain in names else by_label.get(plain)
