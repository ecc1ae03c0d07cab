"""Warmth of a motor on the bench: what it does to KV, and the temperature of a run nobody measured one for.

The can is not the rotor, so the slope is learned; this module gives its prior, the reference and the filling-in.
Temperatures in °C, slopes in percent of KV per kelvin of measured temperature.
"""

from collections import defaultdict
from collections.abc import Sequence
from functools import cache
from statistics import median

import numpy as np

KV_SLOPE_PCT_PER_K = 0.07
KV_SLOPE_SD_PCT_PER_K = 0.04
"""Prior of the slope of KV on measured temperature. Ours, from one physical simulation."""
REFERENCE_C = 25.0
FILLED_IN_SD_K = 4.0
"""Standard uncertainty of a motor temperature that was filled in. Ours."""


def kv_at_reference(kv: float, motor_temp_c: float, slope_pct_per_k: float = KV_SLOPE_PCT_PER_K) -> float:
    """KV in rpm/V brought to 25 °C: KV·exp(−slope·(T − 25)/100), on the log scale the slope is learned on.

    >>> kv_at_reference(3953.0, 31.0)
    3936.4322
    """
    return float(kv * np.exp(-slope_pct_per_k * (motor_temp_c - REFERENCE_C) / 100))


def filled_temperatures(
    motor_temp: Sequence[float | None],
    ambient: Sequence[float | None],
    motor: Sequence[int],
    sitting: Sequence[int],
    run_number: Sequence[int],
) -> list[float] | None:
    """A motor temperature for every run, or None when no run has one. All sequences [n]; labels are integers.

    A run without gets ambient plus the median rise of the other motors at the same run number of its sitting, else of
    all sittings, else the median of all rises. Its ambient is its own, else the median of its sitting, else of all;
    with no ambient anywhere it gets the median motor temperature in place of ambient plus rise.
    """
    known = [t for t in motor_temp if t is not None]
    if not known:
        return None
    if len(known) == len(motor_temp):
        return known
    air = _ambients(ambient, sitting)
    rises: dict[tuple[int, ...], list[tuple[int, float]]] = defaultdict(list)
    for t, base, own, where, number in zip(motor_temp, air, motor, sitting, run_number, strict=True):
        if t is not None and base is not None:
            for key in ((number, where), (number,), ()):
                rises[key].append((own, t - base))
    overall, usual = median(known), median([rise for _, rise in rises[()]]) if rises[()] else None

    @cache
    def rise_of(own: int, where: int, number: int) -> float | None:
        for key in ((number, where), (number,)):
            others = [rise for other, rise in rises[key] if other != own]
            if others:
                return median(others)
        return usual

    def filled(i: int) -> float:
        base, rise = air[i], rise_of(motor[i], sitting[i], run_number[i])
        return overall if base is None or rise is None else base + rise

    return [filled(i) if t is None else t for i, t in enumerate(motor_temp)]


def _ambients(ambient: Sequence[float | None], sitting: Sequence[int]) -> list[float | None]:
    """Ambient of every run: its own, else the median of its sitting, else of all."""
    here: dict[int, list[float]] = defaultdict(list)
    for a, s in zip(ambient, sitting, strict=True):
        if a is not None:
            here[s].append(a)
    if not here:
        return list(ambient)
    middle = {s: median(found) for s, found in here.items()}
    overall = median([a for found in here.values() for a in found])
    return [middle.get(s, overall) if a is None else a for a, s in zip(ambient, sitting, strict=True)]
