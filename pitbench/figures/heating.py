"""How a can warms in a run and cools at rest: a body of one temperature, heated evenly, losing heat in proportion.

The law (lumped capacitance) and nothing learned from runs: cooling and heat_fit learn, forecast uses. Temperatures
in °C, rises in K above ambient, times in s.
"""

import numpy as np

from pitbench.figures.arrays import Floats

USUAL_LENGTH_S = 300.0
"""The run length rises are compared at: five minutes, a usual round of the class (common practice)."""

EMPTYING_PER_S = 0.00025
"""Heat lost a second as the pack empties, as a share of the first heat. Ours, from physical simulations."""
LONGEST_FALL_S = 1200.0
"""So long heat keeps falling: a pack that lasts longer is spent more slowly. Ours."""


def left(after_s: float | Floats, time_constant_s: float | Floats) -> Floats:
    """Share of a rise that is left after a time at rest: e^(−t/τ). Source: Newton's law of cooling.

    >>> round(float(left(480.0, 480.0)), 4)
    0.3679
    """
    share: Floats = np.exp(-np.asarray(after_s) / time_constant_s)
    return share


def left_slowing(after_s: float | Floats, time_constant_s: float | Floats, power: float | Floats) -> Floats:
    """Share of a rise left where the loss goes with the rise to 1 + power: (1 + n·t/τ)^(−1/n), τ that of the start.

    Source: natural convection takes heat with the rise to 1.25 (McAdams's correlations, any heat-transfer textbook,
    recalled), radiation and what is conducted with less; dr/dt = −r/τ·(r/R)^n, integrated. A power near 0 is `left`.

    >>> left_slowing(480.0, 480.0, np.array([1e-6, 0.25])).round(4).tolist()
    [0.3679, 0.4096]
    """
    share: Floats = np.exp(-np.log1p(power * np.asarray(after_s) / time_constant_s) / power)
    return share


def warmed(length_s: float | Floats, time_constant_s: float | Floats) -> Floats:
    """Share of the final rise that is reached from cold: 1 − e^(−t/τ). Source: lumped capacitance, any heat-transfer
    textbook; holds while the body inside is nearly even (Biot number under 0.1) and heating and airflow stay the same.

    >>> round(float(warmed(150.0, 150.0)), 4)
    0.6321
    """
    share: Floats = 1 - left(length_s, time_constant_s)
    return share


def heated(length_s: float | Floats, time_constant_s: float | Floats) -> Floats:
    """Share of the final rise under the first heat that is reached from cold while heat falls as the pack empties:
    (1 + λτ)(1 − e^(−t/τ)) − λt. Source: lumped capacitance under a heat falling in a straight line, solved by hand.

    >>> heated(np.array([300.0, 480.0]), 150.0).round(4).tolist()
    [0.8221, 0.8752]
    """
    falls = EMPTYING_PER_S * np.minimum(length_s, LONGEST_FALL_S)
    share: Floats = (1 + EMPTYING_PER_S * np.asarray(time_constant_s)) * warmed(length_s, time_constant_s) - falls
    return share


def of_five_minutes(length_s: float | Floats, time_constant_s: Floats) -> Floats:
    """Rise from cold after a run of this length ÷ the rise after five minutes.

    >>> of_five_minutes(150.0, np.array([150.0, 300.0])).round(4).tolist()
    [0.7521, 0.6377]
    """
    share: Floats = heated(length_s, time_constant_s) / heated(USUAL_LENGTH_S, time_constant_s)
    return share
