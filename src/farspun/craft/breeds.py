"""Breeds of sheep: a spinner names her fleece by them, and to every sum here they are wool.

What differs between breeds (a down hardly felts, a long wool shines) lies within the spread of a
habit, and her own cloths teach the rest. Breeds are from memory; a list to be added to.
"""

import re

# longest first where one is the end of another; a space stands for a hyphen or nothing as well
BREEDS = (
    "blue faced leicester", "border leicester", "leicester longwool", "leicester", "bfl",
    "black welsh mountain", "bond", "california red", "cheviot", "clun forest", "columbia",
    "coopworth", "cormo", "corriedale", "cotswold", "dorset down", "dorset horn", "dorset",
    "east friesian", "exmoor horn", "exmoor", "falkland", "finnsheep", "finn", "gotland",
    "gulf coast", "hampshire", "hebridean", "herdwick", "icelandic", "ile de france", "jacob",
    "karakul", "kerry hill", "lincoln", "manx loaghtan", "masham", "mule", "navajo churro",
    "north ronaldsay", "norwegian", "ouessant", "oxford down", "oxford", "perendale", "polwarth",
    "portland", "rambouillet", "romeldale", "romney", "rough fell", "ryeland", "scottish blackface",
    "shetland", "shropshire", "soay", "southdown", "stansborough", "suffolk", "swaledale",
    "targhee", "teeswater", "texel", "tunis", "valais blacknose", "wensleydale",
    "whitefaced woodland", "zwartbles",
)  # fmt: skip
_BREED = re.compile(
    r"\b(?:" + "|".join(one.replace(" ", r"[\s-]?") for one in BREEDS) + r")\b", re.IGNORECASE
)


def as_wool(text: str) -> str:
    """The text with every breed called wool.

    >>> as_wool("Blue-faced Leicester 80, silk 20")
    'wool 80, silk 20'
    """
    return _BREED.sub("wool", text)


def breeds_in(text: str) -> list[str]:
    """The breeds that a text names, as written there.

    >>> breeds_in("shetland 50, Romney 50"), breeds_in("wool")
    (['shetland', 'Romney'], [])
    """
    return _BREED.findall(text)
