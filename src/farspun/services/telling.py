"""What was measured of a cloth or sample, as it was read, made ready to be written down."""

from collections.abc import Mapping, Sequence
from typing import Any

from farspun.craft.woven import Told
from farspun.services.life import Step
from farspun.services.stages import SAID
from farspun.services.wording_used import used_said
from farspun.units import Quantity

CM = 100  # cm in a metre


def told_from(values: Mapping[str, Any]) -> tuple[Told, str]:
    """What was measured, in cm, picks per cm and grams; and the same as it was said.

    `values` as they were read, by the names of the options; None where nothing was said.
    """
    said = {name: value for name, value in values.items() if value is not None}
    plain: dict[str, Any] = {}
    for name, value in said.items():
        if name in ("off", "washed"):
            plain[f"{name}_width_cm"] = value.width_m * CM
            plain[f"{name}_length_cm"] = value.length_m * CM
        elif name in ("warp", "tape", "thrums", "spare", "reed"):
            plain[f"{name}_cm"] = value.value * CM
        elif name == "picks":
            plain["picks_per_cm"] = value.value
        elif name == "mass":
            plain["mass_g"] = value.value
        elif name == "state":
            plain["picks_state"] = value
        else:
            plain[name] = value
    words = [f"{name} {getattr(value, 'said', value)}" for name, value in said.items()]
    return Told(**plain), ": " + ", ".join(words) if words else ""


def with_left(said: str, left: Sequence[tuple[str, Quantity]], tare: Quantity | None) -> str:
    """The same with the yarn that was left over, by skein."""
    words = [f"left {skein} {on_scale.said}" for skein, on_scale in left]
    words += [f"tare {tare.said}"] if tare is not None else []
    return said + (", " if said else ": ") * bool(words) + ", ".join(words)


def step_said(step: Step) -> list[str]:
    """What a cloth is now; then what each skein gave."""
    first = f"{step.cloth}: {SAID[step.status]}{', corrected' if step.again else ''}."
    used = [used_said(name, round(grams * 1000), step.again) for name, grams in step.used_g.items()]
    return [first, *used]


def sample_said(step: Step) -> str:
    """That a sample is written down."""
    return f"{step.cloth}: its sample is written down{', corrected' if step.again else ''}."
