"""What is said of yarn that a cloth used, and of a weight that does not fit it."""

from farspun.services.readings import MG_PER_G
from farspun.units import say_mass


def used_said(name: str, mass_mg: int, again: bool = False) -> str:
    """One line of what a cloth used; `again`: beside what it used before.

    >>> used_said("Gorse", 41200)
    'Gorse: 41 g used'
    """
    if mass_mg < 0:
        return f"{name}: {say_mass(-mass_mg / MG_PER_G)} put back"
    return f"{name}: {say_mass(mass_mg / MG_PER_G)} {'more ' if again else ''}used"


def more_left_said(name: str, there_g: float, left_g: float) -> str:
    """More of a skein is left than there was of it."""
    return (
        f"There were {say_mass(there_g)} of “{name}” before this cloth, and {say_mass(left_g)} are"
        " left: was a cone or shuttle weighed too (--tare)?"
    )


def apart_said(name: str, by_length_g: float, by_scale_g: float) -> str:
    """Length and scale do not tell the same of what went into the cloth."""
    return (
        f"By its length about {say_mass(by_length_g)} of “{name}” went into the cloth, by the scale"
        f" {say_mass(by_scale_g)}: is the weight, the length or a reading of that skein a slip?"
    )
