"""Tables of the analysis of variance by direct two-pass sums: a judge of the engine on exact layouts.

That it is right, published tables show (`test_anova_tables`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.arrays import Floats, Ints


@dataclass(frozen=True)
class Line:
    """One line of a table: sum of squares, in the square of the unit, and its degrees of freedom."""

    squares: float
    freedom: int

    @property
    def mean_square(self) -> float:
        """Sum of squares per degree of freedom; needs one."""
        return self.squares / self.freedom


@dataclass(frozen=True)
class Table:
    """A line for every term, in the order given, and what is left within the finest groups."""

    terms: tuple[Line, ...]
    within: Line


def table(values: ArrayLike, *terms: Sequence[int]) -> Table:
    """Table of `values` [n] over terms, each given as the group of every value [n], one term or more.

    A term refines the terms before it that its groups lie within: an interaction or a nested factor is the group of
    every combination. Each term is the means, by its groups, of what the terms before it left over. Exact for one
    term and for nested ones with any numbers; for crossed terms when the layout is balanced. Source: textbook
    decomposition, e.g. NIST/SEMATECH e-Handbook 7.4.3 and 3.2.3; two-pass sums for the precision of NIST StRD.

    >>> made = table([1.0, 3.0, 10.0, 14.0], [0, 0, 1, 1])
    >>> made.terms[0], made.within
    (Line(squares=100.0, freedom=1), Line(squares=10.0, freedom=2))
    """
    rest = np.asarray(values, dtype=float)
    rest = rest - rest.mean()
    rest = rest - rest.mean()
    lines: list[Line] = []
    seen: list[Ints] = []
    for term in terms:
        group = np.unique(np.asarray(term), return_inverse=True)[1].astype(np.int64)
        fitted = _means(rest, group)
        rest = rest - fitted
        coarser = [line.freedom for line, other in zip(lines, seen, strict=True) if _within(group, other)]
        lines.append(Line(float(fitted @ fitted), int(group.max()) - sum(coarser)))
        seen.append(group)
    left = rest.size - 1 - sum(line.freedom for line in lines)
    return Table(tuple(lines), Line(float(rest @ rest), left))


def _means(rest: Floats, group: Ints) -> Floats:
    """Mean of each value's group, taken twice so that rounding of a large mean falls out."""
    count = np.bincount(group)
    first = (np.bincount(group, rest) / count)[group]
    return np.asarray(first + (np.bincount(group, rest - first) / count)[group])


def _within(fine: Ints, coarse: Ints) -> bool:
    """Whether every group of `fine` lies in one group of `coarse`."""
    pairs = np.unique(np.stack([fine, coarse]), axis=1)
    return int(pairs.shape[1]) == int(fine.max()) + 1
