"""Colour words of fleece, of dye plants and of the land, as spinners use them; they go first.

source: from memory; fleece and dyes differ from one to the next, and each stands for the middle of
        what the word is used for. To put down a shade exactly, write #rrggbb or its L a b.
licence: that of this project
values: sRGB, two hexadecimal digits each of red, green and blue
"""

# of sheep, goats, camels and flax as they grow; common practice, no source
FLEECE = """
natural e9dfca, ecru e8dcc0, cream f0e4c8, fleece white f2ecdd, natural white f2ecdd,
natural black 2b2523, natural grey 9a9690, natural brown 644833, oatmeal cdbfa5, oat d8c6a0,
fawn b59a74, moorit 6b4a32, mioget b8935f, musket 9a8c78, shaela 8a8783, emsket 6f7478,
silver grey b4b2ad, rose grey 9d8a83, blue black 23262d, brown black 352820, black brown 352820,
camel c19a6b, flax d9c79b, flaxen d9c79b, straw d9c27a, honey d9a441, ginger b5652a,
biscuit d7b98b, toffee a06a3b, bleached f6f4ec, unbleached e6dcc6,
walnut 5b4330, peat 3d2b1f, smoke 8b8a88, ash b6b3ab
"""

# of plants and insects in the pot, on wool with alum; common practice, no source
DYES = """
madder b23328, madder root b23328, alizarin 9e2b25, weld e0c72f, woad 4a6d8c, indigo 27406b,
cochineal a3153f, kermes 9b1c31, lac 8e1f3b, logwood 4a2b57, brazilwood b03a48, fustic c79a2b,
osage orange d2a128, onion skin c7862f, red onion skin 9a7a3c, turmeric e3a81c, safflower e0793e,
tansy c9b23b, dyers broom d3c04a, dyer's broom d3c04a, greenweed d3c04a, coreopsis d0752a,
chamomile d8c24a, dyers chamomile d8c24a, dyer's chamomile d8c24a, walnut hull 5b4330,
walnut husk 5b4330, oak gall 4c463f, oak bark 8f7448, alder bark 7a5536, birch leaf c9b75a,
birch bark b98d74, heather top b39a3e, orchil 8b2f78, cudbear 7d2a5f, cutch 7b4a2b, henna 9a5a2c,
sumac 7c7053, eucalyptus c2682e, avocado pit c9907f, avocado stone c9907f, avocado skin c9907f,
rhubarb root c99a45, buckthorn c7a52f, alkanet 6c5878, bedstraw b5483a, annatto d9702a
"""

# of what grows and lies about; common practice, no source
LAND = """
bracken 9a6b3a, gorse e2b31b, bone e3d9c3, chalk f0ece2, pearl e6e0d4, mist c5ccd0, storm 5f6a73,
ink 1f2a44, soot 262523, pewter 8a8d8f, graphite 474a4d, iron grey 5a5d60, hay d6bf6f,
barley d5b571, bran b98a56, nutmeg 7e5a3c, hazelnut 9c6b43, acorn 8a623a, conker 74341f,
silver birch d8d4cb, silver birch bark d8d4cb,
bark 5a4637, tobacco 715337, sloe 2f2a4b, damson 4b2340, elderberry 3b1f3f, bilberry 3a3060,
bramble 5a2347, rosehip b5322a, poppy d7301f, foxglove b0578d, primrose efe07c, bluebell 5a5fb0,
harebell 8a92c8, nettle 5f7f45, willow a3ab78, kelp 4f4a25, ivy 33532f, holly 1f4a2c
"""
