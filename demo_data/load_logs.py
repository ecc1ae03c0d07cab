"""What the speed control wrote down over two of the runs: a car driven lap by lap, and what a logger makes of it.

One log is as one would wish it. The other is as they are: words before the header, other names and units, commas, a
current that is not 0 at rest, rows twice, rubbish rows, a gap, a channel that is dead. The car is mechanics (mass,
drag, grip, a pack that sags), the motor the true nature of its parts; nothing is taken from pitbench's own figures.
Magnitudes are common practice, no source.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from motor_nature import (
    COULOMB,
    FLUX_PER_K,
    KE,
    MOTORS,
    SPEED_LOSS,
    Floats,
    MotorPlan,
    Parts,
    build_at,
    winding_ohm,
)
from track_days import LEADS_OHM

LOG_SEED = 1640
STEP_S, ROW_S, STOOD_S = 0.02, 0.2, 3.0
MASS_KG, AIR, ROLLING_N, SCRUB_N = 2.0, 0.040, 2.0, 8.0  # mass with what turns
PACK_V, PACK_OHM, PACK_AH, FALLS_V = 8.25, 0.009, 5.5, 1.0
MOST_AMPS = 130.0
BUMP_N, BUMP_S = 6.0, 0.15  # of an asphalt that is not even
WARMER_K, MAGNETS = 18.0, 0.5  # the winding than the can; of the can's warming the magnets share
LAP = ((1, 1.8), (-1, 0.6), (0.25, 1.6), (1, 1.1), (-1, 0.5), (0.25, 1.6), (1, 1.2), (-1, 0.4), (0.25, 1.5), (1, 1.0),
    (0.25, 1.4))  # fmt: skip
"""Throttle and seconds of the parts of a lap; -1 brakes."""
COLUMNS = ("time_s", "voltage_v", "current_a", "rpm", "throttle_pct", "motor_temp_c", "esc_temp_c")
Row = Mapping[str, object]


@dataclass(frozen=True)
class Logged:
    """A run that has a log, in this file of the folder; beside the sheets, which are loaded all at once."""

    file: str
    motor: str
    started_at: str
    dirty: bool = False


LOGGED = (
    Logged("logs/log_lapwing_q2.csv", "Lapwing", "2026-05-16T14:40"),
    Logged("logs/LOG_0041.csv", "Whio", "2026-05-16T17:30", dirty=True),
)


def log_texts(parts: Parts, track: Sequence[Row]) -> dict[str, str]:
    """File name to its text."""
    found = {}
    for place, each in enumerate(LOGGED):
        run = next(row for row in track if (row["motor"], row["started_at"]) == (each.motor, each.started_at))
        draw = np.random.RandomState(LOG_SEED + place)
        samples = _driven(parts, run, draw)
        found[each.file] = _as_they_are(samples, draw) if each.dirty else _text(COLUMNS, samples)
    return found


def _driven(parts: Parts, run: Row, draw: np.random.RandomState) -> Floats:
    """What truly was, a row every ROW_S with a logger's noise; columns as in COLUMNS."""
    plan = next(motor for motor in MOTORS if motor.name == run["motor"])
    metres = math.pi * float(str(run["tyre_diameter_mm"])) / 1000 * int(str(run["pinion"]))
    metres /= int(str(run["spur"])) * float(str(run["internal_ratio"]))
    laps = [float(lap) for lap in str(run["lap_times_s"]).split()]
    throttle = _throttle(laps, draw)
    can = _warming(run, len(throttle))
    bumps = BUMP_N * math.sqrt(2 * BUMP_S / STEP_S) * draw.randn(len(throttle))
    rows, speed, duty, used, bump = [], 0.0, 0.0, 0.0, 0.0
    every = round(ROW_S / STEP_S)
    for step, asked in enumerate(throttle):
        ke, ohm, drag, iron = _motor(parts, plan, run, can[step])
        duty = min(max(asked, 0.0), duty + 0.08)
        turning = 2 * math.pi * speed / metres
        open_v = PACK_V - FALLS_V * used / PACK_AH
        amps = min(max((duty * open_v - ke * turning) / (ohm + duty**2 * PACK_OHM), 0.0), MOST_AMPS)
        volts = open_v - duty * amps * PACK_OHM
        torque = ke * amps - (drag + iron * turning if amps else 0.0)
        push = max(torque, 0.0) * 2 * math.pi / metres
        bump += STEP_S / BUMP_S * (bumps[step] - bump)
        against = AIR * speed**2 + ROLLING_N + bump + (SCRUB_N if asked < 1 else 0.0) + (14.0 if asked < 0 else 0.0)
        speed = max(speed + STEP_S * (push - (against if speed > 0.1 else 0.0)) / MASS_KG, 0.0)
        if amps >= MOST_AMPS:  # the tyres let go: what is not pushed spins
            turning = max(turning, (duty * volts - amps * ohm) / ke)
        used += duty * amps * STEP_S / 3600
        if step % every == 0:
            rows.append((step * STEP_S, volts, duty * amps, turning * 30 / math.pi, 100 * max(asked, 0), can[step]))
    found = np.array(rows)
    esc = (
        5
        + can[0]
        + (float(str(run["esc_temp_c"])) - 5 - can[0]) * (1 - np.exp(-found[:, 0] / 170)) / (1 - math.exp(-1.8))
    )
    noise = draw.randn(len(found), 5) * (0.015, 0.4, 40, 0.2, 0.2) * (found[:, 3:4] > 0)
    found[:, 1:4] += noise[:, :3]
    return np.column_stack([found[:, :5], found[:, 5] + noise[:, 3], esc + noise[:, 4]])


def _throttle(laps: Sequence[float], draw: np.random.RandomState) -> Floats:
    """What the driver asks for, every STEP_S: he stands, then lap by lap, no two alike."""
    asked = [0.0] * round(STOOD_S / STEP_S)
    for lap in laps:
        parts = [(each, seconds * math.exp(0.12 * draw.randn())) for each, seconds in LAP]
        whole = sum(seconds for _, seconds in parts)
        for each, seconds in parts:
            level = each if each in (1, -1) else each * math.exp(0.1 * draw.randn())
            asked += [level] * round(seconds * lap / whole / STEP_S)
    return np.array(asked)


def _warming(run: Row, steps: int) -> Floats:
    """The can over the run: from its start to a little below what was read a minute after the finish."""
    start, end = float(str(run["start_temp_c"])), float(str(run["finish_reading_c"])) - 4
    at = np.arange(steps) * STEP_S
    shape: Floats = start + (end - start) * (1 - np.exp(-at / 280)) / (1 - math.exp(-at[-1] / 280))
    return shape


def _motor(parts: Parts, plan: MotorPlan, run: Row, can: float) -> tuple[float, float, float, float]:
    """ke in V·s/rad, resistance with leads and control in ohm, drag in N·m, iron loss in N·m·s/rad."""
    nature = parts.of(build_at(plan, datetime.fromisoformat(str(run["started_at"]))))
    timing = float(str(run["timing_mark_deg"])) + nature.scale_error
    cold = float(str(run["start_temp_c"]))
    flux = nature.flux * (1 + FLUX_PER_K * (cold + MAGNETS * (can - cold) - 25))
    ke = KE * plan.turns / 13.5 * flux * (1 - 0.005 * (timing - 42))
    ohm = winding_ohm(nature, plan.turns, can + WARMER_K) + LEADS_OHM
    return ke, ohm, COULOMB * nature.drag, SPEED_LOSS * nature.iron * flux**2


def _text(headers: Sequence[str], samples: Floats, decimals: Sequence[int] = (2, 2, 1, 0, 0, 1, 1)) -> str:
    rows = (",".join(f"{number:.{places}f}" for number, places in zip(row, decimals, strict=True)) for row in samples)
    return "\n".join([",".join(headers), *rows, ""])


def _as_they_are(samples: Floats, draw: np.random.RandomState) -> str:
    """Milliseconds, °F, volts in steps of 0.1, a current 0.3 A off, a dead channel; decimal commas; and what befalls a
    file on its way: a gap, rows twice, rubbish rows, a torn one."""
    time, volts, amps, rpm, throttle, motor, esc = samples.T
    columns = (
        [f"{1000 * each:.0f}" for each in time + 0.01 * draw.randn(len(time)).clip(-2, 2)],
        [f"{each:.1f}" for each in volts],
        [f"{each + 0.3:.1f}" for each in amps],
        [f"{each:.0f}" for each in rpm],
        [f"{each:.0f}" for each in throttle],
        [f"{1.8 * each + 32:.0f}" for each in motor],
        [f"{1.8 * each + 32:.0f}" for each in esc],
        ["0"] * len(time),
    )
    rows = [";".join(cells).replace(".", ",") for cells in zip(*columns, strict=True)]
    del rows[700:715]
    for at in (1210, 930, 610, 320, 90):
        rows.insert(at, "65535;6553,5;6553,5;65535;255;255;255;255")
    for at in (1100, 480):
        rows.insert(at, rows[at - 1])
    rows[850] = rows[850][:9]
    headers = "Time [ms];Battery [V];Current [A];RPM;Throttle [%];T motor [°F];T esc [°F];BEC [V]"
    return "\n".join(["Log 41", "profile 3, race", headers, *rows, ""])
