"""Every reading of a figure brought to the conditions its comparison is stated at: what a run says of its motor now.

Warmth, timing and drift by the slopes the engine learned, the mood of the session and the work done since taken out.
For the eye alone: the engine does all this at once, with its doubt.
"""

import numpy as np

from pitbench.figures import criteria
from pitbench.figures.arrays import Floats
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import MEASURED
from pitbench.figures.laid_out import STATE, laid_out, state_levels


def equalised(drawn: Drawn) -> dict[str, Floats]:
    """By figure, every reading [n] in its own unit; of a comparison of motors as they are now, before load logs."""
    comparison = drawn.asked
    _, timing, layouts = laid_out(comparison)
    found = {}
    for name, layout in zip(MEASURED, layouts, strict=True):
        estimate, slopes = drawn.estimates[name], criteria.slopes_of(name)
        value, (motor, session, *_) = layout.value - layout.covariates @ estimate.slopes, layout.levels
        value = value - estimate.effects[1].mean(axis=0)[session]
        if "timing" in slopes:
            value = value - estimate.slopes[slopes.index("timing")] * timing.away_deg[motor]
        if any(comparison.states):
            now = state_levels(comparison)[motor, np.asarray(comparison.states)[motor]]
            states = estimate.effects[STATE].mean(axis=0)
            value = value + states[now] - states[layout.levels[STATE]]
        found[name] = np.exp(value / 100) if MEASURED[name].relative else value
    return found
