"""Which figure a motor leads by: what of its score would be gone if only that figure were as the others have it.

The score itself is `ranking.score_of`; here one figure of one motor is put to the mean of the others, draw by draw, and
the score worked out again. To first order what all figures add is the score.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.load_power import power_at_load
from pitbench.figures.ranking import margins_of, score_of, weights_of

POWER = "load_power_w"


def leads_by(drawn: Drawn, motor: int, weights: Mapping[str, float], margins: Mapping[str, float]) -> dict[str, float]:
    """Percent of score that each figure adds to this motor's, by name: KV, current and winding through the power at
    load, others through their weight. Two motors or more; weights and margins by name as far as the user set them."""
    weight, margin = weights_of(weights), margins_of(margins)
    power = dict.fromkeys(weight, 0.0) | {POWER: weight[POWER]}
    score = float(score_of(drawn, power, margin)[:, motor].mean())
    found = {
        name: score - float(score_of(_without(drawn, motor, name), power, margin)[:, motor].mean())
        for name in (KV, CURRENT, RESISTANCE)
    }
    for name, each in weight.items():
        if each and name != POWER:
            own = score_of(drawn, dict.fromkeys(weight, 0.0) | {name: each}, margin)
            found[name] = found.get(name, 0.0) + float(own[:, motor].mean())
    return found


def _without(drawn: Drawn, motor: int, name: str) -> Drawn:
    """The same comparison, were this figure of the motor as the mean of the others."""
    values = {each: np.array(drawn.values[each]) for each in (KV, CURRENT, RESISTANCE)}
    values[name][:, motor] = np.delete(values[name], motor, axis=1).mean(axis=1)
    watts = power_at_load(values[KV], values[CURRENT], values[RESISTANCE] / 1000, drawn.asked.load).watts
    return replace(drawn, values={**drawn.values, POWER: watts})
