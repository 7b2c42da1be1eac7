"""Programs that are timed by themselves: each prints its figures as JSON."""

EVIDENCE = """
import json, resource, time
import numpy as np
from farspun.craft.evidence import estimates
from farspun.craft.readings import COUNTED, WEIGHED, WRAPPED, ReadingColumns, SkeinColumns
from farspun.craft.readings import relaxation

n = {skeins}
rng = np.random.default_rng(1)
skeins = SkeinColumns(
    elastic=rng.random(n) < 0.7, density=np.full(n, 1.31), fill=np.full(n, 0.14),
    fill_log_sd=np.full(n, 0.30),
    lot=np.array([f"lot {{i}}" for i in range(40)])[rng.integers(0, 40, n)],
    wrap_style=np.array(["snug", "loose", "not said"])[rng.integers(0, 3, n)],
    unevenness=np.full(n, 0.10), as_spun=np.zeros(n, dtype=bool),
)
length, tex = np.exp(rng.normal(5.5, 0.5, n)), np.exp(rng.normal(5.5, 0.5, n))
nothing, at = np.full(n, np.nan), np.arange(n)
tools = np.array([f"tool {{i}}" for i in range(50)])[rng.integers(0, 50, n)]
state = rng.integers(0, 4, n)
relaxed, doubt = relaxation(skeins.elastic, state)
counted = length / (1 - relaxed) * np.exp(doubt * rng.normal(0, 1, n) + rng.normal(0, 0.03, n))
mass = np.maximum(1, np.round(length * tex / 1000 * np.exp(rng.normal(0, 0.01, n))))
wraps = 10 / (2 * np.sqrt(tex / (1000 * np.pi * 1.31 * 0.14))) * np.exp(rng.normal(0, 0.15, n))
three = lambda first, second, third: np.concatenate([first, second, third])
readings = ReadingColumns(
    skein=three(at, at, at),
    kind=np.repeat([WEIGHED, COUNTED, WRAPPED], n),
    mass_g=three(mass, nothing, nothing), step_g=three(np.ones(n), nothing, nothing),
    length_m=three(nothing, counted, nothing),
    wraps_per_cm=three(nothing, nothing, wraps), tex=three(nothing, nothing, nothing),
    state=np.concatenate([np.zeros(n, int), state, np.zeros(n, int)]),
    tool=three(np.full(n, ""), tools, np.full(n, "")).astype(str),
)
estimates(SkeinColumns(*[getattr(skeins, f)[:10] for f in SkeinColumns.__slots__]),
          ReadingColumns(*[getattr(readings, f)[:10] for f in ReadingColumns.__slots__]))
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
start = time.perf_counter()
found = estimates(skeins, readings)
took = time.perf_counter() - start
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps({{"seconds": took, "peak_mb": peak / 1024, "grown_mb": (peak - before) / 1024,
                  "effects": len(found.effects), "known": float(found.length_known.mean()),
                  "conflicts": len(found.conflicts)}}))
"""

DRAWS = """
import json, time
import numpy as np
from scipy.special import ndtri
from farspun.craft.draws import COLUMNS, cause_draws, named_draws

ndtri(0.5)
np.random.Generator(np.random.PCG64(1)).permutation(8)
start = time.perf_counter()
for cause in COLUMNS:
    cause_draws(cause)
for number in range(20 - len(COLUMNS)):
    named_draws("skein", f"Skein {number}")
print(json.dumps({"seconds": time.perf_counter() - start, "causes": len(COLUMNS)}))
"""
