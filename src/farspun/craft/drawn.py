"""The weave of a cloth as it is kept: a name, rows of `#` and `.`, or the text of a draft."""

from functools import lru_cache

from farspun.craft.draft import Draft, draft_of
from farspun.craft.draft_text import draft_from_text, draft_text
from farspun.craft.interlacement import Weave
from farspun.craft.weave import weave

KEPT = 64  # texts remembered; judgement: more than the cloths of one answer


@lru_cache(maxsize=KEPT)
def drawn_weave(text: str) -> Weave:
    """The weave of a name or of a draft.

    Raises: as `farspun.craft.weave.weave` and `farspun.craft.draft_text.draft_from_text`.

    >>> drawn_weave("threading 1 2\\ntie-up 1: 1\\n 2: 2\\ntreadling 1 2").warp_float
    1.0
    >>> drawn_weave("2/2 twill").name
    '2/2 twill'
    """
    return draft_from_text(text).weave if is_draft(text) else weave(text)


def drawn_draft(text: str) -> Draft:
    """Her draft, or the one that a named weave takes. Raises as `drawn_weave`.

    >>> drawn_draft("plain").threading
    (1, 2)
    """
    return draft_from_text(text) if is_draft(text) else draft_of(weave(text))


def canonical_weave(text: str) -> str:
    """The text as a cloth keeps it: a name in its usual spelling, a draft laid out anew.

    >>> canonical_weave("Twill 2/2")
    '2/2 twill'
    """
    return draft_text(draft_from_text(text)) if is_draft(text) else weave(text).name


def drawn_name(text: str) -> str:
    """How it is said on a line of its own.

    >>> drawn_name("2/2 twill"), drawn_name("threading 1 2\\nlift plan\\n#.\\n.#")
    ('2/2 twill', 'your draft')
    """
    return "your draft" if is_draft(text) else text


def is_draft(text: str) -> bool:
    """A draft has more than one line, a name or rows never."""
    return "\n" in text.strip()
