"""How a can warms in a run and cools at rest: a body of one temperature, heated evenly, losing heat in proportion.

The law (lumped capacitance) and nothing learned from runs: cooling and heat_fit learn, forecast uses. Temperatures
in °C, rises in K above ambient, times in s.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
USUAL_LENGTH_S = 300.0
"""The run length rises are compared at: five minutes, a usual round of the class (common practice)."""


def left(after_s: float | Floats, time_constant_s: float | Floats) -> Floats:
    """Share of a rise that is left after a time at rest: e^(−t/τ). Source: Newton's law of cooling.

    >>> round(float(left(480.0, 480.0)), 4)
    0.3679
    """
    share: Floats = np.exp(-np.asarray(after_s) / time_constant_s)
    return share


def warmed(length_s: float | Floats, time_constant_s: float | Floats) -> Floats:
    """Share of the final rise that is reached from cold: 1 − e^(−t/τ). Source: lumped capacitance, any heat-transfer
    textbook; holds while the body inside is nearly even (Biot number under 0.1) and heating and airflow stay the same.

    >>> round(float(warmed(150.0, 150.0)), 4)
    0.6321
    """
    share: Floats = 1 - left(length_s, time_constant_s)
    return share


def of_five_minutes(length_s: float | Floats, time_constant_s: Floats) -> Floats:
    """Rise from cold after a run of this length ÷ the rise after five minutes.

    >>> of_five_minutes(150.0, np.array([150.0, 300.0])).round(4).tolist()
    [0.7311, 0.6225]
    """
    share: Floats = warmed(length_s, time_constant_s) / warmed(USUAL_LENGTH_S, time_constant_s)
    return share


def final_rise(rise_once: float, rise_twice: float) -> float:
    """Rise in K a heat run tends to, from its rise after some time and after twice that time: r1² / (2·r1 − r2).

    Source: equal-interval rule of heat runs (Theraja, A Textbook of Electrical Technology, vol. III, ch. 45).
    ValueError unless r1 < r2 < 2·r1. Not for forecasts: from runs of like length the final rise cannot be told.

    >>> final_rise(25.0, 37.5)
    50.0
    """
    if not rise_once < rise_twice < 2 * rise_once:
        raise ValueError("the second rise must lie between the first and twice the first")
    return rise_once**2 / (2 * rise_once - rise_twice)


def time_constant(before: float, after: float, elapsed_s: float) -> float:
    """Time constant in s of a difference that fell from `before` to `after` in `elapsed_s`: t / ln(before/after).

    For cooling the difference is the rise, for heating what is missing to the final rise. ValueError unless
    0 < after < before. Source: Newton's law of cooling.

    >>> round(time_constant(45.0, 10.0, 5400.0))
    3590
    """
    if not 0 < after < before:
        raise ValueError("the difference must get smaller and stay above zero")
    return float(elapsed_s / np.log(before / after))
