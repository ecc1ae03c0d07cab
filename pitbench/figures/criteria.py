"""The figures motors are compared by: scale, which way is better, margin that matters, and what is believed beforehand.

The one table of these constants; desk and screens read it and hold no copy. Margins are the defaults a user may change.
Priors: common practice of the hobby where nothing else is said; see docs/figures.md.
"""

from dataclasses import dataclass

KV, CURRENT, RESISTANCE = "kv_rpm_per_v", "no_load_current_a", "resistance_mohm"
WEAR_SESSIONS = 4
"""Bench sessions, with track minutes between them, before anything is said of wear. Ours."""


@dataclass(frozen=True)
class Criterion:
    """better: +1 higher, −1 lower. margin: in percent if `margin_in_percent`, else in the figure's unit.

    relative: analysed as 100·ln(value), so that noise and spreads are in percent. noise: repeatability of one reading;
    motor_sd, session_sd, clamping_sd, state_sd: how far motors, bench sessions, clampings (one motor in one session)
    and states (a motor before and after work on it) lie apart, scales of half-Student priors.
    """

    name: str
    better: int
    margin: float
    margin_in_percent: bool
    relative: bool
    noise: float
    motor_sd: float
    session_sd: float
    clamping_sd: float
    state_sd: float


def _plain(name: str, margin: float, noise: float) -> Criterion:
    """A figure in its own unit, lower is better; motors lie about 5 σ apart, sessions 1.25 σ, clampings 1.25 σ."""
    return Criterion(name, -1, margin, False, False, noise, 5 * noise, 1.25 * noise, 1.25 * noise, 2 * noise)


MEASURED = {
    criterion.name: criterion
    for criterion in (
        Criterion(KV, +1, 0.25, True, True, 0.2, 1.5, 0.3, 0.25, 0.3),
        Criterion(CURRENT, -1, 2.5, True, True, 1.0, 7.0, 2.0, 1.25, 5.0),
        Criterion(RESISTANCE, -1, 2.0, True, True, 1.0, 2.0, 2.0, 1.75, 0.5),
        _plain("sensor_spread_deg", 0.5, 0.2),
        _plain("pole_imbalance_pct", 1.0, 0.3),
        _plain("hall_level_spread_pct", 1.0, 0.3),
    )
}
"""Figures read off the bench, each estimated by the engine on its own."""


@dataclass(frozen=True)
class Goal:
    """What a figure is worth: its direction and margin, whether it is measured or worked out."""

    better: int
    margin: float
    margin_in_percent: bool


GOALS = {
    "load_power_w": Goal(+1, 0.5, True),
    **{c.name: Goal(c.better, c.margin, c.margin_in_percent) for c in MEASURED.values()},
    "speed_per_amp": Goal(+1, 2.5, True),
    "track_pace_s": Goal(-1, 0.3, True),
    "finish_temp_c": Goal(-1, 3.0, False),
}
"""Every figure a ranking names. The power at load is the score itself; the others count only if the user says so."""

SHARES = {
    KV: (0.30, 0.50, 0.05, 0.15),
    CURRENT: (0.30, 0.20, 0.25, 0.25),
    RESISTANCE: (0.95, 0.0, 0.0, 0.05),
    "sensor_spread_deg": (0.0, 0.05, 0.85, 0.10),
    "pole_imbalance_pct": (0.0, 0.90, 0.0, 0.10),
    "hall_level_spread_pct": (0.0, 0.40, 0.50, 0.10),
}
"""Of the variance between builds, what stator, rotor, end bell and the remainder of a build cause. Ours, from how a
motor is made: only the rotor has the magnets, only the stator the winding, only the end bell the sensors."""

TIMING_SLOPE = {KV: (0.5, 0.3), CURRENT: (2.0, 2.0)}
"""Percent per degree of timing: mean and standard deviation of the prior. Common practice, no source."""
DRIFTING = {KV, CURRENT, RESISTANCE}
"""Figures whose tester may drift within an evening, by about a repeatability an hour either way. Ours."""
NEW_SESSIONS, FEW_SESSIONS = 2.0, 3
"""How much further apart than believed sessions may lie until so many were seen. Ours."""
RUN_ORDER_SLOPE = (0.15, 0.15)
"""Percent of KV per repeat within a sitting, where nobody measured a temperature. Ours."""


def slopes_of(name: str) -> list[str]:
    """What moves readings of a figure besides motor and session: warmth, timing, drift within an evening.

    >>> slopes_of("kv_rpm_per_v"), slopes_of("pole_imbalance_pct")
    (['warmth', 'timing', 'drift'], [])
    """
    own = {"warmth": name == KV, "timing": name in TIMING_SLOPE, "drift": name in DRIFTING}
    return [each for each, has in own.items() if has]


UNSEEN_PCT = 0.3
"""What no bench figure tells of a motor's power at load, percent. Ours, from one physical simulation."""
CLEAR, LEANING = 0.90, 0.70
"""Chances from which a verdict is clear or leaning. Ours."""
SEPARATED = 0.90
"""Chance from which one motor is told apart from another. Ours."""

USUAL_TURNS = 13.5


def usual_resistance_mohm(turns: float | None, least_allowed: float | None) -> float:
    """Centre of winding resistance in mΩ at 20 °C where nobody of the class measured it.

    1.1 × the least the class allows, else 12 · (turns / 13.5)². Recalled, common practice.

    >>> usual_resistance_mohm(13.5, None), usual_resistance_mohm(17.5, 20.0)
    (12.0, 22.0)
    """
    if least_allowed:
        return 1.1 * least_allowed
    return 12.0 * ((turns or USUAL_TURNS) / USUAL_TURNS) ** 2


def usual_kv(turns: float | None) -> float:
    """Centre of KV in rpm/V where nobody of the class measured it: 3950 · 13.5 / turns. Common practice.

    >>> usual_kv(13.5)
    3950.0
    """
    return 3950.0 * USUAL_TURNS / (turns or USUAL_TURNS)


def usual_no_load_current(turns: float | None) -> float:
    """Centre of no-load current in A where nobody of the class measured it: 4 · 13.5 / turns. Common practice.

    >>> usual_no_load_current(27.0)
    2.0
    """
    return 4.0 * USUAL_TURNS / (turns or USUAL_TURNS)
