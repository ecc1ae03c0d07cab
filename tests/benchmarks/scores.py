"""How stated chances and draws are scored against what was true, with standard errors that know what belongs together.

Cases of one day are not independent, so a share's standard error counts days (a ratio estimate; Cochran, Sampling
Techniques, 3rd ed., 2.11, recalled). Scores: Gneiting & Raftery, Strictly proper scoring rules, prediction, and
estimation, J. Am. Stat. Assoc. 102 (2007), recalled.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

LEAST = 1e-4
"""A chance below this counts as this in the log score: the draws cannot tell it from none."""


@dataclass(frozen=True)
class Share:
    """A share or mean from 0 to 1, its standard error, and how many cases it stands on."""

    value: float
    error: float
    cases: int


def share(days: Iterable[Sequence[float]]) -> Share | None:
    """Mean of all cases, which come by the day they belong to; None without a case.

    >>> share([[1, 1], [0, 0]])
    Share(value=0.5, error=0.5, cases=4)
    """
    found = [(float(np.sum(cases)), len(cases)) for cases in days if len(cases)]
    if not found:
        return None
    total, count = np.array(found).T
    mean, n = total.sum() / count.sum(), count.size
    error = np.sqrt(n / max(n - 1, 1) * ((total - mean * count) ** 2).sum()) / count.sum()
    return Share(float(mean), float(error), int(count.sum()))


def calibration_error(chances: Iterable[tuple[float, bool]]) -> float:
    """Expected calibration error over ten bins of equal width: mean distance of what was stated from what came true."""
    stated, came = np.array(list(chances), dtype=float).T
    which = np.minimum((10 * stated).astype(int), 9)
    apart = np.abs(np.bincount(which, stated, 10) - np.bincount(which, came, 10))
    return float(apart.sum() / stated.size)


def log_skill(chances: Sequence[tuple[float, bool]]) -> float:
    """Log score of one day's chances above that of knowing nothing, in nats: 0 for 1/n each, ln n for the seer.

    >>> log_skill([(0.5, True), (0.5, False)])
    0.0
    """
    (true,) = (stated for stated, came in chances if came)
    return float(np.log(max(true, LEAST) * len(chances)))


def crps(draws: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Continuous ranked probability score of every column of draws [draws × columns], in their unit; 0 is perfect.

    >>> crps(np.array([[0.0], [2.0]]), np.array([0.0]))
    array([0.5])
    """
    n = draws.shape[0]
    ordered, place = np.sort(draws, axis=0), np.arange(1, n + 1)[:, None]
    between = (ordered * (2 * place - n - 1)).sum(axis=0) / n**2
    return np.asarray(np.abs(draws - truth).mean(axis=0) - between)
