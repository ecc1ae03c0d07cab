"""How warm a can was at the start: what was typed, weighed against what the clock makes likely.

A start typed from the wrong motor or before it had cooled moves a forecast by some K, and nothing else would show it.
"""

from math import exp, sqrt

READ_K = 1.0
"""Noise of the thermometer (common practice, no source)."""
CLOCK_K, CLOCK_SHARE = 4.0, 0.2
"""Sd of a start as the clock has it: in K, and as a share of what is left over ambient. Ours."""
WRONG, WRONG_K = 0.03, 15.0
"""Share of starts typed wrongly, and how far they then are off. Ours."""


def believed_start(typed_c: float, likely_c: float, ambient_c: float) -> float:
    """Expected start in °C: what was typed by the chance that it is right, else what is likely, the can by the clock or
    ambient where nothing ran before. A normal against one as wide as errors are (Box and Tiao 1968, Biometrika 55,
    recalled).

    >>> [round(believed_start(typed, 30.0, 24.0), 1) for typed in (31.0, 38.0, 50.0)]
    [31.0, 37.7, 30.1]
    """
    off = typed_c - likely_c
    usual = READ_K**2 + CLOCK_K**2 + (CLOCK_SHARE * (likely_c - ambient_c)) ** 2
    right, wrong = ((1 - WRONG) * _density(off, usual), WRONG * _density(off, usual + WRONG_K**2))
    return likely_c + right / (right + wrong) * off


def _density(off: float, variance: float) -> float:
    return exp(-(off**2) / variance / 2) / sqrt(variance)
