"""From draws of the score to statements: chance of being best, verdict, and who cannot be told from whom.

Works on draws only and does not know where they come from.
"""

import string

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.criteria import CLEAR, LEANING, SEPARATED
from pitbench.figures.normals import antithetic

UNSEEN_DRAWS = 8


def unseen_part(n_draws: int, n_motors: int, sd: float, *, seed: int = 77) -> Floats:
    """What the bench cannot see, in percent [draws × motors]: N(0, sd), antithetic; an even number of draws."""
    return sd * antithetic(n_draws, n_motors, seed)


def best_of(score: Floats, unseen: Floats) -> Floats:
    """Chance of each motor to be the best given each draw of the score [draws × motors].

    Every draw meets several rows of the unseen part, which stands still while the score is moved on.
    """
    n_draws, n_motors = score.shape
    score, twice = np.ascontiguousarray(score), np.concatenate([unseen, unseen])
    row, best = np.arange(n_draws), np.zeros((n_draws, n_motors), order="F")
    for repeat in range(UNSEEN_DRAWS):
        start = repeat * n_draws // UNSEEN_DRAWS + repeat
        best[row, (score + twice[start : start + n_draws]).argmax(axis=1)] += 1 / UNSEEN_DRAWS
    return best


def verdict_of(chance: float, lead: float, margin: float) -> str:
    """clear: the leader's chance is at least 0.90 and its expected lead a margin; leaning: 0.70; else open.

    >>> verdict_of(0.95, 0.7, 0.5), verdict_of(0.99, 0.2, 0.5), verdict_of(0.6, 0.7, 0.5)
    ('clear', 'leaning', 'open')
    """
    if chance >= CLEAR and lead >= margin:
        return "clear"
    return "leaning" if chance >= LEANING else "open"


def clear_share(chance: Floats, score: Floats, probability: Floats, margin: float) -> float:
    """Probability that a verdict is clear over possible futures, in each of them for whoever then leads.

    Chance and mean score [futures × motors], two motors or more, and the probability of each future.
    """
    order = np.argsort(score, axis=1)
    future = np.arange(score.shape[0])
    first, second = order[:, -1], order[:, -2]
    clear = (chance[future, first] >= CLEAR) & (score[future, first] - score[future, second] >= margin)
    return float(probability[clear].sum())


def groups(score: Floats, unseen: Floats, order: list[int]) -> list[str]:
    """Letters for motors in `order`, best first: motors sharing a letter belong to one stretch of the order whose first
    and last are not separated with probability 0.90; stretches are as long as can be.

    score [draws × motors], unseen [draws × motors]; the letters come back in that same order.
    """
    total = np.ascontiguousarray((score + unseen)[:, order].T)
    n, needed = len(order), SEPARATED * score.shape[0]
    ends = []
    for first in range(n):
        ahead = np.add.reduce(total[first] > total[first + 1 :], axis=1, dtype=np.int32)
        ends.append(first + int(np.max(np.flatnonzero(ahead < needed) + 1, initial=0)))
    letters = [""] * n
    reached, used = -1, 0
    for first, last in enumerate(ends):
        if last > reached:
            for place in range(first, last + 1):
                letters[place] += _letter(used)
            reached, used = last, used + 1
    return letters


def _letter(index: int) -> str:
    """a to z, A to Z, then further letters, so that any number of stretches has one character each."""
    return string.ascii_letters[index] if index < 52 else chr(0x100 + index - 52)
