"""Runs of a ranking to look at again: far off the others of their motor, or kept in spite of a doubt and alone with it.

One mistyped number makes every run count for less, and moves the figures of the other motors too. The engine weighs
what does not fit, which takes more than a few runs to see; the plain rule here sees it from two runs on. Nothing is
left out: the person decides. How a single number is doubted while it is typed stands in `entry.suspects`.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from pitbench.desk.answers import OddRun, Why
from pitbench.desk.comparing.gather import Gathered
from pitbench.figures.comparison import Drawn
from pitbench.figures.misfit import DOES_NOT_FIT
from pitbench.figures.readings import Readings

FACTORS = {"kv_rpm_per_v": 1.5, "no_load_current_a": 3.0, "resistance_mohm": 1.5}
"""Runs of one build at one voltage never differ by more than that: a whole timing sweep moves KV by a third, and may
double the current. Common practice, no source."""
CONFIRMED_WITHIN = {"kv_rpm_per_v": 1.02, "no_load_current_a": 1.1, "resistance_mohm": 1.1}
"""Another run this near says the same: ten times the usual repeatability, as in `entry.suspects`. Ours."""
TYPED_AS = {"rpm": "kv_rpm_per_v", "erpm": "kv_rpm_per_v"}
Doubts = Mapping[int, Sequence[str]]
"""Fields whose unlikely value was kept, by the place of their run among those gathered."""
WHYS: tuple[Why, ...] = ("apart", "kept", "fit")


def odd_runs(gathered: Gathered, drawn: Drawn) -> list[OddRun]:
    """At most one a motor, the plainest; by kind of doubt, then by motor."""
    names = [motor["name"] for motor in gathered.motors]
    doubts = {at: run["kept"] for at, run in enumerate(gathered.runs) if run.get("kept")}
    found: dict[str, OddRun] = {}
    for figure in (*FACTORS, *(name for name in drawn.estimates if name not in FACTORS)):
        for odd in _of_figure(gathered, drawn, figure, names, doubts):
            known = found.get(odd.motor)
            if known is None or WHYS.index(odd.why) < WHYS.index(known.why):
                found[odd.motor] = odd
    return sorted(found.values(), key=lambda odd: (WHYS.index(odd.why), names.index(odd.motor)))


def _of_figure(gathered: Gathered, drawn: Drawn, figure: str, names: list[str], doubts: Doubts) -> Iterator[OddRun]:
    readings = drawn.asked.of(figure)

    def odd(at: int, why: Why, times: float | None = None) -> OddRun | None:
        motor, run = int(readings.motor[at]), int(readings.run[at])
        if run < 0:  # written on the motor, or at another voltage: no run of this ranking
            return None
        value, count = float(readings.value[at]), int(((readings.motor == motor) & (readings.run >= 0)).sum())
        return OddRun(names[motor], gathered.runs[run]["taken_at"], figure, why, value, count, times)

    apart = [odd(at, "apart", times) for at, times in _apart(readings, figure, doubts)]
    kept = [odd(at, "kept") for at in _kept(readings, figure, doubts)]
    fit = [odd(at, "fit") for at in _worst(readings, drawn.estimates[figure].weight, DOES_NOT_FIT)]
    yield from (each for each in (*apart, *kept, *fit) if each is not None)


def _apart(readings: Readings, figure: str, doubts: Doubts) -> Iterator[tuple[int, float]]:
    """Of every motor whose readings of a figure differ too much: the worst, and how far it lies off."""
    if figure not in FACTORS:
        return
    for motor in np.unique(readings.motor).tolist():
        own = np.flatnonzero(readings.motor == motor)
        value = readings.value[own]
        if value.max() <= FACTORS[figure] * value.min():
            continue
        off = _times(value, float(np.median(value))) if own.size > 2 else np.full(2, value.max() / value.min())
        others = readings.value[readings.motor != motor]
        usual = float(np.median(others if others.size else value))
        doubted = np.isin(own, _doubted(readings, figure, doubts))
        # of two that differ alike: the one doubted when it came, the one farther from the other motors, the newer
        order = np.lexsort((own, _times(value, usual).round(3), doubted, off.round(6)))
        worst = int(order[-1])
        if off[worst] > FACTORS[figure]:
            yield int(own[worst]), float(off[worst])


def _kept(readings: Readings, figure: str, doubts: Doubts) -> Iterator[int]:
    """Readings kept in spite of a doubt that no other reading of their motor confirms."""
    if figure not in FACTORS:
        return
    for at in _doubted(readings, figure, doubts):
        near = _times(readings.value, readings.value[at]) <= CONFIRMED_WITHIN[figure]
        if int((near & (readings.motor == readings.motor[at])).sum()) < 2:
            yield at


def _doubted(readings: Readings, figure: str, doubts: Doubts) -> list[int]:
    """Readings of a figure that were doubted when they came, and kept."""
    runs = [run for run, kept in doubts.items() if any(TYPED_AS.get(name, name) == figure for name in kept)]
    found: list[int] = np.flatnonzero(np.isin(readings.run, runs)).tolist()
    return found


def _worst(readings: Readings, weight: Any, below: float) -> list[int]:
    """Of every motor with weights [n] below that: the reading that fits worst."""
    worst: dict[int, int] = {}
    for at in (weight < below).nonzero()[0].tolist():
        motor = int(readings.motor[at])
        if motor not in worst or weight[at] < weight[worst[motor]]:
            worst[motor] = at
    return list(worst.values())


def _times(value: Any, centre: float) -> Any:
    """How many times more, or less, each value is than the centre [n]."""
    return np.maximum(value / centre, centre / value)
