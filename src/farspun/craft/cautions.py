"""What can hurt in finishing and using a cloth: which cautions its wash and its name ask for.

In general words; local rules come first. Nothing here replaces them, or qualified advice.
"""

from dataclasses import dataclass

# scalds of adult skin: about ten minutes at 49 °C, seconds at 60 °C (Moritz and Henriques 1947,
# through burn-prevention tables; from memory)
SCALDS_SLOWLY_C, SCALDS_AT_ONCE_C = 49.0, 60.0

WET = ("gentle", "hot", "fulled", "machine")
FINISH = {
    "gentle": "Soak it in lukewarm water with a little mild soap, press it through, rinse at the"
    " same heat, roll it in a towel, and let it dry flat and slack.",
    "hot": "Soak it in hot water with mild soap, squeeze it for some minutes without rubbing, rinse"
    " at the same heat, and let it dry flat and slack.",
    "fulled": "Work it in hot soapy water, looking every minute, and stop before it is as wanted:"
    " it goes on a little. Rinse, and let it dry flat.",
    "machine": "Wash it by machine as it will be washed later; look after each cycle. Let it dry"
    " flat.",
    "none": "It is not washed. Press it lightly under a cloth if it takes pressing.",
}
# words in a cloth's name or purpose, and what they ask for; judgement
WORDS = {
    "heat": ("pot holder", "potholder", "oven", "trivet", "hot pad", "kettle", "ironing"),
    "child": ("child", "baby", "babies", "kid", "toddler", "cot", "crib", "pram", "cradle"),
    "sleepwear": ("sleep", "pyjama", "pajama", "nightgown", "nightshirt", "bed jacket"),
    "load": ("strap", "belt", "sling", "harness", "hammock", "leash", "lead rope", "halter"),
}
TEXTS = {
    "scald": "Hot water scalds: wear gloves, put cold water in first, carry no full basin.",
    "heat": "A cloth against heat: wool, thick, no man-made fibre (it melts), dry when used.",
    "child": "For a child: no loose cord, fringe or tie that can go round a neck or a finger, no"
    " loose floats or beads.",
    "sleepwear": "Sleepwear: there are rules of what may burn how fast; ask before it is worn.",
    "load": "Under load: a handwoven strap is of no known strength. Nobody's life or neck hangs on"
    " it.",
    "local": "Local rules and qualified advice come first.",
}


@dataclass(frozen=True, slots=True)
class Caution:
    """A stable code, a sentence, and the temperatures it is about."""

    code: str
    text: str
    temperatures_c: tuple[float, ...] = ()


def cautions(name: str, purpose: str, wash: str) -> tuple[Caution, ...]:
    """What to beware of with this cloth, the wash first. Whole words and their plurals are found.

    >>> [one.code for one in cautions("Baby blanket", "everyday", "gentle")]
    ['scald', 'child', 'local']
    >>> [one.code for one in cautions("Kidney red shawl", "drape", "none")]
    []
    """
    text = f" {' '.join(_words(f'{name} {purpose}'))} "
    found = ["scald"] if wash in WET else []
    found += [
        code
        for code, words in WORDS.items()
        if any(f" {word}{end} " in text for word in words for end in ("", "s", "es", "ren", "wear"))
    ]
    if not found:
        return ()
    at = (SCALDS_SLOWLY_C, SCALDS_AT_ONCE_C)
    return tuple(
        Caution(code, TEXTS[code], at if code == "scald" else ()) for code in [*found, "local"]
    )


def _words(text: str) -> list[str]:
    """Its words without signs, lower case."""
    return "".join(sign if sign.isalnum() else " " for sign in text.casefold()).split()
