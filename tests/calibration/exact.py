"""The exact posterior of a small simulated stash, by plain dense conditioning.

One long vector holds every cause of every reading: for each skein ln L, ln T and its own part of
ln φ, then what skeins share. Its prior is diagonal; the readings are rows; conditioning is least
squares of all of them at once. Constants and rows are those of the simulator, written from
docs/measuring.md; nothing here is of farspun, and it is far too slow for a stash of any size.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calibration import simulator

Floats = NDArray[np.float64]
PRIOR = ((math.log(200), 3.0), (math.log(250), 1.5))
STEP_SD = 1 / math.sqrt(12)
# times the sd of the priors of ln L and ln T where what skeins share is learned: those priors are
# wide because nothing is known, and of many skeins alike they would make false evidence
UNHEARD = 1000


@dataclass
class Dense:
    """Rows A u = y ± sd over the causes u, whose prior is N(mean, diag(sd²))."""

    skeins: int
    prior_mean: list[float]
    prior_sd: list[float]
    shared: dict[str, int] = field(default_factory=dict)
    rows: list[dict[int, float]] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    sd: list[float] = field(default_factory=list)
    owner: list[int] = field(default_factory=list)

    def cause(self, name: str, sd: float) -> int:
        """Position of a shared cause of that prior sd, made when first met."""
        if name not in self.shared:
            self.shared[name] = len(self.prior_mean)
            self.prior_mean.append(0.0)
            self.prior_sd.append(sd)
        return self.shared[name]

    def read(self, owner: int, row: dict[int, float], y: float, sd: float) -> None:
        """One more reading."""
        self.owner.append(owner)
        self.rows.append(row)
        self.y.append(y)
        self.sd.append(sd)

    @property
    def matrix(self) -> Floats:
        """Rows as an array (readings, causes)."""
        A = np.zeros((len(self.rows), len(self.prior_mean)))
        for at, row in enumerate(self.rows):
            A[at, list(row)] = list(row.values())
        return A

    def posterior(self, without: int | None = None) -> tuple[Floats, Floats]:
        """Mean and covariance of all causes, given all readings (but those of one skein).

        What is shared is learned from readings alone; each skein's own, given that.
        """
        keep = np.array(self.owner) != (-1 if without is None else without)
        A, y, sd = self.matrix[keep], np.array(self.y)[keep], np.array(self.sd)[keep]
        middle, prior_sd = np.array(self.prior_mean), np.array(self.prior_sd)
        wide_sd, own = prior_sd.copy(), np.arange(len(middle)) < 3 * self.skeins
        wide_sd[: 3 * self.skeins][np.arange(3 * self.skeins) % 3 < 2] *= UNHEARD
        learned, learned_cov = _conditioned(A, y, sd, middle, wide_sd)
        b, V = learned[~own], learned_cov[np.ix_(~own, ~own)]
        rest = y - A[:, ~own] @ b
        mean, C = _conditioned(A[:, own], rest, sd, middle[own], prior_sd[own])
        G = C @ A[:, own].T @ (A[:, ~own] / sd[:, None] ** 2)
        joint = np.block([[C + G @ V @ G.T, -G @ V], [-V @ G.T, V]])
        return np.concatenate([mean, b]), joint


def _conditioned(
    A: Floats, y: Floats, sd: Floats, middle: Floats, prior_sd: Floats
) -> tuple[Floats, Floats]:
    """u ~ N(middle, diag(prior_sd²)) given A u = y ± sd, by least squares of all rows at once."""
    rows = np.vstack([A / sd[:, None], np.diag(1 / prior_sd)])
    Q, R = np.linalg.qr(rows)
    root = np.linalg.inv(R)
    return root @ (Q.T @ np.concatenate([y / sd, middle / prior_sd])), root @ root.T


def dense_system(stash: simulator.Stash) -> Dense:
    """Every reading of the stash as a row over all its causes."""
    system = Dense(len(stash.skeins), [], [])
    for skein in stash.skeins:
        middle, log_sd = simulator.FIBRES[skein.fibre].packing[skein.wrap]
        wrapped = any(reading.kind == "wrapped" for reading in skein.readings)
        own_sd = log_sd * (simulator.OWN if wrapped else 1.0)
        for mean, sd in (*PRIOR, (math.log(middle), own_sd)):
            system.prior_mean.append(mean)
            system.prior_sd.append(sd)
    for at, skein in enumerate(stash.skeins):
        for reading in skein.readings:
            _READ[reading.kind](system, at, skein, reading)
    return system


def _weighed(system: Dense, at: int, skein: simulator.Skein, reading: simulator.Reading) -> None:
    step = reading.step_g * STEP_SD / reading.mass_g
    sd = math.hypot(step, simulator.HUMIDITY_SD)
    system.read(at, {3 * at: 1, 3 * at + 1: 1}, math.log(1000 * reading.mass_g), sd)


def _counted(system: Dense, at: int, skein: simulator.Skein, reading: simulator.Reading) -> None:
    middle, sd = simulator.RELAXATION[reading.state, simulator.FIBRES[skein.fibre].elastic]
    if skein.as_spun:
        middle, sd = 0.0, 0.0
    log_sd = sd / (1 - middle)
    row = {3 * at: 1.0, system.cause(f"tool {reading.tool}", simulator.TOOL_SD): 1.0}
    if log_sd > 0:
        lot = f"relaxation {skein.lot} {reading.state}"
        row[system.cause(lot, simulator.SHARED * log_sd)] = 1.0
    own = math.hypot(simulator.COUNT_SD, simulator.OWN * log_sd)
    system.read(at, row, math.log(reading.length_m * (1 - middle)), own)


def _test_length(
    system: Dense, at: int, skein: simulator.Skein, reading: simulator.Reading
) -> None:
    uneven = simulator.UNEVENNESS * math.sqrt(10 / (10 + reading.length_m))
    step = reading.step_g * STEP_SD / reading.mass_g
    tex = 1000 * reading.mass_g / reading.length_m
    sd = math.hypot(uneven, step, simulator.MEASURING_SD)
    system.read(at, {3 * at + 1: 1}, math.log(tex), sd)


def _wrapped(system: Dense, at: int, skein: simulator.Skein, reading: simulator.Reading) -> None:
    # 10 mm hold w wraps of diameter d = √(4T/(1000πρφ)) mm
    bare = 10 / math.sqrt(4 / (1000 * math.pi * simulator.FIBRES[skein.fibre].density))
    log_sd = simulator.FIBRES[skein.fibre].packing[skein.wrap][1]
    style = system.cause(f"wraps {skein.wrap_style}", simulator.SHARED * log_sd)
    row = {3 * at + 1: -0.5, 3 * at + 2: 0.5, style: 0.5}
    system.read(at, row, math.log(reading.wraps_per_cm / bare), simulator.WRAPS_SD)


def _labelled(system: Dense, at: int, skein: simulator.Skein, reading: simulator.Reading) -> None:
    system.read(at, {3 * at + 1: 1}, math.log(reading.tex), simulator.LABEL_SD)


_READ = {
    "weighed": _weighed,
    "counted": _counted,
    "test length": _test_length,
    "wrapped": _wrapped,
    "labelled": _labelled,
}


def of_skeins(
    system: Dense, stash: simulator.Stash, mean: Floats, cov: Floats
) -> tuple[Floats, Floats]:
    """Mean (n, 3) and covariance (n, 3, n, 3) of (ln L, ln T, ln φ): φ with what it shares."""
    n = system.skeins
    take = np.zeros((3 * n, len(mean)))
    take[:, : 3 * n] = np.eye(3 * n)
    for at, skein in enumerate(stash.skeins):
        if any(reading.kind == "wrapped" for reading in skein.readings):
            take[3 * at + 2, system.shared[f"wraps {skein.wrap_style}"]] = 1
    return (take @ mean).reshape(n, 3), (take @ cov @ take.T).reshape(n, 3, n, 3)


def chi_squared(system: Dense, at: int) -> float:
    """Of one skein's readings, its packing prior, and what the rest says of causes it shares.

    All at the full posterior; ln L and ln T carry no prior of their own here.
    """
    mean, _ = system.posterior()
    others, others_cov = system.posterior(without=at)
    rows = np.flatnonzero(np.array(system.owner) == at)
    A = system.matrix[rows]
    off = (np.array(system.y)[rows] - A @ mean) / np.array(system.sd)[rows]
    packing = 3 * at + 2
    prior = (mean[packing] - system.prior_mean[packing]) / system.prior_sd[packing]
    shared = np.flatnonzero(A.any(axis=0) & (np.arange(len(mean)) >= 3 * system.skeins))
    gap = (mean - others)[shared]
    moved = gap @ np.linalg.solve(others_cov[np.ix_(shared, shared)], gap)
    return float(off @ off + prior**2 + moved)


def freedom(system: Dense, at: int) -> int:
    """Readings and one packing prior, less the rank of their rows in ln L, ln T and ln φ."""
    rows = np.flatnonzero(np.array(system.owner) == at)
    A = np.vstack([system.matrix[rows][:, 3 * at : 3 * at + 3], [0, 0, 1]])
    return int(len(A) - np.linalg.matrix_rank(A))


def pulls(system: Dense) -> Floats:
    """Residuals over their own sd: Var(y - ŷ) = R - A C Aᵀ."""
    mean, cov = system.posterior()
    A = system.matrix
    left = np.square(system.sd) - np.einsum("ri,ij,rj->r", A, cov, A)
    off = np.array(system.y) - A @ mean
    judged = left > 1e-3 * np.square(system.sd)
    return np.asarray(np.where(judged, off / np.sqrt(np.where(judged, left, 1.0)), 0.0))


def left_samples(
    stash: simulator.Stash, at: list[int], rng: np.random.Generator, draws: int
) -> tuple[Floats, Floats]:
    """Metres now left of the skeins `at` together, (draws,), and the weight of each draw.

    What was taken is taken off each draw; a later weighing weighs the draws by how well they
    would have given it.
    """
    system = dense_system(stash)
    mean, cov = system.posterior()
    causes = [place for skein in at for place in (3 * skein, 3 * skein + 1)]
    root = np.linalg.cholesky(cov[np.ix_(causes, causes)])
    logs = mean[causes] + rng.standard_normal((draws, len(causes))) @ root.T
    total, log_weight = np.zeros(draws), np.zeros(draws)
    for number, skein in enumerate(at):
        length_m, tex = np.exp(logs[:, 2 * number]), np.exp(logs[:, 2 * number + 1])
        left_m = length_m.copy()
        for event in stash.skeins[skein].events:
            if event.kind == "take":
                said = event.length_m
                gone_m = 1000 * event.mass_g / tex if math.isnan(said) else said
                left_m -= gone_m * (1 + simulator.TAKING_SD * rng.standard_normal(draws))
                log_weight[left_m <= 0] = -np.inf
                left_m = np.maximum(left_m, 1e-9)
                continue
            gone = 1 - left_m / length_m
            variance = (simulator.UNEVENNESS * gone) ** 2 * 10 / (10 + left_m)
            variance += simulator.HUMIDITY_SD**2 + (event.step_g * STEP_SD / event.mass_g) ** 2
            off = math.log(1000 * event.mass_g) - np.log(left_m * tex)
            log_weight -= off**2 / (2 * variance) + np.log(variance) / 2
        total += left_m
    return total, np.exp(log_weight - log_weight.max())


def quantile(values: Floats, weights: Floats, level: float) -> float:
    """The value that this share of the weight does not exceed."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(reached, level * reached[-1])])
