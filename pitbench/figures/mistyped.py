"""How likely a number was mistyped, and which number was meant: numbers of one row that depend on one another, judged
together by Bayes' rule. The prior of each cause and how it turns one text into another are handed in, see `Meant`.

The row as typed is held against the row with one number (or two swapped) put right, under the joint normal of what was
foreseen; the density of a row moves by exp(−ΔQ/2), ΔQ = 2·d·P·r + d·P·d for a shift d, residuals r and precision P
(any text on the multivariate normal). A row without an error may have one number far out: TAIL of numbers have an sd
TIMES as large. Constants are ours, chosen on simulated entries (tests/benchmarks/typing_errors); so are the causes'.
"""

from collections.abc import Iterable, Sequence
from math import exp, pi, sqrt
from operator import itemgetter, mul
from typing import Any, NamedTuple

Matrix = list[list[float]]

ERRORS = 0.008
"""Of numbers typed, the share with an error; of runs with a dozen numbers about one in fourteen."""
TAIL, TIMES = 0.006, 4.0
OFFERED = 0.15
"""Chance of an error from which a number is doubted."""
SURE = 0.8
"""Of the chance of an error, the share one repair must have before it is offered."""
QUIET = 3.8
"""Standardised residual below which a number is let pass: what a slip moved by less than four sd does little harm, and
to ask about each would be to ask about too many that are right."""
FAR = 10.0
"""Standardised residual from which a number is far off, however unlikely a slip is. Ours."""
_LARGEST = 600.0
"""Exponents are cut there: a float ends at 709."""


class Meant(NamedTuple):
    """What may have been meant: at which number, by which cause, how far the number moves on its scale.

    share: prior of the cause × chance that this cause made the typed text of it × how much of the scale the meant text
    stands for beside the typed one. value: as written. other: a second number that moves too, how far, and its value.
    lost: digits are lost, so that no more than about what was foreseen can be said.
    """

    at: int
    cause: str
    move: float
    share: float
    value: float
    other: tuple[int, float, float] | None = None
    lost: bool = False

    def at_place(self, place: int) -> float:
        """The number meant there."""
        return self.value if self.other is None or place == self.at else self.other[2]


class Verdict(NamedTuple):
    """Of one number: the chance that it was mistyped; the likely cause (empty: unknown); the number meant, where one is
    SURE, and whether it is read off the typed digits or, where digits are lost, about what was foreseen."""

    chance: float
    cause: str
    meant: float | None
    exact: bool
    other: int | None = None


def precision_of(covariance: Matrix) -> Matrix:
    """The inverse of a small symmetric positive definite matrix, by Gauss and Jordan.

    >>> precision_of([[2.0, 0.0], [0.0, 4.0]])
    [[0.5, 0.0], [0.0, 0.25]]
    """
    n = len(covariance)
    rows = [[*row, *(1.0 if i == j else 0.0 for j in range(n))] for i, row in enumerate(covariance)]
    for i in range(n):
        pivot = rows[i][i]
        rows[i] = [each / pivot for each in rows[i]]
        for j in range(n):
            if j != i and (factor := rows[j][i]):
                rows[j] = [a - factor * b for a, b in zip(rows[j], rows[i], strict=True)]
    return [row[n:] for row in rows]


def standing(residuals: Sequence[float], precision: Matrix) -> list[float]:
    """How far each number lies from where the others and what was foreseen put it, in its sd given those."""
    return [pull / sqrt(precision[i][i]) for i, pull in enumerate(_pulls(residuals, precision))]


def _pulls(residuals: Sequence[float], precision: Matrix) -> list[float]:
    return [sum(map(mul, row, residuals)) for row in precision]


def judged(
    residuals: Sequence[float],
    precision: Matrix,
    widths: Sequence[float],
    meant: Sequence[Meant],
    unknown: float,
    least: float = OFFERED,
) -> dict[int, Verdict]:
    """Numbers more likely mistyped than `least`, and the farthest of those FAR off, by their place; of each the likely
    cause and what was meant.

    residuals: typed − foreseen, each on its scale. widths: the length of the scale over which a number with an error of
    unknown cause may lie anywhere. unknown: share of that cause, of the motor having changed too.
    """
    z, n = standing(residuals, precision), len(residuals)
    sds = [1 / sqrt(precision[i][i]) for i in range(n)]
    pulls = _pulls(residuals, precision)
    moves = [_gain(pulls, precision, each) for each in meant]
    top = max([0.0, *(each * each / 2 for each in z), *moves])

    def weight(share: float, gain: float) -> float:
        return share * exp(max(gain - top, -_LARGEST))

    right = weight(1.0, 0.0)
    right += sum(weight(TAIL / TIMES, z[i] ** 2 / 2 * (1 - 1 / TIMES**2)) for i in range(n))
    nobody = [weight(ERRORS * unknown * sqrt(2 * pi) * sds[i] / widths[i], z[i] ** 2 / 2) for i in range(n)]
    known = [weight(ERRORS * each.share, gain) for each, gain in zip(meant, moves, strict=True)]
    whole = right + sum(nobody) + sum(known)
    farthest = max(range(n), key=lambda i: abs(z[i]))
    found, own = {}, [list[tuple[Meant, float]]() for _ in range(n)]
    for each, w in zip(meant, known, strict=True):
        for at in _places(each):
            own[at].append((each, w / whole))
    for i in range(n):
        chance = nobody[i] / whole + sum(w for _, w in own[i])
        if chance > least or (i == farthest and abs(z[i]) > FAR):
            verdict = _verdict(i, chance, nobody[i] / whole, own[i], sds[i])
            if least < OFFERED or max(abs(z[i]), abs(z[verdict.other]) if verdict.other is not None else 0.0) >= QUIET:
                found[i] = verdict
    return found


def _places(meant: Meant) -> tuple[int, ...]:
    return (meant.at,) if meant.other is None else (meant.at, meant.other[0])


def _gain(pulls: Sequence[float], precision: Matrix, meant: Meant) -> float:
    """−ΔQ/2 of a row put right so."""
    gain = -meant.move * (pulls[meant.at] + precision[meant.at][meant.at] * meant.move / 2)
    if meant.other is None:
        return gain
    other, move, _ = meant.other
    return gain - move * (pulls[other] + precision[other][other] * move / 2 + precision[meant.at][other] * meant.move)


def _verdict(at: int, chance: float, nobody: float, own: list[tuple[Meant, float]], sd: float) -> Verdict:
    number, sure = _likeliest((each.at_place(at), w) for each, w in own)
    if sure >= SURE * chance:
        best, _ = max(((each, w) for each, w in own if each.at_place(at) == number), key=itemgetter(1))
        other = None if best.other is None else best.other[0] if best.at == at else best.at
        return Verdict(chance, best.cause, number, True, other)
    cause, share = _likeliest((each.cause, w) for each, w in own)
    if share < nobody:
        return Verdict(chance, "", None, False)
    near = [(each, w) for each, w in own if each.cause == cause and each.lost]
    if near:
        middle = sum(each.move * w for each, w in near) / sum(w for _, w in near)
        close, _ = min(near, key=lambda pair: abs(pair[0].move - middle))
        if sum(w for each, w in own if each.lost and abs(each.move - close.move) <= sd) >= SURE * chance:
            return Verdict(chance, cause, close.value, False)
    return Verdict(chance, cause, None, False)


def _likeliest(weighed: Iterable[tuple[Any, float]]) -> tuple[Any, float]:
    """What has the most weight, the weights of the same summed."""
    found: dict[Any, float] = {}
    for what, weight in weighed:
        found[what] = found.get(what, 0.0) + weight
    return max(found.items(), key=itemgetter(1), default=("", 0.0))
