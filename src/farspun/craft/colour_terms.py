"""The words round the shades in a colour note: how much, how it lies, lighter or darker, and what
is no colour at all. Common practice, no source; the numbers are judgement.
"""

from farspun.craft.yarn_colour import Lie

# words: share of the yarn; they stand before their shade, or after "of" a word like hint
AMOUNTS = {
    "mostly": 0.75, "mainly": 0.75, "chiefly": 0.75, "largely": 0.75, "nearly all": 0.9,
    "almost all": 0.9, "half": 0.5, "three quarters": 0.75, "two thirds": 2 / 3, "a third": 1 / 3,
    "one third": 1 / 3, "a quarter": 0.25, "one quarter": 0.25, "much": 0.5, "a lot of": 0.5,
    "plenty of": 0.5, "some": 0.25, "a little": 0.1, "little": 0.1, "a bit of": 0.1, "a bit": 0.1,
    "a touch": 0.1, "touch": 0.1, "touches": 0.1, "a hint": 0.05, "hint": 0.05, "hints": 0.05,
    "a trace": 0.05, "trace": 0.05, "traces": 0.05, "a dash": 0.05, "a pinch": 0.05,
    "bits of": 0.1, "a whisper": 0.05, "whisper": 0.05, "whispers": 0.05,
}  # fmt: skip
# they stand after their shade, or before it with "of": "oat flecks", "flecks of oat"
BITS = {
    "fleck": 0.1, "flecks": 0.1, "speck": 0.05, "specks": 0.05, "speckles": 0.1, "nep": 0.05,
    "neps": 0.05, "bits": 0.1, "slubs": 0.1, "spots": 0.1, "dots": 0.05,
    "streaks": 0.2, "splashes": 0.15,
    "patches": 0.25,
}  # fmt: skip
# of the shade that comes next: "slate flecked with oat"
LACED = {"flecked": 0.1, "speckled": 0.1, "streaked": 0.2, "tinged": 0.1, "shot": 0.1,
         "splashed": 0.15, "spotted": 0.1}  # fmt: skip
FLECKY = frozenset(
    ("fleck", "flecks", "speck", "specks", "speckles", "nep", "neps", "slubs", "spots", "dots",
     "flecked", "speckled", "spotted")
)  # fmt: skip

LIES = {
    "solid": Lie.SOLID, "plain": Lie.SOLID, "semi solid": Lie.SOLID, "tonal": Lie.SOLID,
    "heather": Lie.HEATHER, "heathered": Lie.HEATHER, "heathery": Lie.HEATHER,
    "blend": Lie.HEATHER, "blended": Lie.HEATHER, "carded": Lie.HEATHER,
    "carded together": Lie.HEATHER,
    "marl": Lie.MARL, "marled": Lie.MARL, "ragg": Lie.MARL, "barber pole": Lie.MARL,
    "plied": Lie.MARL, "plied together": Lie.MARL, "tweed": Lie.MARL, "tweedy": Lie.MARL,
    "variegated": Lie.VARIEGATED, "hand painted": Lie.VARIEGATED, "handpainted": Lie.VARIEGATED,
    "painted": Lie.VARIEGATED, "mottled": Lie.VARIEGATED, "dappled": Lie.VARIEGATED,
    "patchy": Lie.VARIEGATED, "space dyed": Lie.VARIEGATED, "dip dyed": Lie.VARIEGATED,
    "multicoloured": Lie.VARIEGATED, "multi coloured": Lie.VARIEGATED,
    "gradient": Lie.GRADIENT, "graduated": Lie.GRADIENT, "ombre": Lie.GRADIENT,
    "ombré": Lie.GRADIENT, "fading": Lie.GRADIENT, "fades": Lie.GRADIENT, "fade": Lie.GRADIENT,
    "shading": Lie.GRADIENT,
    "striping": Lie.STRIPING, "self striping": Lie.STRIPING, "selfstriping": Lie.STRIPING,
    "striped": Lie.STRIPING, "stripe": Lie.STRIPING, "stripes": Lie.STRIPING,
}  # fmt: skip
# where several are told, the one that says most about the order wins
LIE_ORDER = (Lie.STRIPING, Lie.GRADIENT, Lie.HEATHER, Lie.MARL, Lie.VARIEGATED, Lie.SOLID)

# word: added to L*, times the chroma; where the two words together are no name of their own
SHIFTS = {
    "light": (12.0, 1.0), "lighter": (12.0, 1.0), "pale": (18.0, 0.7), "pastel": (18.0, 0.7),
    "faded": (8.0, 0.6), "dark": (-14.0, 1.0), "darker": (-14.0, 1.0), "deep": (-10.0, 1.1),
    "rich": (-5.0, 1.2), "bright": (5.0, 1.3), "vivid": (3.0, 1.4), "dusty": (0.0, 0.6),
    "dull": (-3.0, 0.6), "muted": (0.0, 0.6), "soft": (6.0, 0.7), "smoky": (-5.0, 0.6),
    "medium": (0.0, 1.0), "mid": (0.0, 1.0),
}  # fmt: skip
VERY = {"very": 1.5, "really": 1.5, "slightly": 0.5, "quite": 1.0, "rather": 1.0}  # times the shift
BASIC = frozenset(
    ("red", "orange", "yellow", "green", "blue", "purple", "pink", "brown", "grey", "black",
     "white")
)  # fmt: skip

SPELLED = {"gray": "grey", "grays": "greys", "grayish": "greyish", "greyer": "grey",
           "colored": "coloured", "multicolored": "multicoloured", "colorfast": "colourfast",
           "fibers": "fibres", "mordanted": "mordant", "ombrè": "ombré"}  # fmt: skip

# tells of dyeing, fibre and yarn, and of no shade
NOTHING = """
a an the of in its it is are was as on for or so very too all both whole per about around roughly
circa approx approximately overall colour color colours colors coloured hue hues
shade shades tone tones toned tint tints coloration yarn yarns wool fleece fleeces fibre fibres
fiber silk linen cotton alpaca mohair cashmere hemp nylon top tops roving batt batts lock locks
ply plies single singles strand strands thread threads skein skeins hank hanks spun handspun hand
mill undyed dyed dye dyes dyer's dyestuff overdyed fast colourfast not rinsed unrinsed washed
unwashed soaked bleeds bleed bleeding runs ran crocks crocking vat vats bath dip dips dipped
dipping exhaust first second third last alum tannin mordant iron tin vinegar soda ammonia solar
acid plant lot batch number no nr dyelot sun lightfast once twice thrice times minutes hours days
overnight here there where same each sheep ewe ram lamb goat mixed mix various part parts equal
equally evenly even together only just also more less end ends other outside inside middle start
long short repeat repeats repeating sections section lengths length pulled through again round
"""
NO_COLOUR = frozenset(NOTHING.split())
NO_COLOUR_PHRASES = (
    "light fast",
    "natural dyed",
    "naturally dyed",
    "hot pot",
    "in all",
    "sort of",
    "kind of",
    "red cabbage",
    "black bean",
    "black beans",
    "raw fleece",
)
ALMOST = frozenset(("almost", "nearly"))
# of sheep, goats and rabbits; from memory
BREEDS = """
shetland, jacob, ryeland, romney, romney marsh, welsh mountain, herdwick, swaledale, merino,
corriedale, polwarth, texel, suffolk, cheviot, gotland, icelandic, finn, finnsheep, wensleydale,
teeswater, masham, leicester, border leicester, blue faced leicester, bluefaced leicester, bfl,
lincoln, lincoln longwool, leicester longwool, cotswold, devon, dorset, dorset horn, dorset down,
southdown, hampshire down, portland, hebridean, manx, manx loaghtan, soay, north ronaldsay,
boreray, castlemilk, balwen, torwen, torddu, badger faced, clun forest, kerry hill, lleyn, rough
fell, dalesbred, gritstone, whitefaced woodland, white faced woodland, black faced, white faced,
blackface, exmoor, dartmoor, greyface, grey faced, perendale, coopworth, rambouillet, targhee,
columbia, bond, falkland, blue texel, zwartbles, drenthe, ouessant, racka, norwegian, spelsau,
pashmina, angora, cross, crossbred, mule
"""
# words of praise
PRAISE = "lovely nice beautiful pretty gorgeous favourite warm cool quiet glowing"
# a shade before one of these tells of a thing and not of the yarn, unless it is a dye
THING_WORDS = """
mordant pot kettle farm flock street road lane house hill hills valley mill box basket bag shelf
drawer cupboard label tag band needle needles wheel bobbin loom
"""
THINGS = frozenset(THING_WORDS.split())
# what follows in the same part of the note is a place or a person
ORIGIN = frozenset(("at", "near", "bought", "from", "by"))
REFUSED = frozenset(("no", "not", "without", "never"))
LINKS = frozenset(("to", "into", "then", "through", ">", "->", "→"))  # tell an order of shades
OVER = "over"  # one dye over another
TOTAL = frozenset(
    ("all", "in all", "total", "whole", "altogether")
)  # a length beside these is of the skein
COUNTED = frozenset(
    ("batch", "lot", "dyelot", "number", "nr", "no")
)  # a number after these is a name
