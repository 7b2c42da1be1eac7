"""The numbered steps that bring a stash to the newest schema: forward only, one transaction each.

A step is a module with NAME and `statements(dialect)`. Add one at the end, never change an
old one.
"""

STEPS = (
    "step_0001_first",
    "step_0002_undo",
    "step_0003_life",
    "step_0004_orders",
    "step_0005_tug",
    "step_0006_weighing",
)
NEWEST = len(STEPS)
