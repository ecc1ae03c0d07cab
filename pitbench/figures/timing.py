"""Timing of the three Hall sensors: their mean is the timing, their spread an unevenness. Angles in electrical degrees.

A shift common to all sensors is timing, not unevenness (geometry of six-step commutation; qualitative effects of uneven
sensors: Samoylenko, Han & Jatskevich, IEEE Trans. Energy Conversion 23, 2008, from memory).
"""

TOTAL_TOLERANCE_DEG = 1.5
"""A stated total further than this from the mean of the sensors is a suspect. Common practice, no source."""


def sensor_spread(a: float, b: float, c: float) -> float:
    """Largest minus smallest of the three sensor timings, degrees: the largest departure of a commutation step
    from 60°.

    >>> sensor_spread(42.0, 37.0, 41.0)
    5.0
    """
    return max(a, b, c) - min(a, b, c)


def mean_timing(a: float, b: float, c: float) -> float:
    """Mean of the three sensor timings, degrees.

    >>> mean_timing(42.0, 37.0, 41.0)
    40.0
    """
    return (a + b + c) / 3


def total_disagrees(total: float, a: float, b: float, c: float) -> bool:
    """Whether a stated total timing lies more than 1.5° from the mean of the sensors.

    >>> total_disagrees(42.1, 42.4, 41.9, 24.1)
    True
    """
    return abs(total - mean_timing(a, b, c)) > TOTAL_TOLERANCE_DEG


def timing_of(a: float | None, b: float | None, c: float | None, total: float | None) -> float | None:
    """The timing that compares between motors: mean of A, B, C, else the stated total, else None.

    A timing mark is none: it has its own scale and serves within one motor only.

    >>> timing_of(None, 41.0, 42.0, 41.5)
    41.5
    """
    if a is not None and b is not None and c is not None:
        return mean_timing(a, b, c)
    return total
