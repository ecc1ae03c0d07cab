"""How hot each motor runs, as draws: for comparing motors under one plan, where `forecast` tells one run to come.

A draw is what a motor finishes at on average, without the scatter of a run; what all motors share is in it too.
"""

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.forecast import Plan
from pitbench.figures.heat_cells import PRIOR_MEAN
from pitbench.figures.heat_fit import HeatFit
from pitbench.figures.heating import left, of_five_minutes

SEED = 11
"""Other normals than those of the bench figures and of pace."""


def finish_draws(fit: HeatFit, motors: int, plan: Plan, n_draws: int) -> Floats:
    """Mean finish temperature in °C of the first `motors` labels under one plan [draws × motors], each at its own usual
    timing. Deterministic. An event the fit does not know adds its spread, the same for all motors.
    """
    cells, rng = fit.cells, np.random.default_rng(SEED)
    cell = np.searchsorted(np.cumsum(cells.weight)[:-1], (np.arange(n_draws) + 0.5) / n_draws)
    cell = cell[rng.permutation(n_draws)]
    known = fit.timing_ref.size
    root = np.linalg.cholesky(cells.covariance)
    half = rng.standard_normal((n_draws // 2 + n_draws % 2, root.shape[1] + motors + 1))
    normal = np.concatenate([half, -half])[:n_draws]
    found = cells.coefficients[cell] + np.einsum("drc,dc->dr", root[cell], normal[:, : root.shape[1]])
    alone = cells.motor_sd[cell, None] * normal[:, root.shape[1] : -1]
    own = np.concatenate([found[:, 3:], alone[:, known:]], axis=1)[:, :motors]
    log_rise = PRIOR_MEAN[0] + found[:, [0]] + own + _event(fit, plan.event, cell, found, normal[:, -1])[:, None]
    log_rise += (PRIOR_MEAN[1] + found[:, [1]]) * np.log(plan.rollout_mm / fit.rollout_ref_mm)
    sigma, tau = cells.sigma[cell, None], cells.tau_s[cell, None]
    start = plan.ambient_c if plan.start_c is None else plan.start_c
    rise = np.exp(log_rise + sigma**2 / 2) * of_five_minutes(np.array(plan.length_s), tau)
    return np.asarray(plan.ambient_c + (start - plan.ambient_c) * left(np.array(plan.length_s), tau) + rise)


def _event(fit: HeatFit, event: int | None, cell: Ints, found: Floats, normal: Floats) -> Floats:
    """What the event adds to log rise [draws], given the other coefficients."""
    cells = fit.cells
    if event is None or event >= cells.events.shape[1]:
        return np.asarray(cells.event_sd[cell] * normal)
    off = np.einsum("dr,dr->d", cells.event_pull[cell, :, event], found - cells.coefficients[cell])
    return np.asarray(cells.events[cell, event] - off + np.sqrt(cells.event_var[cell, event]) * normal)
