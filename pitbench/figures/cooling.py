"""Finish temperature: thermometer readings after a run, brought to one minute after the finish; how cans cool at rest.

Earlier than a minute the can is still heated by the winding, so one minute is the agreed moment. How a can cools is
learned over the runs that have several readings, on a grid of two time constants (`rest_grid`). Nothing else brings a
reading to a minute. Temperatures in °C, times in s after the finish.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pitbench.figures.arrays import Bools, Floats
from pitbench.figures.delays import USUAL, Delays
from pitbench.figures.rest_grid import FEW, MANY, RISE_K, RISE_SD_K, SPREAD, Curves, Grid, Stats, around, classes, usual
from pitbench.figures.spread import normal_point

READING_SD_K, READING_LOG_SD = 1.0, 0.4
"""Noise of one reading of a hand-held thermometer on a can, and sd of its logarithm. Common practice, no source."""
AIR_OF_READING = 0.5
"""Doubt about the air of a rest, for one of a reading of the can. Ours."""
TOLD_LOG_SD = 0.35
LEAST_RISE_K = 3.0
_NOISE_K = READING_SD_K * np.geomspace(0.125, 3.0, 8)
_LATE_S, _LATER_S = 180.0, 900.0
_FEW_WAYS = 128
_NEGLIGIBLE = 1e-4


@dataclass(frozen=True)
class CanReadings:
    """Readings of one can at rest: seconds after the finish (NaN: unknown) and °C, both [n]; ambient in °C."""

    after_s: Sequence[float]
    temp_c: Sequence[float]
    ambient_c: float


@dataclass(frozen=True)
class Rest:
    """How one more run of a class will cool: chances [m] of the curves [m]; runs: how many it was learned from.

    of_class [m]: where the class then lies on its own doubt, in sd: a mean of N(0, 1), above 0 where more is left.
    noise_k: sd of a reading.
    """

    weight: Floats
    curves: Curves
    of_class: Floats
    noise_k: float
    runs: int

    @property
    def air_sd_k(self) -> float:
        """How far the air a can rests in is off the ambient written down, sd in K: read with the same care."""
        return AIR_OF_READING * self.noise_k


@dataclass(frozen=True)
class Finish:
    """What is known of one finish: a mixture over ways to cool [m], each with a normal rise at one minute.

    weight: chances, sum 1; rise_k and sd_k: mean and sd of the can over ambient at one minute; of_class, air_sd_k as
    in `Rest`; habit [m]: as in `Delays`; probe_k: doubt, in sd_k too, that all finishes told by load logs share.
    """

    weight: Floats
    curves: Curves
    rise_k: Floats
    sd_k: Floats
    of_class: Floats
    ambient_c: float
    air_sd_k: float
    habit: Floats
    probe_k: float = 0.0

    @property
    def temp_c(self) -> float:
        """Finish temperature in °C, the mean."""
        return self.ambient_c + float(self.weight @ self.rise_k)

    @property
    def doubt_k(self) -> float:
        """Its standard deviation in K: own_k, shared_k and delay_k in quadrature."""
        mean = self.temp_c - self.ambient_c
        return float(np.sqrt(self.weight @ (self.sd_k**2 + (self.rise_k - mean) ** 2)))

    @property
    def shared_k(self) -> float:
        """By how much the finish moves, in K and with its sign, for one sd of doubt about how the class cools.

        What is wrong there is wrong for all runs of the class (still air and fan apart) at once: the covariance of the
        finish with one N(0, 1) that they share. So is what a probe in the motor differs from the can.
        """
        found = self._goes_with(self.of_class) + self.probe_k
        return min(max(found, -self.doubt_k), self.doubt_k)

    @property
    def delay_k(self) -> float:
        """The same for one sd of doubt about when a can is read that nobody wrote down."""
        most = float(np.sqrt(max(self.doubt_k**2 - self.shared_k**2, 0.0)))
        return min(max(self._goes_with(self.habit), -most), most)

    @property
    def own_k(self) -> float:
        """Standard deviation in K of what is this run's own: thermometer, its own delay, how this run cooled."""
        return float(np.sqrt(max(self.doubt_k**2 - self.shared_k**2 - self.delay_k**2, 0.0)))

    def _goes_with(self, place: Floats) -> float:
        return float(self.weight @ ((self.rise_k - self.weight @ self.rise_k) * place))

    @cached_property
    def few(self) -> "Finish":
        """The same in as few ways to cool as the clock needs: every so many hundredths of what is left late on."""
        if self.weight.size <= _FEW_WAYS:
            return self
        order = np.argsort(self.rise_k * self.curves.left(_LATER_S))
        below = np.cumsum(self.weight[order])
        cell = order[np.searchsorted(below / below[-1], (np.arange(_FEW_WAYS) + 0.5) / _FEW_WAYS)]
        return replace(
            self,
            weight=np.full(_FEW_WAYS, 1 / _FEW_WAYS),
            curves=self.curves.some(cell),
            rise_k=self.rise_k[cell],
            sd_k=self.sd_k[cell],
            of_class=self.of_class[cell],
            habit=self.habit[cell],
        )

    @property
    def told(self) -> bool:
        """Whether the readings tell a finish temperature: over ambient, and not so late that all could have been."""
        return tells(self.temp_c - self.ambient_c, self.doubt_k)


def tells(rise_k: float, doubt_k: float) -> bool:
    """Whether a rise with its sd, both K, says anything about the heat of a run."""
    return rise_k >= LEAST_RISE_K and doubt_k <= TOLD_LOG_SD * rise_k


def learn(runs: Sequence[CanReadings] = ()) -> Rest:
    """How the next run of one class cools, learned over its runs at rest, still air and fan apart.

    Runs with fewer than two readings at known times tell nothing. On coarse grids it is seen where the cooling lies,
    then how well the class's thermometer reads; then the cooling is learned on a fine one. Without runs the priors
    stand.
    """
    told = [run for run in runs if _known(run).sum() >= 2]
    if not told:
        return _rest(usual(), None, READING_SD_K, runs)
    first, _ = _nearer(usual(FEW), told, READING_SD_K * np.ones(1), FEW)
    grid, noise = _nearer(first, told, _NOISE_K, MANY)
    return _rest(grid, _stats(grid, told), noise, runs)


def _nearer(grid: Grid, runs: Sequence[CanReadings], noise_k: Floats, size: tuple[int, int]) -> tuple[Grid, float]:
    """A grid laid where this one has its weight, over several noises of a reading, and the root mean square of those,
    weighed by what they make of the readings."""
    stats = _stats(grid, runs)
    found = [classes(grid, stats, float(noise)) for noise in noise_k]
    log_weight = np.array([each for _, each in found]) - (np.log(noise_k / READING_SD_K) / READING_LOG_SD) ** 2 / 2
    weight = _shares(np.exp(log_weight - log_weight.max()))
    of_class = np.einsum("n,nksfw->ksfw", weight, np.array([each for each, _ in found]))
    run = sum(grid.run_of(of_class[k], float(each)) for k, each in enumerate(SPREAD))
    return around(grid, np.asarray(run), size), float(np.sqrt(weight @ noise_k**2))


def _known(run: CanReadings) -> Bools:
    return np.asarray(~np.isnan(np.asarray(run.after_s, dtype=float)))


def _stats(grid: Grid, runs: Sequence[CanReadings]) -> Stats:
    most = max(len(run.after_s) for run in runs)
    after, rise = np.full((2, len(runs), most), np.nan)
    for row, run in enumerate(runs):
        after[row, : len(run.after_s)] = run.after_s
        rise[row, : len(run.after_s)] = np.asarray(run.temp_c, dtype=float) - run.ambient_c
    return grid.stats(after, rise)


def _rest(grid: Grid, stats: Stats | None, noise_k: float, runs: Sequence[CanReadings]) -> Rest:
    of_class, _ = classes(grid, stats, noise_k)
    place = _place(grid.curves.left(_late(runs)), of_class.sum(axis=0))
    run = np.asarray(sum(grid.run_of(each, float(spread)) for each, spread in zip(of_class, SPREAD, strict=True)))
    moved = sum(grid.run_of(each * place, float(spread)) for each, spread in zip(of_class, SPREAD, strict=True))
    kept = run > _NEGLIGIBLE * run.max()
    each = np.broadcast_arrays(grid.curves.slow_s, grid.curves.fast_s, grid.curves.share, grid.curves.slowing)
    return Rest(
        weight=_shares(run[kept]),
        curves=Curves(*(one[kept] for one in each)),
        of_class=np.asarray(moved / np.maximum(run, 1e-300))[kept],
        noise_k=noise_k,
        runs=0 if stats is None else int(stats.count.size),
    )


def _place(value: Floats, weight: Floats) -> Floats:
    """Where each value lies among all, weighted, as a standard normal; any shape."""
    order = np.argsort(value, axis=None)
    below = np.cumsum(weight.ravel()[order])
    found = np.empty(order.size)
    found[order] = normal_point((below - weight.ravel()[order] / 2) / below[-1])
    return found.reshape(value.shape)


def _late(runs: Sequence[CanReadings]) -> float:
    """When cans of the class are usually read, s: three minutes at least, since what is read early is in no doubt."""
    first = [float(run.after_s[0]) for run in runs if len(run.after_s) and _known(run)[0]]
    return max(float(np.median(first)) if first else 0.0, _LATE_S)


def finish(run: CanReadings, rest: Rest, delays: Delays = USUAL) -> Finish:
    """The finish temperature from any number of readings, and how this can cools.

    A delay under 30 s counts as 30 s, an unknown one as the delays given. In every way to cool the rise is a conjugate
    normal. The same readings in any order give the same finish.
    """
    unknown = np.isnan(np.asarray(run.after_s, dtype=float))
    delay, habit = (delays.after_s, delays.habit) if unknown.any() else np.zeros((2, 1))
    after = np.where(unknown, delay[:, None], np.asarray(run.after_s, dtype=float))
    left = rest.curves.left(after.T[:, :, None])
    rise = (np.asarray(run.temp_c, dtype=float) - run.ambient_c)[:, None, None]
    known = 1 / rest.noise_k**2
    precision = RISE_SD_K**-2 + known * (left**2).sum(axis=0)
    pull = RISE_K / RISE_SD_K**2 + known * (left * rise).sum(axis=0)
    evidence = (pull**2 / precision - np.log(precision)) / 2
    weight = rest.weight * np.exp(evidence - evidence.max())
    kept = weight > _NEGLIGIBLE * weight.max()
    when, cell = np.nonzero(kept)
    mean, sd = (pull / precision)[kept], 1 / np.sqrt(precision[kept])
    return Finish(
        weight=_shares(weight[kept]),
        curves=rest.curves.some(cell),
        rise_k=mean,
        sd_k=sd,
        of_class=rest.of_class[cell],
        ambient_c=run.ambient_c,
        air_sd_k=rest.air_sd_k,
        habit=habit[when],
    )


def guessed(temp_c: float, doubt_k: float, ambient_c: float, rest: Rest) -> Finish:
    """A finish nobody measured, from its temperature and sd, as a forecast gives them."""
    same = np.ones(rest.weight.size)
    return Finish(
        rest.weight,
        rest.curves,
        (temp_c - ambient_c) * same,
        doubt_k * same,
        0 * same,
        ambient_c,
        rest.air_sd_k,
        0 * same,
    )


def _shares(weight: Floats) -> Floats:
    return np.asarray(weight / weight.sum())
