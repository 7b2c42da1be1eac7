"""Forms as they are sent to a page and drawn on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farspun.errors import FarspunError, ToConfirm
from farspun.web.drawing import Desk, Form, wrong_in
from farspun.web.fields import Field, Typed


@dataclass(frozen=True)
class Asks:
    """A form before it is drawn: where it goes, the word on its button, its boxes."""

    action: str
    done: str
    fields: Sequence[Field]


@dataclass(frozen=True)
class Failed:
    """A form that came in and was refused."""

    action: str
    typed: Typed
    error: FarspunError


def drawn(
    desk: Desk,
    asks: Asks,
    newest: int,
    name: str = "",
    filled: Typed | None = None,
    failed: Failed | None = None,
    beside: Typed | None = None,
) -> Form:
    """The form with a token of its own; as it was typed where it was refused.

    `name`: the thing it is about, sent along unseen; `beside`: what else is.
    """
    own = failed is not None and failed.action == asks.action
    wrong, problem = wrong_in(failed.error if own and failed else None, asks.fields)
    return Form(
        action=asks.action,
        fields=asks.fields,
        token=desk.once.token(f"{asks.action} {name}", newest),
        done=asks.done,
        hidden=({"of": name} if name else {}) | dict(beside or {}),
        typed=failed.typed if own and failed else filled or {},
        wrong=wrong,
        problem=problem,
        asked=own and failed is not None and isinstance(failed.error, ToConfirm),
    )


def sure(typed: Typed) -> bool:
    """Whether she ticked that what was asked about is right."""
    return bool(typed.get("sure"))


def filled_from(values: Mapping[str, object]) -> Typed:
    """What is known already, as it would be typed; what is None is left empty."""
    return {name: str(value) for name, value in values.items() if value is not None}
