"""What a ranking says about the figures themselves, whatever weight they have: worked out once for a comparison.

Intervals of every figure, the repeatability of each, who is better on the bench, and whose readings do not fit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pitbench.figures.criteria import CURRENT, GOALS, KV, MEASURED
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.misfit import DOES_NOT_FIT
from pitbench.figures.uncertainty import pooled_correlation, speed_per_amp_uncertainty

if TYPE_CHECKING:
    from pitbench.figures.comparison import Drawn


@dataclass(frozen=True)
class Summary:
    """figures: of every motor in the figure's unit, None where no reading carries it; repeatability: σ of one reading.

    bench_leader: the motor with the highest chance of the highest speed per amp, and that chance.
    """

    figures: Mapping[str, Sequence[Interval | None]]
    repeatability: Mapping[str, float | None]
    bench_leader: tuple[int, float] | None
    does_not_fit: frozenset[int]


def summarise(drawn: "Drawn") -> Summary:
    """All of it for one comparison."""
    return Summary(
        figures={name: _intervals(drawn, name) for name in GOALS},
        repeatability=_repeatability(drawn),
        bench_leader=_bench_leader(drawn),
        does_not_fit=frozenset(
            motor
            for name, found in drawn.estimates.items()
            for motor in drawn.asked.of(name).motor[found.weight < DOES_NOT_FIT].tolist()
        ),
    )


def _intervals(drawn: "Drawn", name: str) -> list[Interval | None]:
    known = [drawn.known(name, motor) for motor in range(drawn.asked.n_motors)]
    if not any(known):
        return [None] * len(known)
    return [found if has else None for found, has in zip(intervals(drawn.values[name]), known, strict=True)]


def _bench_leader(drawn: "Drawn") -> tuple[int, float] | None:
    """Among two or more motors that were measured."""
    speed_per_amp = drawn.values["speed_per_amp"]
    known = [motor for motor in range(speed_per_amp.shape[1]) if drawn.known("speed_per_amp", motor)]
    if len(known) < 2:
        return None
    chance = np.bincount(speed_per_amp.argmax(axis=1), minlength=speed_per_amp.shape[1]) / speed_per_amp.shape[0]
    leader = max(known, key=lambda motor: (chance[motor], -motor))
    return leader, float(chance[leader])


def _repeatability(drawn: "Drawn") -> dict[str, float | None]:
    """σ of one reading in the figure's unit; None where no repeat says anything."""
    sigma: dict[str, float | None] = dict.fromkeys(GOALS) | dict(drawn.repeatability)
    for name, found in drawn.estimates.items():
        if found.freedom >= 1:
            sigma[name] = found.noise * (float(drawn.values[name].mean()) / 100 if MEASURED[name].relative else 1.0)
    u_kv, u_current = sigma[KV], sigma[CURRENT]
    if u_kv and u_current:
        kv, current = (float(drawn.values[name].mean()) for name in (KV, CURRENT))
        relative = speed_per_amp_uncertainty(kv, u_kv, current, u_current, _correlation_of_repeats(drawn))
        sigma["speed_per_amp"] = relative * float(drawn.values["speed_per_amp"].mean())
    return sigma


def _correlation_of_repeats(drawn: "Drawn") -> float:
    """How KV and current of one run go together, within motors and sessions; both are always read in a run."""
    kv, current = drawn.asked.of(KV), drawn.asked.of(CURRENT)
    current_of_run = np.full(len(drawn.asked.runs.motor), np.nan)
    current_of_run[current.run] = current.value
    both = ~np.isnan(current_of_run[kv.run])
    group = kv.motor * (int(kv.session.max(initial=0)) + 1) + kv.session
    return pooled_correlation(kv.value[both], current_of_run[kv.run[both]], group[both])
