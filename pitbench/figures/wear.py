"""Is a motor getting slower? Its power at load against track minutes, at equal warmth and timing, moods and states out.

KV and current wear with the minutes; the winding does not. What is found per hour is drawn together with what is
believed of any motor (WEAR_SD), so that few minutes promise little. Flags are not decided here (`drift`), nor how
levels come about (`session_levels`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.drift import WAYS, Drift, against, drift, long_enough, wear_shape
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.laid_out import laid_out, prior
from pitbench.figures.load_power import power_at_load
from pitbench.figures.normals import antithetic
from pitbench.figures.session_levels import Levels, session_levels
from pitbench.figures.wear_line import NINE_IN_TEN, WearLine, wear_line

WEAR_SD = {KV: 0.1, CURRENT: 1.0, "pole_imbalance_pct": 0.1, "sensor_spread_deg": 0.07}
"""How much motors wear in an hour on the track, either way: percent, of the last two points and degrees. Ours."""
OTHERS_WEAR = 0.3
"""What of that is believed of the other motors when the moods are taken out by them: they mostly stay as they are."""
SEED = 8800
POWER = "load_power_w"
PAIRS = 250
"""Pairs of draws that the power at load is worked out for: enough for a chance to the hundredth or two."""


@dataclass(frozen=True)
class Moved:
    """A figure of one motor: its levels session by session, on the scale of the engine, states and all; and by how much
    it moved from the first to the last with its 90 % interval, on that scale; drift: of its newest state, if any."""

    levels: tuple[float, ...]
    change: Interval
    drift: Drift | None


@dataclass(frozen=True)
class Wear:
    """One motor: sessions and hours of use that its levels span; power: percent an hour, low90 the faster fall.

    falls: chance that the next hour costs it at least a margin of power. figures: those in WAYS that were read often
    enough, and power at load in percent, where KV and current were read in the same sessions; then also its line.
    """

    sessions: int
    hours: float
    power: Interval
    falls: float
    figures: Mapping[str, Moved]
    line: WearLine | None


def wear(drawn: Drawn, hours: Floats, margin_pct: float) -> dict[int, Wear]:
    """Of every motor with sessions enough, by motor. hours [bench runs]: its build was on the track before the run."""
    levels = _levels(drawn, hours)
    motors = [motor for motor, own in levels[KV].items() if long_enough(own) and motor in levels[CURRENT]]
    if not motors:
        return {}
    watts = _worn(drawn, {name: _an_hour(drawn, levels[name], name) for name in (KV, CURRENT)})
    one = np.ones((1, drawn.asked.n_motors))
    weighs = [
        _worn(drawn, {KV: one * (name == KV), CURRENT: one * (name == CURRENT)}).mean(axis=0) for name in (KV, CURRENT)
    ]
    power = intervals(watts)
    falls = (watts <= -margin_pct).mean(axis=0)
    state = drawn.asked.states
    found = {}
    for motor in motors:
        own = levels[KV][motor]
        figures = {
            name: _moved(each[motor], int(state[motor]) if len(state) else 0, WAYS[name])
            for name, each in levels.items()
            if motor in each and long_enough(each[motor])
        }
        both, line = [levels[name][motor] for name in (KV, CURRENT)], None
        if np.array_equal(both[0].use, both[1].use):
            weigh = [float(each[motor]) for each in weighs]
            figures[POWER], line = _of_power(both, weigh), wear_line(both, weigh)
        found[motor] = Wear(own.level.size, float(np.ptp(own.use)), power[motor], float(falls[motor]), figures, line)
    return found


def _levels(drawn: Drawn, hours: Floats) -> dict[str, dict[int, Levels]]:
    asked, (warmth, _, layouts) = drawn.asked, laid_out(drawn.asked)
    found = {}
    for name, layout in zip(MEASURED, layouts, strict=True):
        if name in WAYS:
            read = asked.of(name)
            state = read.state if read.state.size else np.zeros_like(read.motor)
            use = hours[read.run] if read.run.size else np.zeros(0)
            believed = prior(asked, name, warmth, layout)
            found[name] = session_levels(
                layout, believed, drawn.estimates[name], use, state, OTHERS_WEAR * WEAR_SD[name]
            )
    return found


def _an_hour(drawn: Drawn, levels: Mapping[int, Levels], name: str) -> Floats:
    """Draws of what an hour does to a figure of every motor, percent [draws × motors]; what is believed of any motor
    where nothing tells."""
    mean, sd = np.zeros(drawn.asked.n_motors), np.full(drawn.asked.n_motors, WEAR_SD[name])
    for motor, own in levels.items():
        if long_enough(own):
            span, found = float(np.ptp(own.use)), against(own, wear_shape(own))
            told, believed = (span / found.sd[0]) ** 2, 1 / WEAR_SD[name] ** 2
            mean[motor] = told / (told + believed) * found.change[0] / span
            sd[motor] = (told + believed) ** -0.5
    z = antithetic(_rows(drawn).size, mean.size, SEED + list(MEASURED).index(name))
    return np.asarray(mean + sd * z)


def _rows(drawn: Drawn) -> Ints:
    """Some of the draws, a row with its pair, in order."""
    half = drawn.values[KV].shape[0] // 2
    some = np.arange(0, half, max(half // PAIRS, 1))
    return np.concatenate([some, half + some])


def _worn(drawn: Drawn, hour: Mapping[str, Floats]) -> Floats:
    """By how much an hour changes the power at load of every motor, percent [draws × motors], all at the working point
    of today."""
    now = [drawn.values[name][_rows(drawn)] for name in (KV, CURRENT, RESISTANCE)]
    worn = [now[0] * np.exp(hour[KV] / 100), now[1] * np.exp(hour[CURRENT] / 100), now[2]]
    kv, current, ohms = (np.concatenate(both, axis=1) for both in zip(now, worn, strict=True))
    watts = power_at_load(kv, current, ohms / 1000, drawn.asked.load).watts
    before, after = np.split(watts, 2, axis=1)
    return np.asarray(100 * (after / before - 1))


def _of_power(both: Sequence[Levels], weighs: Sequence[float]) -> Moved:
    """Power at load, percent, of levels of KV and current: what a percent of each weighs there."""
    fits = [against(each, wear_shape(each)) for each in both]
    mean = sum(weigh * float(fit.change[0]) for weigh, fit in zip(weighs, fits, strict=True))
    sd = sum((weigh * float(fit.sd[0])) ** 2 for weigh, fit in zip(weighs, fits, strict=True)) ** 0.5
    level = np.array(weighs) @ np.array([each.level for each in both])
    return Moved(tuple(level.tolist()), _between(mean, sd), None)


def _between(mean: float, sd: float) -> Interval:
    return Interval(mean, mean - NINE_IN_TEN * sd, mean + NINE_IN_TEN * sd)


def _moved(levels: Levels, state: int, ways: Sequence[float]) -> Moved:
    found = drift(levels.of_state(state), ways)
    if found is None:
        fits = against(levels, wear_shape(levels))
        mean, sd = float(fits.change[0]), float(fits.sd[0])
    else:
        mean, sd = found.change, found.sd
    return Moved(tuple(levels.level.tolist()), _between(mean, sd), found)
