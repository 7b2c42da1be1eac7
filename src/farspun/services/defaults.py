"""Going back to the default of what she once said of a cloth, and which names that has."""

from dataclasses import fields, replace
from typing import Any

from farspun.craft.plan import Plan
from farspun.errors import WrongUse, shortened
from farspun.services.cloth_asked import ClothAsked
from farspun.store.cloths import KINDS

# options that a cloth cannot be without
NEVER = ("size", "warp", "weft")
# plan fields of options that farspun settles by itself where they are not said
SETTLED = {
    "loom": "loom_asked",
    "reed": "reed_asked",
    "sett": "sett_asked",
    "picks": "picks_asked",
    "warp_cut": "warp_cut_cm",
    "waste": "waste_cm",  # of the assumptions; its name there has the unit
}


def default_names() -> list[str]:
    """Every option that has a default, as it is typed, without its dashes."""
    said = [entry.name.removesuffix("_per_cm").removesuffix("_cm") for entry in fields(ClothAsked)]
    own = [name for name in said if name not in (*NEVER, "width", "length", "size_said")]
    given = [name.removesuffix("_cm") for name in KINDS]
    names = [name for name in (*own, *given) if name not in ("given", "default")]
    return [name.replace("_", "-") for name in dict.fromkeys(names)]


def gone_back(plan: Plan, asked: ClothAsked) -> Plan:
    """The plan with everything in `asked.default` as though it had never been said.

    Raises NotFound for what is no option with a default, WrongUse where it is given as well.
    """
    said = asked.said()
    back: dict[str, Any] = {}
    given = dict(plan.given)
    for text in asked.default:
        name = _known(text)
        both = said.keys() | asked.given.keys()
        if both & {name, f"{name}_cm", f"{name}_per_cm"}:
            raise WrongUse(
                f"--{text} and --default {text} do not go together.", "Leave one of them out."
            )
        place = SETTLED.get(name, name)
        if place in KINDS:
            given.pop(place, None)
        else:
            back |= _default_of(place)
    return replace(plan, given=given, **back)


def _known(text: str) -> str:
    names = default_names()
    plain = text.strip().removeprefix("--")
    if plain not in names:
        raise WrongUse(
            f"No option “{shortened(plain)}” has a default.", f"Those with one: {', '.join(names)}."
        )
    return plain.replace("-", "_")


def _default_of(place: str) -> dict[str, Any]:
    defaults = {entry.name: entry.default for entry in fields(Plan)}
    name = next(name for name in (place, f"{place}_cm") if name in defaults)
    return {name: defaults[name]}
