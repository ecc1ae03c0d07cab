"""A simulator of track logbooks as they are typed in: race days drawn from what a car does, and slips of the hand.

Knows nothing of how numbers are judged. A track has its lap and its sun; the air warms over the day; a car has gears
that are changed now and then, tyres that wear; a motor heats by its own rise, more where it is geared longer, and takes
its charge by the second. A heat ends with the lap in which time is up; practice ends when it pleases.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from tests.benchmarks.typed_worlds import made_slip

Row = dict[str, Any]
PLACES = {"run_time_s": 1, "laps": 0, "average_lap_s": 2, "best_lap_s": 2, "ambient_c": 0, "track_c": 0,
          "start_temp_c": 0, "finish_reading_c": 0, "esc_temp_c": 0, "charge_used_mah": 0, "pinion": 0, "spur": 0,
          "tyre_diameter_mm": 1, "internal_ratio": 2}  # fmt: skip
FIELDS = tuple(PLACES)
HEAT = ("ambient_c", "track_c", "start_temp_c", "finish_reading_c", "esc_temp_c")
PAIRS = (("pinion", "spur"), ("ambient_c", "finish_reading_c"), ("ambient_c", "track_c"),
         ("average_lap_s", "best_lap_s"))  # fmt: skip
ERRORS = (("digit", 30), ("swap", 20), ("missing", 12), ("extra", 12), ("comma", 8), ("ten", 4), ("fields", 4),
          ("fahrenheit", 6))  # fmt: skip


@dataclass(frozen=True)
class TrackWorld:
    """What kind of logbooks. fields: what is written down; heat: times the usual scatter of temperatures; pace: of
    laps; broken: share of heats that end early and say so; gears: chance that the pinion is changed before a run.
    dirty: share of rows with a slip that nobody saw."""

    name: str
    days: tuple[int, int] = (1, 4)
    motors: tuple[int, int] = (1, 3)
    rounds: tuple[int, int] = (2, 4)
    fields: tuple[str, ...] = FIELDS
    heat: float = 1.0
    pace: float = 1.0
    broken: float = 0.05
    gears: float = 0.3
    dirty: float = 0.0


@dataclass
class Car:
    """A motor in its car: what of it lasts."""

    pinion: int
    spur: int
    tyre: float
    ratio: float
    rise: float
    esc: float
    rate: float
    usual: int = 0
    warm: float = 0.0
    since: datetime = field(default_factory=lambda: datetime(2025, 1, 1))


@dataclass(frozen=True)
class TrackTyping:
    """A logbook: events, and runs in time, each with its texts by column."""

    events: dict[str, Row]
    runs: list[Row]
    texts: list[dict[str, str]]


def draw(world: TrackWorld, seed: int) -> TrackTyping:
    """One logbook without a slip."""
    rng = np.random.default_rng(seed)
    names = [f"m{i}" for i in range(int(rng.integers(world.motors[0], world.motors[1] + 1)))]
    cars = {name: _car(rng) for name in names}
    book = TrackTyping({}, [], [])
    when = datetime(2025, 3, 1)
    for number in range(int(rng.integers(world.days[0], world.days[1] + 1))):
        when += timedelta(days=int(rng.integers(5, 30)))
        event = {"id": f"e{number}", "name": f"day {number}", "date": when.date().isoformat()}
        book.events[event["id"]] = event
        _day(world, rng, cars, event, when, book)
    return book


def _car(rng: np.random.Generator) -> Car:
    ratio, teeth, spur = (
        float(rng.choice((1.9, 2.0, 2.6))),
        int(rng.integers(22, 40)),
        int(rng.choice((69, 72, 78, 84))),
    )
    rise, esc, rate = float(rng.normal(40, 6)), float(rng.normal(28, 8)), float(np.exp(rng.normal(np.log(7), 0.3)))
    return Car(teeth, spur, float(rng.normal(63, 1)), ratio, rise, esc, rate, teeth)


def _day(
    world: TrackWorld, rng: np.random.Generator, cars: dict[str, Car], event: Row, when: datetime, book: TrackTyping
) -> None:
    lap = float(np.exp(rng.normal(np.log(16), 0.35)))
    sun, air = float(abs(rng.normal(6, 5))), float(rng.normal(20, 6))
    heat_s, rounds = float(rng.choice((300, 360, 480))), int(rng.integers(world.rounds[0], world.rounds[1] + 1))
    kinds = ["practice"] * 2 + ["qualifier"] * rounds + ["main"]
    at = when + timedelta(hours=9, minutes=int(rng.integers(0, 60)))
    for number, kind in enumerate(kinds):
        for name, car in cars.items():
            at += timedelta(minutes=int(rng.integers(12, 35)))
            here = air + 5 * np.sin((at.hour - 9) / 8 * np.pi / 2) + rng.normal(0, 0.5)
            if number and rng.random() < world.gears:
                car.pinion = car.usual + int(rng.choice((-2, -1, 1, 2)))
            row, text = _run(world, rng, car, kind, lap, float(here), sun, heat_s, at)
            row |= {"id": f"r{len(book.runs)}", "motor_id": name, "car_id": f"c{name}", "event_id": event["id"]}
            book.runs.append(row | {"started_at": at.isoformat(timespec="minutes"), "round_kind": kind})
            book.texts.append(text)


def _run(
    world: TrackWorld, rng: np.random.Generator, car: Car, kind: str, lap: float, air: float, sun: float, heat_s: float,
    at: datetime,
) -> tuple[Row, dict[str, str]]:  # fmt: skip
    broken = kind != "practice" and rng.random() < world.broken
    planned = (
        float(rng.uniform(180, 600)) if kind == "practice" else heat_s * (float(rng.uniform(0.3, 0.8)) if broken else 1)
    )
    mean = lap * float(np.exp(rng.normal(0, 0.015 * world.pace)))
    laps = max(2, int(np.ceil(planned / mean)))
    times = mean * np.exp(np.abs(rng.normal(0, 0.012 * world.pace, laps)) + rng.normal(0, 0.006, laps))
    time = float(np.sum(times))
    longer = car.pinion / car.usual
    left = car.warm * float(np.exp(-(at - car.since).total_seconds() / 900))
    rise = (
        car.rise
        * longer**1.7
        * (1 - np.exp(-time / 150))
        / (1 - np.exp(-2))
        * float(np.exp(rng.normal(0, 0.06 * world.heat)))
    )
    finish = air + rise + 0.3 * left + float(rng.normal(0, 1.0))
    seen = {
        "run_time_s": time, "laps": float(laps), "average_lap_s": time / laps, "best_lap_s": float(np.min(times)),
        "ambient_c": air, "track_c": air + sun + float(rng.normal(0, 1.5)), "start_temp_c": air + left,
        "finish_reading_c": finish, "charge_used_mah": time * car.rate * longer * float(np.exp(rng.normal(0, 0.05))),
        "esc_temp_c": air + car.esc * float(np.exp(rng.normal(0, 0.08 * world.heat))) * (1 - np.exp(-time / 200)),
        "pinion": float(car.pinion), "spur": float(car.spur), "tyre_diameter_mm": car.tyre, "internal_ratio": car.ratio,
    }  # fmt: skip
    car.warm, car.since = finish - air, at
    car.tyre = float(rng.normal(63, 0.5)) if rng.random() < 0.05 else car.tyre - abs(float(rng.normal(0.06, 0.03)))
    text = {name: f"{seen[name]:.{PLACES[name]}f}" for name in world.fields}
    row: Row = {name: float(each) for name, each in text.items()}
    return row | ({"incident": "out early"} if broken else {}), text


def slip(rng: np.random.Generator, texts: dict[str, str]) -> tuple[str, dict[str, str]] | None:
    """A kind of slip and the texts it changed; None where it cannot be made in the field that was hit."""
    kinds, odds = zip(*ERRORS, strict=True)
    kind = str(rng.choice(kinds, p=np.array(odds) / sum(odds)))
    return made_slip(kind, rng, texts, PAIRS, 0.7)
