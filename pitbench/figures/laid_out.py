"""The readings of a comparison as the engine takes them: scale, levels, clampings, slopes, and what is believed.

The one place that says which readings belong together: copies, clampings, states. Nothing is estimated here.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pitbench.figures import conditions, criteria
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.conditions import Timing, Warmth
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.estimate import Prior
from pitbench.figures.layout import Layout, relabelled
from pitbench.figures.readings import Comparison, Parts, Readings
from pitbench.figures.shares import PART_FACTORS

STATE = 2
"""Place of the states among the factors, behind motors and sessions, where somebody worked on a motor."""


def laid_out(comparison: Comparison) -> tuple[Warmth, Timing, list[Layout]]:
    """The readings of every figure, with the same sessions for all."""
    warmth = conditions.equal_warmth(comparison.runs)
    timing = conditions.equal_timing(comparison.runs, comparison.n_motors)
    columns = {"warmth": warmth.column, "timing": timing.column, "drift": conditions.time_of_evening(comparison.runs)}
    _, session = np.unique(np.concatenate([comparison.of(name).session for name in MEASURED]), return_inverse=True)
    ends = np.cumsum([comparison.of(name).session.size for name in MEASURED])[:-1]
    sessions = int(session.max(initial=-1)) + 1
    own = zip(MEASURED, np.split(session, ends), strict=True)
    return warmth, timing, [_layout(comparison, name, each, sessions, warmth, columns) for name, each in own]


def _layout(
    comparison: Comparison, name: str, session: Ints, sessions: int, warmth: Warmth, columns: Mapping[str, Floats]
) -> Layout:
    """Readings of one figure on the scale of the engine, with the columns of its slopes."""
    found = comparison.of(name)
    slopes = [columns[each] for each in criteria.slopes_of(name)]
    weight = found.weight * _of_run(found, warmth.weight, 1.0) if name == KV else found.weight
    state = found.state if found.state.size else np.zeros_like(found.motor)
    clamping = (found.motor * max(sessions, 1) + session) * (int(state.max(initial=0)) + 1) + state
    asked = Layout(
        value=100 * np.log(found.value) if MEASURED[name].relative else found.value,
        levels=(found.motor, session),
        sizes=(comparison.n_motors, sessions),
        clamping=relabelled(clipped_anew(comparison, clamping) if name == RESISTANCE else clamping),
        weight=weight / _copies(found) if name == RESISTANCE else weight,
        covariates=np.array([_of_run(found, each, 0.0) for each in slopes]).reshape(len(slopes), found.value.size).T,
    )
    if any(comparison.states):
        asked = _with_states(comparison, asked, state)
    return asked if comparison.parts is None else _with_parts(comparison.parts, asked)


def clipped_anew(comparison: Comparison, clamping: Ints) -> Ints:
    """Clampings of the winding readings: one written down without KV or current was made for its own sake, with the
    clips off and on, and is a clamping of its own."""
    run = comparison.of(RESISTANCE).run
    spun = np.concatenate([comparison.of(KV).run, comparison.of(CURRENT).run])
    alone = (run >= 0) & ~np.isin(run, spun)
    return np.where(alone, clamping.max(initial=0) + np.cumsum(alone), clamping)


def _copies(found: Readings) -> Floats:
    """How often each reading's value stands in its clamping [n]: a winding is read once and typed with every run."""
    if not found.value.size:
        return np.ones(0)
    order = np.lexsort((found.value, found.session, found.motor))
    columns = (found.motor[order], found.session[order], found.value[order])
    anew = np.any([np.diff(column, prepend=column[0]) != 0 for column in columns], axis=0)
    label = np.cumsum(anew)
    copies = np.empty(label.size)
    copies[order] = np.bincount(label)[label]
    return copies


def _with_states(comparison: Comparison, asked: Layout, state: Ints) -> Layout:
    """The states of motors that were worked on as a third factor; level 0 stands for none."""
    levels = state_levels(comparison)
    stretch = np.ones(int(levels.max()) + 1)
    stretch[0] = 0.0
    return replace(
        asked,
        levels=(*asked.levels, levels[asked.levels[0], state]),
        sizes=(*asked.sizes, stretch.size),
        stretch=(*asked.stretched, stretch),
    )


def _with_parts(parts: Parts, asked: Layout) -> Layout:
    """Stator, rotor and end bell of every reading as the last factors."""
    first = len(asked.sizes)
    return replace(
        asked,
        levels=(*asked.levels, *parts.of[asked.levels[0]].T),
        sizes=(*asked.sizes, *parts.sizes),
        stretch=(*asked.stretched, *(np.ones(size) for size in parts.sizes)),
        of_first=tuple(range(first, first + PART_FACTORS)),
    )


def state_levels(comparison: Comparison) -> Ints:
    """Level of every state of every motor [motors × states]; 0 for a motor nobody worked on."""
    states = np.asarray(comparison.states, dtype=np.int64)
    count = np.where(states > 0, states + 1, 0)
    start = 1 + np.cumsum(count) - count
    each = np.arange(int(states.max()) + 1)
    return np.where((count > 0)[:, None], start[:, None] + np.minimum(each, states[:, None]), 0)


def _of_run(found: Readings, column: Floats, otherwise: float) -> Floats:
    """What the run of each reading has in a column."""
    return np.where(found.run >= 0, np.append(column, otherwise)[found.run], otherwise)


def prior(comparison: Comparison, name: str, warmth: Warmth, layout: Layout) -> Prior:
    criterion = MEASURED[name]
    usual = {
        KV: criteria.usual_kv(comparison.turns),
        CURRENT: criteria.usual_no_load_current(comparison.turns),
        RESISTANCE: criteria.usual_resistance_mohm(comparison.turns, comparison.least_resistance_mohm),
    }
    centre = 100 * float(np.log(usual[name])) if name in usual else 0.0
    slope = {
        "warmth": warmth.slope,
        "timing": criteria.TIMING_SLOPE.get(name, (0.0, 0.0)),
        "drift": (0.0, criterion.noise),
    }
    few = np.count_nonzero(np.bincount(layout.levels[1])) < criteria.FEW_SESSIONS
    session_sd = criterion.session_sd * (criteria.NEW_SESSIONS if few else 1.0)
    states = (criterion.state_sd,) if any(comparison.states) else ()
    return Prior(
        noise=criterion.noise,
        scales=(criterion.motor_sd, session_sd, *states, criterion.clamping_sd),
        centre=centre,
        slopes=tuple(slope[each] for each in criteria.slopes_of(name)),
        shares=_shares(comparison.parts, name),
    )


def _shares(parts: Parts | None, name: str) -> tuple[float, ...]:
    """Of the remainder of a build, its stator, rotor and end bell."""
    if parts is None:
        return ()
    *own, remainder = parts.shares.get(name, criteria.SHARES[name])
    return (remainder, *own)
