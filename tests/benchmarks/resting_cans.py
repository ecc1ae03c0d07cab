"""A simulator of cans at rest, drawn from physics and not from the law that is fitted.

A motor is three bodies: winding, can, and an outer part that the air meets (skin, heat sink). They are heated by a run
and rest in still air, which takes more from a hotter can, or under a fan. Heat capacities, links and air differ widely
between classes, air and effort from run to run. The thermometer touches one place or another. Many classes are drawn at
once, as arrays [classes × runs].
"""

from dataclasses import dataclass

import numpy as np

STEP_S = 3.0
"""Of the integration; all times read are whole steps."""
LAST_S = 7200.0
PLACES = {"can": (0.0, 1.0, 0.0), "skin": (0.0, 0.0, 1.0), "near the winding": (0.35, 0.65, 0.0)}
"""Where the thermometer touches: shares of winding, can and skin in what it reads."""


@dataclass(frozen=True)
class Kind:
    """What classes are drawn. place: where they are read; fan: whether they rest under one; spread: sd of the log of
    what differs between runs of one class; natural: power of the rise in what still air takes."""

    place: str = "can"
    fan: bool = False
    spread: float = 0.06
    natural: float = 0.15


KINDS = {
    "read at the can": Kind(),
    "read at the skin": Kind(place="skin"),
    "read near the winding": Kind(place="near the winding"),
    "under a fan": Kind(fan=True),
    "runs much unlike each other": Kind(spread=0.15),
    "air takes the same a kelvin": Kind(natural=0.0),
    "air takes much more when hot": Kind(natural=0.25),
}


@dataclass(frozen=True)
class Resting:
    """Temperature where the thermometer touches, every STEP_S from the finish on [times × classes × runs]; air
    [classes × runs]."""

    temp_c: np.ndarray
    air_c: np.ndarray

    def at(self, after_s: np.ndarray | float) -> np.ndarray:
        """The same so long after the finish, to the step."""
        return self.temp_c[np.round(np.asarray(after_s) / STEP_S).astype(int)]


def draw(kind: Kind, classes: int, runs: int, seed: int) -> Resting:
    """So many classes, each with so many runs at rest."""
    rng = np.random.default_rng(seed)

    def of_class(low: float, high: float) -> np.ndarray:
        return np.exp(rng.uniform(np.log(low), np.log(high), (classes, 1)))

    def of_run(spread: float) -> np.ndarray:
        return np.exp(spread * rng.standard_normal((classes, runs)))

    heat = np.stack(np.broadcast_arrays(of_class(15, 60), of_class(30, 120), of_class(5, 40)))  # J/K
    links = np.stack(np.broadcast_arrays(of_class(0.4, 2.5), of_class(0.3, 3.0)))  # W/K
    still = of_class(0.10, 0.35) * of_run(kind.spread) * (of_class(1.5, 4.0) if kind.fan else 1.0)  # W/K at 40 K
    moving = of_class(0.3, 0.9) * of_run(kind.spread)
    rise, copper = of_class(30, 60) * of_run(0.12), of_class(0.45, 0.9)
    air = rng.uniform(12, 32, (classes, runs))
    natural = 0.0 if kind.fan else kind.natural

    def warming(off: np.ndarray, to_air: np.ndarray, power: np.ndarray | float) -> np.ndarray:
        inner, outer = links[0] * (off[0] - off[1]), links[1] * (off[1] - off[2])
        gained = np.stack([power * copper - inner, power * (1 - copper) + inner - outer, outer - to_air * off[2]])
        return gained / heat[:, :, :1]

    def step(off: np.ndarray, base: np.ndarray, power: np.ndarray | float, exponent: float) -> np.ndarray:
        def at(now: np.ndarray) -> np.ndarray:
            return warming(now, base * (np.maximum(now[2], 1.0) / 40) ** exponent, power)

        first = at(off)
        second = at(off + STEP_S / 2 * first)
        third = at(off + STEP_S / 2 * second)
        return off + STEP_S / 6 * (first + 2 * second + 2 * third + at(off + STEP_S * third))

    warm = np.zeros((3, classes, runs)) + rng.uniform(0, 6, (classes, runs))
    power, length = rise * (moving + 0.1), rng.choice([240, 300, 360, 480], (classes, runs))
    for now in np.arange(0, 480, STEP_S):
        warm = np.where(now < length, step(warm, moving, power, 0.0), warm)
    seen, place = [], np.array(PLACES[kind.place])
    for _ in range(int(LAST_S / STEP_S) + 1):
        seen.append(air + np.tensordot(place, warm, 1))
        warm = step(warm, still, 0.0, natural)
    return Resting(np.array(seen), air)
