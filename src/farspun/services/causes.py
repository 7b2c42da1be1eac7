"""The causes of doubt, as they are called."""

LEAST_SHOWN = 0.005  # shares below half a hundredth are not said
CAUSES = {
    "take_up": "take-up of the warp",
    "draw_in": "draw-in",
    "weft_crimp": "how much the weft bends",
    "weft_take_up": "weft take-up",
    "shrink_length": "shrinkage in length",
    "shrink_width": "shrinkage in width",
    "relax_length": "what unwashed yarn still loses",
    "relax_width": "what unwashed yarn still loses in width",
    "beat": "how tightly you beat",
    "waste_cm": "loom waste",
    "joins": "edges and joins",
    "cutting": "how exactly the warp is cut",
    "length": "how long the yarn is",
    "the rest": "the rest",
}
