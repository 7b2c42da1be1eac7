"""What a colour note is cut into: words, shares, lengths, shades in figures."""

import re

from farspun.craft.colour_terms import AMOUNTS
from farspun.units import CM_PER_METRE, METRES_PER_FOOT, METRES_PER_INCH, METRES_PER_YARD

UNITS = {
    "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0, "cm": 1 / CM_PER_METRE,
    "mm": 0.001, "yd": METRES_PER_YARD, "yds": METRES_PER_YARD, "yard": METRES_PER_YARD,
    "yards": METRES_PER_YARD, "ft": METRES_PER_FOOT, "feet": METRES_PER_FOOT,
    "in": METRES_PER_INCH, "inch": METRES_PER_INCH, "inches": METRES_PER_INCH,
}  # fmt: skip
LENGTH_UNITS = "|".join(sorted(UNITS, key=len, reverse=True))
FIGURE = r"[0-9]+(?:\.[0-9]+)?"
TOKEN = re.compile(  # words first, as most are
    r"[^\W\d_]++(?:['’][^\W\d_]++)?(?!~)"
    r"|#[0-9a-f]{6}(?![0-9a-z])"
    rf"|lab(?:~-?{FIGURE}){{3}}"
    r"|[0-9]+/[0-9]+"
    rf"|{FIGURE}\s*(?:%|per\s?cent\b)"
    rf"|{FIGURE}\s*(?:{LENGTH_UNITS})\b"
    rf"|{FIGURE}"
    r"|[^\s'’\"“”‘\-–—~_]"
)
FIRST = "|".join(sorted(AMOUNTS, key=len, reverse=True))
AMOUNT_FIRST = re.compile(rf"(?:({FIGURE}) ?%|({FIRST})) ")
DIGITS = frozenset("0123456789")
NUMBER = re.compile(FIGURE)
