"""The timing a motor is set to: draws of what it was last set to, from all readings of that setting.

A ranking brings every motor to one timing and has no figure of it; here timing itself is one, by the engine of all
others, so that its readings, sessions and clampings are worth what those of another figure are.
"""

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.conditions import READING_DEG, RunConditions, setting_of
from pitbench.figures.estimate import DRAWS, Prior, estimate
from pitbench.figures.layout import Layout, relabelled

MOTOR_DEG = 3.0
"""How far motors are set apart, degrees: scale of a half-Student prior. Ours."""
MOOD_DEG = 1.25 * READING_DEG
"""How far sessions, and clampings, read apart, degrees, as for every figure in its own unit; not more where few were
seen, since an angle hangs on no voltage and no clip. Ours."""
SEED = 60


def timing_as_set(
    runs: RunConditions, state: Ints, n_motors: int, *, n_draws: int = DRAWS
) -> tuple[Floats, Ints] | None:
    """Draws [draws × motors] in degrees and readings [motors] they stand on; None where nobody read a timing.

    Runs of a motor stand in the order of time; state [n]: pieces of work done on its motor before each run. A setting
    is a timing mark, without marks what noise can explain; readings made before the last piece of work tell of another
    motor. A motor without a reading is as wide as believed beforehand.
    """
    timing, mark = (np.array(known, dtype=float) for known in (runs.timing, runs.timing_mark))
    known = np.flatnonzero(~np.isnan(timing))
    if not known.size:
        return None
    motor, session = (np.array(column, dtype=np.int64)[known] for column in (runs.motor, runs.session))
    setting, state = setting_of(timing[known], motor, mark[known]), state[known]
    newest = np.zeros(n_motors, dtype=np.int64)
    newest[motor] = np.arange(motor.size)
    last = newest[motor]
    kept = (setting == setting[last]) & (state == state[last])
    motor, session = motor[kept], relabelled(session[kept])
    sessions = int(session.max()) + 1
    layout = Layout(
        value=timing[known][kept],
        levels=(motor, session),
        sizes=(n_motors, sessions),
        clamping=relabelled(motor * sessions + session),
        weight=np.ones(motor.size),
        covariates=np.zeros((motor.size, 0)),
    )
    found = estimate(layout, Prior(READING_DEG, (MOTOR_DEG, MOOD_DEG, MOOD_DEG), 0.0), n_draws=n_draws, seed=SEED)
    return found.levels(), np.bincount(motor, minlength=n_motors)
