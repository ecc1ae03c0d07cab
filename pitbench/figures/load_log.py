"""What the log of a speed control tells of a motor under load. The border: samples in, what came out of them.

Kv is the loaded one, rpm = Kv·(V − i·R), and R that of motor, leads and speed control as warm as they were.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pitbench.figures import load_line, load_samples, motor_model
from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.motor_model import MotorConstants

MIN_PULLS, MIN_SAMPLES = 5, 12
LEAST_SPREAD, LEAST_SPREAD_A = 0.05, 0.3
"""Spread of current below which Kv and R are not told apart, as a share of its mean, and in A. Ours."""
MOST_DOUBT = 0.5
"""Standard error of R, as a share of it, from which it is not told. Ours."""
DOUBTED_OFFSET_A, DOUBTED_LAG = 0.1, 0.3

Basis = Literal["full_throttle", "duty"]
"""From which samples the line was fitted: battery voltage at full throttle, or duty × battery voltage throughout."""
Why = Literal[
    "no_speed", "no_full_throttle", "battery_current", "too_few", "no_spread", "not_separated", "no_resistance"
]
"""Why Kv and R were not told: no rpm in it; full throttle never and no duty; duty but only the battery's current; fewer
than MIN_PULLS pulls or MIN_SAMPLES samples; current the same throughout; R not known to half of itself; R ≤ 0."""
DoubtCode = Literal["current_offset", "lag", "negative_speed"]
"""What was found and dealt with."""


@dataclass(frozen=True)
class Samples:
    """One load log, arrays [n], time rising, n ≥ 0. voltage_v: of the battery; current_a: of the motor where
    current_is_of_motor, else of the battery; rpm: mechanical; throttle, duty: 0 to 1, negative backwards; °C. Unknown
    is NaN everywhere but in time. Rows that repeat, cannot be read or run backwards in time never get here.
    """

    time_s: Floats
    voltage_v: Floats
    current_a: Floats
    current_is_of_motor: bool
    rpm: Floats
    throttle: Floats
    duty: Floats
    motor_temp_c: Floats
    esc_temp_c: Floats


@dataclass(frozen=True)
class Estimate:
    """Mean and one standard error, clustered by pull, in the figure's own unit."""

    mean: float
    se: float


@dataclass(frozen=True)
class Course:
    """A temperature over the log, °C: first, last and highest known."""

    start: float
    end: float
    highest: float


@dataclass(frozen=True)
class AtFull:
    """At full throttle, settled. seconds; current in A and rpm: their 10 and 90 % points, and medians; speed_per_amp:
    rpm/V/A, median; power into the motor and at the shaft in W, means. None where unknown."""

    seconds: float
    current_a: tuple[float, float]
    current_median: float
    rpm: tuple[float, float] | None
    rpm_median: float | None
    speed_per_amp: float | None
    power_in_w: float
    shaft_power_w: float | None


@dataclass(frozen=True)
class Doubt:
    """value: what was taken off in A, the lag in samples, samples of negative speed taken as forward."""

    what: DoubtCode
    value: float


@dataclass(frozen=True)
class LoadFit:
    """What a log came to. Every sample is one of `used` [n] or counted in part_throttle, unsettled or unlikely.

    basis: None where nothing could be used. pulls: how many; kv: rpm/V; resistance: ohm; their correlation; None unless
    separated, then `why` is None. at_full: None where throttle was never full. charge: Ah, energy: Wh, of the battery,
    None where only the motor's current is known. current_offset: A taken off; lag: rows by which speed came later, and
    was moved back.
    """

    used: Bools
    part_throttle: int
    unsettled: int
    unlikely: int
    basis: Basis | None
    pulls: int
    kv: Estimate | None
    resistance: Estimate | None
    correlation: float | None
    why: Why | None
    at_full: AtFull | None
    seconds: float
    gaps: int
    charge_ah: float | None
    energy_wh: float | None
    motor_temp: Course | None
    esc_temp: Course | None
    current_offset: float
    lag: float
    doubts: tuple[Doubt, ...]

    @property
    def separated(self) -> bool:
        """Whether Kv and R could be told."""
        return self.why is None


def analyse(samples: Samples, no_load_current: float | None = None) -> LoadFit:
    """Everything a log tells. no_load_current in A, from the bench: without it power at the shaft is not told.

    At full throttle the line is put through battery voltage and current (the same as the motor's there). Where throttle
    was never full, or too seldom, through duty × battery voltage if current is the motor's.
    """
    clean, offset, backwards = _clean(samples)
    tried = [_tried(clean, basis) for basis in _bases(clean)]
    found = next((each for each in tried if each.why is None), tried[0] if tried else _nothing(clean))
    doubts = [
        Doubt("current_offset", offset) if abs(offset) >= DOUBTED_OFFSET_A else None,
        Doubt("lag", found.lag) if abs(found.lag) >= DOUBTED_LAG else None,
        Doubt("negative_speed", backwards) if backwards else None,
    ]
    charge, energy = _used_up(clean)
    return LoadFit(
        used=found.used,
        part_throttle=int(found.part.sum()),
        unsettled=int((~found.used & ~found.part & clean.good).sum()) - found.unlikely,
        unlikely=int((~clean.good).sum()) + found.unlikely,
        basis=found.basis,
        pulls=found.pulls,
        kv=found.kv,
        resistance=found.resistance,
        correlation=found.correlation,
        why=found.why,
        at_full=_at_full(clean, found, no_load_current),
        seconds=float(samples.time_s[-1] - samples.time_s[0]) if samples.time_s.size else 0.0,
        gaps=int((np.diff(samples.time_s) > load_samples.GAP * load_samples.interval(samples.time_s)).sum()),
        charge_ah=charge,
        energy_wh=energy,
        motor_temp=_course(samples.motor_temp_c),
        esc_temp=_course(samples.esc_temp_c),
        current_offset=offset,
        lag=found.lag,
        doubts=tuple(each for each in doubts if each),
    )


@dataclass(frozen=True)
class _Clean:
    """Samples with the offset off, forward positive, rpm filled between good rows; good: rows with nothing unlikely;
    what is doubted of the offset, A."""

    of: Samples
    good: Bools
    speed_known: bool
    current_doubt: float


@dataclass(frozen=True)
class _Found:
    """One basis tried: rows used, rows of too little throttle, rows that lost all weight, and the line or why not."""

    basis: Basis | None
    used: Bools
    part: Bools
    why: Why | None
    unlikely: int = 0
    pulls: int = 0
    kv: Estimate | None = None
    resistance: Estimate | None = None
    correlation: float | None = None
    lag: float = 0.0


def _clean(of: Samples) -> tuple[_Clean, float, int]:
    """The samples to work on, the current read at rest, and how many rows of negative speed were meant as forward."""
    rpm, duty, backwards = of.rpm, of.duty, 0
    turning = rpm[np.isfinite(rpm) & (rpm != 0)]
    if turning.size and np.median(turning) < 0:
        rpm, duty, backwards = -rpm, -duty, int((turning < 0).sum())
    forward = duty[(rpm > 0) & np.isfinite(duty)]
    if forward.size and np.median(forward) < 0:
        duty = -duty
    offset, offset_doubt = load_samples.standstill(of, rpm)
    known = bool(turning.size)
    channels = (of.voltage_v, of.current_a, rpm) if known else (of.voltage_v, of.current_a)
    good = load_samples.good(*channels) & (of.voltage_v > 0)
    at = np.arange(rpm.size)
    filled = np.interp(at, at[good], rpm[good]) if known and good.any() else np.zeros(rpm.size)
    clean = replace(
        of,
        voltage_v=np.nan_to_num(of.voltage_v),
        current_a=np.nan_to_num(of.current_a - offset),
        rpm=filled,
        duty=duty,
    )
    return _Clean(clean, good, known, offset_doubt), offset, backwards


def _bases(clean: _Clean) -> list[Basis]:
    """What the line may be put through, the better first."""
    full: list[Basis] = ["full_throttle"] if (load_samples.full_throttle(clean.of) & clean.good).any() else []
    return full + (["duty"] if clean.of.current_is_of_motor and np.isfinite(clean.of.duty).any() else [])


def _nothing(clean: _Clean) -> _Found:
    """Neither full throttle nor duty with the motor's current."""
    none = np.zeros(clean.good.size, dtype=bool)
    why: Why = "battery_current" if np.isfinite(clean.of.duty).any() else "no_full_throttle"
    return _Found(None, none, clean.good, why if clean.speed_known else "no_speed")


def _tried(clean: _Clean, basis: Basis) -> _Found:
    """The line on one basis, or why there is none."""
    of, good = clean.of, clean.good
    if basis == "full_throttle":
        member, voltage = load_samples.full_throttle(of), of.voltage_v
    else:
        member, voltage = load_samples.driven(of, good), of.voltage_v * np.nan_to_num(of.duty)
    within = load_samples.stretches(of.time_s, member)
    rows = load_samples.settled(of.time_s, within) & good
    part = good & ~member
    if not clean.speed_known:
        return _Found(basis, rows, part, "no_speed")
    chosen = load_samples.chosen(of.time_s, rows, within, good, basis == "duty")
    used = np.zeros(good.size, dtype=bool)
    used[chosen.rows] = True
    found = _Found(basis, used, part, None, pulls=int(chosen.pull.max()) + 1 if chosen.rows.size else 0)
    current = of.current_a[chosen.rows]
    if found.pulls < MIN_PULLS or current.size < MIN_SAMPLES:
        return replace(found, why="too_few")
    if current.std() < max(LEAST_SPREAD * abs(current.mean()), LEAST_SPREAD_A):
        return replace(found, why="no_spread")
    line = load_line.fit(load_line.Log(voltage, of.current_a, of.rpm, clean.current_doubt), chosen)
    return replace(found, why="not_separated") if line is None else _judged(found, line, chosen.rows)


def _judged(found: _Found, line: load_line.Line, rows: Ints) -> _Found:
    """The line, unless R makes no sense or is hardly known."""
    used = found.used.copy()
    used[rows[line.weights == 0]] = False
    found = replace(found, used=used, unlikely=int((line.weights == 0).sum()), lag=line.lag)
    doubt = np.sqrt(np.diag(line.covariance))
    if line.resistance <= 0:
        return replace(found, why="no_resistance")
    if doubt[1] > MOST_DOUBT * line.resistance:
        return replace(found, why="not_separated")
    return replace(
        found,
        kv=Estimate(line.kv, float(doubt[0])),
        resistance=Estimate(line.resistance, float(doubt[1])),
        correlation=float(line.covariance[0, 1] / doubt.prod()),
    )


def _at_full(clean: _Clean, found: _Found, no_load_current: float | None) -> AtFull | None:
    """What was drawn and given at full throttle, over good settled rows."""
    of = clean.of
    within = load_samples.stretches(of.time_s, load_samples.full_throttle(of))
    rows = load_samples.settled(of.time_s, within) & clean.good
    if not rows.any():
        return None
    voltage, current, rpm = of.voltage_v[rows], of.current_a[rows], of.rpm[rows]
    spent = np.diff(of.time_s)[within.follows[1:]].sum()
    given = None
    if found.kv and found.resistance and no_load_current is not None:
        motor = MotorConstants(found.kv.mean, no_load_current, found.resistance.mean)
        given = float(np.mean(motor_model.shaft_power_w(motor, voltage, current)))
    return AtFull(
        seconds=float(spent),
        current_a=_ends(current),
        current_median=float(np.median(current)),
        rpm=_ends(rpm) if clean.speed_known else None,
        rpm_median=float(np.median(rpm)) if clean.speed_known else None,
        speed_per_amp=_speed_per_amp(voltage, current, rpm) if clean.speed_known else None,
        power_in_w=float(np.mean(voltage * current)),
        shaft_power_w=given,
    )


def _ends(values: Floats) -> tuple[float, float]:
    low, high = np.percentile(values, (10, 90)).tolist()
    return low, high


def _speed_per_amp(voltage: Floats, current: Floats, rpm: Floats) -> float | None:
    drawing = current > 0
    return float(np.median((rpm / voltage)[drawing] / current[drawing])) if drawing.any() else None


def _used_up(clean: _Clean) -> tuple[float | None, float | None]:
    """Charge in Ah and energy in Wh out of the battery, over good rows and not across gaps; trapezoids."""
    of, good = clean.of, clean.good
    current = of.current_a * np.abs(of.duty) if of.current_is_of_motor else of.current_a
    known = good & np.isfinite(current)
    if known.sum() < 2:
        return None, None
    spaced = np.diff(of.time_s[known])
    spaced = np.where(spaced > load_samples.GAP * load_samples.interval(of.time_s), 0, spaced)
    amps, watts = current[known], (current * of.voltage_v)[known]
    charge, energy = (float(spaced @ (each[1:] + each[:-1])) / 2 / 3600 for each in (amps, watts))
    return charge, energy


def _course(temp: Floats) -> Course | None:
    """First, last and highest of a temperature, or None where it was never read: unknown, or 0 throughout."""
    known = temp[np.isfinite(temp)]
    return Course(float(known[0]), float(known[-1]), float(known.max())) if known.any() else None
