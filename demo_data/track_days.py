"""Drives the race days of `race_days` and gives the rows of the track sheets.

Lap times follow from the motor's power at load, the rollout against what suits the track, rubber and warmth over the
day, what the changes to the car were truly worth, the driver and the traffic; temperatures from `two_bodies`. Readings
come late and with a thermometer's noise. Magnitudes are common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
from motor_nature import MOTORS, MotorPlan, Nature, Parts, build_at, spin_free, winding_ohm
from race_days import CARS, GEARS, RACE_DAYS, CarPlan, Change, Outing, RaceDay
from two_bodies import USUAL_MM, Load, TwoBodies

TRACK_SEED = 20260516  # the weekend's date; the first one taken

PACK_V, LEADS_OHM, LOAD_SHARE = 7.6, 0.020, 0.4  # where power is meant: share of the stall current
LAP_PER_POWER, UNSEEN_PCT = -0.3, 0.3  # percent of a lap per percent of power; of power that no bench figure tells
RUN_PCT, LAP_PCT, DRIVER, BREEZE = 0.25, 0.7, 0.025, 0.03
BUSY = {"practice": 0.10, "qualifier": 0.04, "main": 0.09}  # share of laps in traffic
STANDING_START_S = 1.1
TYRE_NEW_MM, TYRE_WEAR_MM = 63.0, (0.05, 0.09)

EVENT_COLUMNS = "event date track surface start_times gearing_limit note"
TRACK_COLUMNS = (
    "motor started_at event car round_kind round pinion spur internal_ratio tyre tyre_diameter_mm tyre_runs fan pack "
    "timing_mark_deg esc_timing_deg run_time_s laps lap_times_s best_lap_s average_lap_s ambient_c track_c "
    "start_temp_c finish_reading_c finish_reading_after_s esc_temp_c charge_used_mah incident result note"
)
COOLING_COLUMNS = "motor started_at after_s temp_c fan"
SETUP_COLUMNS = "written_at event car motor what was now why outcome"
GEAR_COLUMNS = "kind teeth module dp note"

Row = dict[str, object]


@dataclass
class Tyres:
    """A set of tyres, which wears."""

    mm: float = TYRE_NEW_MM
    runs: int = 0


@dataclass
class Raced:
    """A motor on one day: how warm it is since when, and whether a fan blows on it."""

    plan: MotorPlan
    bodies: TwoBodies
    since: datetime
    fan: bool = False

    def stand(self, until: datetime, air: float) -> float:
        """Rest until then; the can."""
        self.bodies.rest((until - self.since).total_seconds(), air, self.fan)
        self.since = until
        return self.bodies.can


@dataclass(frozen=True)
class Run:
    """One outing with what it is made of."""

    day: RaceDay
    outing: Outing
    car_name: str
    car: CarPlan
    start: datetime
    air: float
    rollout: float
    mark: int


@dataclass
class Driver:
    """One driver and two cars over all race days; every chance is drawn from one stream."""

    parts: Parts
    draw: np.random.RandomState
    tyres: dict[str, Tyres] = field(default_factory=dict)
    track: list[Row] = field(default_factory=list)
    cooling: list[Row] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.unseen = {plan.name: UNSEEN_PCT * self.draw.randn() for plan in MOTORS}

    def race(self, day: RaceDay) -> None:
        """All runs of a day in the order of the clock."""
        morning = clock(day, "08:00")
        raced = {plan.name: Raced(plan, TwoBodies(day.air[0], day.air[0]), morning) for plan in MOTORS}
        for outing in day.outings:
            self._run(day, outing, raced[outing.motor])

    def _run(self, day: RaceDay, outing: Outing, motor: Raced) -> None:
        car_name, car = next((name, car) for name, car in CARS.items() if car.class_name == motor.plan.class_name)
        start = clock(day, outing.at)
        tyre = [label for since, label in car.tyres if datetime.fromisoformat(since) <= start][-1]
        tyres = self.tyres.setdefault(tyre, Tyres())
        rollout = math.pi * tyres.mm * outing.pinion / (car.spur * car.internal_ratio)
        run = Run(day, outing, car_name, car, start, air_at(day, start), rollout, outing.mark or car.usual_mark)
        row: Row = {
            "motor": outing.motor,
            "started_at": start.isoformat(timespec="minutes"),
            "event": named(day),
            "car": car_name,
            "round_kind": outing.kind,
            "round": outing.round,
            "pinion": outing.pinion,
            "spur": car.spur,
            "internal_ratio": car.internal_ratio,
            "tyre": f"club rubber, {tyre}",
            "tyre_diameter_mm": f"{tyres.mm:.1f}",
            "tyre_runs": tyres.runs,
            "fan": yes_no(car.fan),
            "pack": f"P{1 + len(self.track) % 3}",
            "timing_mark_deg": run.mark,
            "esc_timing_deg": 0,
            "ambient_c": round(run.air + 0.4 * self.draw.randn()),
            "track_c": round(run.air + 8 + self.draw.randn()) if day.warm_ground else "",
            "incident": outing.incident,
            "result": outing.result,
            "note": outing.note,
        }
        laps = self._laps(run, motor.plan)
        can = motor.stand(start, run.air)
        if outing.start:
            row["start_temp_c"] = round(can + 0.6 * self.draw.randn())
        self.track.append(row | written_laps(outing.kept, laps) | self._heat(run, motor, laps))
        tyres.mm -= self.draw.uniform(*TYRE_WEAR_MM)
        tyres.runs += 1

    def _laps(self, run: Run, plan: MotorPlan) -> list[float]:
        """Lap times; the last lap is begun before the time is up."""
        outing, level = run.outing, run.day.lap_s * run.car.slower * (1 + self._slower_pct(run, plan) / 100)
        crash = self.draw.randint(4, 14)
        laps: list[float] = []
        while sum(laps) < outing.minutes * 60:
            lap = level * (1 + LAP_PCT / 100 * self.draw.randn())
            if self.draw.rand() < BUSY[outing.kind]:
                lap += 0.03 * level * self.draw.exponential()
            if not laps and outing.kind != "practice":
                lap += STANDING_START_S
            laps.append(round(lap + (outing.lost_s if len(laps) == crash else 0), 2))
        return laps

    def _slower_pct(self, run: Run, plan: MotorPlan) -> float:
        """By how much the laps of a run are longer than the day's good lap, percent."""
        hours = (run.start - clock(run.day, "09:00")).total_seconds() / 3600
        best_mm = run.car.best_mm or run.day.best_mm
        changed = (c.pace for c in run.day.changes if c.car == run.car_name and clock(run.day, c.at) < run.start)
        return (
            LAP_PER_POWER * (self._power_pct(run, plan) + self.unseen[plan.name])
            + 0.15 * (100 * math.log(run.rollout / best_mm) / 3) ** 2
            - 1.2 * (1 - math.exp(-hours / 3))
            + 0.4 * math.sin(math.pi * hours / 10)
            + sum(changed)
            + RUN_PCT * self.draw.randn()
        )

    def _nature(self, run: Run, plan: MotorPlan) -> Nature:
        return self.parts.of(build_at(plan, run.start))

    def _power_pct(self, run: Run, plan: MotorPlan) -> float:
        """Shaft power at load against a plain motor without losses, percent."""
        nature = self._nature(run, plan)
        warm = winding_ohm(nature, plan.turns, 60)
        plain = warm / nature.winding
        amps = LOAD_SHARE * PACK_V / (plain + LEADS_OHM)
        _, idle = spin_free(nature, plan.turns, run.mark + nature.scale_error, 40, 0)
        power = (PACK_V - amps * (warm + LEADS_OHM)) * (amps - idle)
        return 100 * math.log(power / (amps * (PACK_V - amps * (plain + LEADS_OHM))))

    def _heat(self, run: Run, motor: Raced, laps: Sequence[float]) -> Row:
        """Warm the motor over the run and read it afterwards; the cells of what was read."""
        plan, longer, more = motor.plan, run.rollout / USUAL_MM, run.mark - run.car.usual_mark
        nature = self._nature(run, plan)
        effort = run.car.pull * run.day.grip * (1 + DRIVER * self.draw.randn())
        load = Load(
            current=effort * longer**1.1 * math.exp(0.008 * more) / (nature.flux * plan.turns / 13.5),
            iron=nature.drag * nature.iron * nature.flux**2 * math.exp(0.015 * more) / longer,
            breeze=1 + BREEZE * self.draw.randn(),
            fan=run.car.fan,
        )
        seconds = sum(laps)
        charge = motor.bodies.drive(
            seconds, seconds / len(laps), load, lambda temp: winding_ohm(nature, plan.turns, temp), run.air
        )
        motor.since, motor.fan = run.start + timedelta(seconds=seconds), run.outing.pit_fan
        finish, delay = motor.since, 5 * round(self.draw.uniform(20, 90) / 5)
        reading = self._read(motor, finish, delay, run.air)
        for minutes in run.outing.later:
            after = 10 * round(6 * minutes + self.draw.uniform(-3, 3))
            kept = {"motor": plan.name, "started_at": run.start.isoformat(timespec="minutes"), "after_s": after}
            read = {"temp_c": self._read(motor, finish, after, run.air), "fan": yes_no(motor.fan)}
            self.cooling.append(kept | read)
        cells: Row = {"finish_reading_c": reading, "finish_reading_after_s": "" if run.outing.untimed else delay}
        if run.outing.kind != "practice":
            cells["esc_temp_c"] = round(run.air + 0.55 * (reading - run.air) + 1.5 * self.draw.randn())
            cells["charge_used_mah"] = 10 * round(charge / 10)
        return cells

    def _read(self, motor: Raced, finish: datetime, after_s: float, air: float) -> int:
        return round(motor.stand(finish + timedelta(seconds=after_s), air) + 0.8 * self.draw.randn())


def clock(day: RaceDay, time: str) -> datetime:
    return datetime.fromisoformat(f"{day.date}T{time}")


def air_at(day: RaceDay, at: datetime) -> float:
    """Ambient: rises from eight until four, then falls."""
    hours = (at - clock(day, "08:00")).total_seconds() / 3600
    low, high = day.air
    return low + (high - low) * math.sin(math.pi * hours / 16) ** 2


def named(day: RaceDay) -> str:
    """Its name, with the date where two have it."""
    return f"{day.name} {day.date}" if sum(day.name == other.name for other in RACE_DAYS) > 1 else day.name


def yes_no(value: bool) -> str:
    return "yes" if value else "no"


def written_laps(kept: str, laps: Sequence[float]) -> Row:
    """What was written down of the laps."""
    total = f"{sum(laps):.1f}"
    if kept == "best":
        return {"best_lap_s": f"{min(laps):.2f}", "average_lap_s": f"{sum(laps) / len(laps):.2f}", "run_time_s": total}
    counted: Row = {"laps": len(laps), "run_time_s": total}
    return counted if kept == "count" else counted | {"lap_times_s": " ".join(f"{lap:.2f}" for lap in laps)}


def outcome(change: Change, day: RaceDay, track: Sequence[Row]) -> str:
    """What a racer writes who looks at the better laps of the run before and the run after."""
    if change.outcome != "laps":
        return change.outcome
    at = clock(day, change.at).isoformat(timespec="minutes")
    timed = [run for run in track if run["event"] == named(day) and run["car"] == change.car and "lap_times_s" in run]
    timed = [run for run in timed if change.motor in ("", run["motor"])]
    before = [run for run in timed if str(run["started_at"]) < at]
    after = [run for run in timed if str(run["started_at"]) > at]
    gained = better_half(before[-1]) - better_half(after[0])
    said = "no difference" if abs(gained) < 0.02 else f"{'better' if gained > 0 else 'worse'} {abs(gained):.2f} s"
    warm = change.what in ("pinion", "timing mark")
    return f"{said}, {after[0]['finish_reading_c']} °C" if warm else said


def better_half(run: Row) -> float:
    laps = sorted(map(float, str(run["lap_times_s"]).split()))
    return float(np.mean(laps[: math.ceil(len(laps) / 2)]))


def setup_rows(track: Sequence[Row]) -> list[Row]:
    return [
        {
            "written_at": clock(day, change.at).isoformat(timespec="minutes"),
            "event": named(day),
            "car": change.car,
            "motor": change.motor,
            "what": change.what,
            "was": change.was,
            "now": change.now,
            "why": change.why,
            "outcome": outcome(change, day, track),
        }
        for day in RACE_DAYS
        for change in day.changes
    ]


def event_rows() -> list[Row]:
    return [
        {
            "event": day.name,
            "date": day.date,
            "track": day.track,
            "surface": day.surface,
            "start_times": day.start_times,
            "note": day.note,
        }
        for day in RACE_DAYS
    ]


def track_sheets(parts: Parts) -> dict[str, tuple[str, list[Row]]]:
    """File name to columns and rows."""
    driver = Driver(parts, np.random.RandomState(TRACK_SEED))
    for day in RACE_DAYS:
        driver.race(day)
    gears: list[Row] = [{"kind": kind, "teeth": n, pitch: size} for kind, teeth, pitch, size in GEARS for n in teeth]
    return {
        "events.csv": (EVENT_COLUMNS, event_rows()),
        "track.csv": (TRACK_COLUMNS, driver.track),
        "cooling.csv": (COOLING_COLUMNS, driver.cooling),
        "setup.csv": (SETUP_COLUMNS, setup_rows(driver.track)),
        "gears.csv": (GEAR_COLUMNS, gears),
    }
