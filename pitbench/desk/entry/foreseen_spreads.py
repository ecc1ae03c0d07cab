"""How far readings of each figure lie apart, as it was believed and as the lots of a logbook show."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median

from pitbench.desk.entry.bench_lots import BenchLots
from pitbench.desk.entry.foreseen_values import FIGURES
from pitbench.figures.foreseen import Spreads, learned, unsure

FEW = 2


def spreads_of(lots: BenchLots) -> dict[str, Spreads]:
    """Noise from the repeats of a clamping; what lies between sessions from the lots of a motor.

    A tester is noisy, or moody, in all its figures: each is believed to be what they all show, then asked itself.
    """
    within, between = _apart(lots)
    noisy = _times({name: (each.spreads.noise, within[name]) for name, each in FIGURES.items()})
    noise = {
        name: max(learned(each.spreads.noise * noisy, within[name]), each.spreads.noise / 9)
        for name, each in FIGURES.items()
    }
    apart = {name: each.spreads.session + each.spreads.clamping + noise[name] / FEW for name, each in FIGURES.items()}
    moody = _times({name: (apart[name], between[name]) for name in FIGURES})
    found = {}
    for name, each in FIGURES.items():
        times = max(learned(apart[name] * moody, between[name]) / apart[name], 0.2)
        spreads = each.spreads
        here, apart_too = unsure(len(within[name])), times * unsure(len(between[name]))
        found[name] = Spreads(
            noise[name] * here, spreads.clamping * apart_too, spreads.session * apart_too, spreads.motor
        )
    return found


def _apart(lots: BenchLots) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
    """Deviations of readings within a lot, and of lots of a motor under the same conditions, by figure."""
    within: dict[str, list[float]] = defaultdict(list)
    between: dict[str, list[float]] = defaultdict(list)
    for (name, _), own in lots.of.items():
        alike: dict[object, list[float]] = defaultdict(list)
        for where, lot in own.items():
            values = [value for _, value in lot]
            alike[where[1:]].append(median(values))
            within[name] += _off(values)
        for means in alike.values():
            between[name] += _off(means)
    return within, between


def _off(values: Sequence[float]) -> list[float]:
    """What values that should be alike differ by from one to the next, as deviations of one."""
    return [(one - other) / 2**0.5 for one, other in pairwise(values)]


def _times(figures: Mapping[str, tuple[float, Sequence[float]]]) -> float:
    """How many times the variance believed all figures together show."""
    return learned(1.0, [each / believed**0.5 for believed, off in figures.values() for each in off])
