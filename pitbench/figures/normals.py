"""Standard normals for all draws: every column holds the same evenly spread quantiles, in an order of its own.

Stratified columns keep a chance steadier than independent normals at the same number of draws (Latin hypercube: McKay,
Beckman & Conover, Technometrics 21, 1979, recalled). The partner of a row is its negative (antithetic). They depend on
nothing but their number, so they are kept.
"""

from functools import lru_cache
from statistics import NormalDist

import numpy as np

from pitbench.figures.arrays import Floats, Ints

SEED = 20_260_412


@lru_cache(maxsize=24)
def stratified(rows: int, columns: int, seed: int) -> Floats:
    """Normals [rows × columns], read-only; other seeds give other orders.

    >>> sorted(stratified(2, 1, 0).ravel().tolist())
    [-0.6745, 0.6745]
    """
    rng = np.random.default_rng([SEED, seed])
    found = np.ascontiguousarray(rng.permuted(np.tile(_quantiles(rows), (columns, 1)), axis=1).T)
    found.flags.writeable = False
    return found


@lru_cache(maxsize=4)
def _quantiles(rows: int) -> Floats:
    """What every column holds, in order [rows]."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((row + 0.5) / rows) for row in range(rows)])


@lru_cache(maxsize=24)
def shuffled(count: int, seed: int) -> Ints:
    """The numbers from 0 to count − 1 in an order of their own for every seed, read-only.

    >>> sorted(shuffled(3, 0).tolist())
    [0, 1, 2]
    """
    found = np.random.default_rng([SEED, seed]).permutation(count)
    found.flags.writeable = False
    return found


def resampled(weight: Floats, count: int, seed: int) -> Ints:
    """Nodes as often as their weight says (systematic resampling), in an order of their own for every seed."""
    at = np.searchsorted(np.cumsum(weight), (np.arange(count) + 0.5) / count)
    return np.minimum(at, weight.size - 1)[shuffled(count, seed)]


def antithetic(rows: int, columns: int, seed: int) -> Floats:
    """Normals [rows × columns], the second half the negative of the first; an even number of rows."""
    half = stratified(rows // 2, columns, seed)
    return np.concatenate([half, -half])
