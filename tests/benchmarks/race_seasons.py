"""A simulator of seasons: motors on a bench and on the track, written down as a racer does, in a logbook in memory.

Drawn from the three-constant motor and from laps, not from the model that is fitted. Whether the bench tells about the
track is the world's choice: pace follows power at load, or nothing the bench reads. The racer runs some motors more
often than others and the one best liked on the bench in the mains, when the track is at its fastest.
"""

from dataclasses import dataclass

import numpy as np

from pitbench.records.models import BenchRun, Build, ClassSheet, Event, Motor, TrackRun
from pitbench.store.logbook import Logbook

NAMES = ("Avocet", "Dunlin", "Heron", "Lapwing", "Plover", "Siskin", "Whio", "Willet", "Knot", "Ruff", "Snipe", "Stint")
TEST_V, PACK_V, LEADS, LOAD_SHARE = 3.7, 7.6, 0.020, 0.4
LAP_PER_POWER = -0.3
"""Percent of a lap that a percent of power brings."""


@dataclass(frozen=True)
class World:
    """pace: what it follows, `power`, `imbalance`, or `nothing`; heat: `current` or `nothing`.

    unseen_pct: of power, what the bench cannot see; motor_pct: spread of pace that follows nothing; run_pct: luck of a
    run, day_pct: of a motor at one event, percent of a lap; raced: share of motors at an event.
    """

    motors: int = 8
    events: int = 10
    rounds: int = 3
    pace: str = "nothing"
    heat: str = "nothing"
    unseen_pct: float = 0.3
    motor_pct: float = 0.35
    run_pct: float = 0.35
    day_pct: float = 0.1
    raced: float = 0.8


def draw_season(world: World, seed: int) -> Logbook:
    """One season: an evening on the bench before every second event, then the event."""
    rng = np.random.default_rng(seed)
    n = world.motors
    kv, current = 3920 * np.exp(0.010 * rng.normal(size=n)), 4.0 * np.exp(0.06 * rng.normal(size=n))
    ohms, uneven = 0.0116 * np.exp(0.02 * rng.normal(size=n)), np.abs(rng.normal(2.0, 1.2, (3, n))) + 0.2
    power = _power(kv, current, ohms)
    follows = {
        "power": LAP_PER_POWER * (power + world.unseen_pct * rng.normal(size=n)),
        "imbalance": 0.25 * uneven[0] + 0.1 * rng.normal(size=n),
        "nothing": world.motor_pct * rng.normal(size=n),
    }
    warmer = 0.8 * np.log(current / 4) if world.heat == "current" else 0.05 * rng.normal(size=n)
    liked = int(np.argmax(kv / current * np.exp(0.02 * rng.normal(size=n))))
    book = Logbook.in_memory()
    sheet = ClassSheet(name="club 13.5T", turns=13.5, cells=2)
    motors = [Motor(name=name, class_id=sheet.id) for name in NAMES[:n]]
    builds = [
        Build(motor_id=m.id, **{f"{k}_id": f"{m.name} {k}" for k in ("stator", "rotor", "end_bell")}) for m in motors
    ]
    events = [
        Event(name=f"Harbour {e + 1}", date=f"2026-{3 + e // 4:02d}-{2 + 7 * (e % 4):02d}") for e in range(world.events)
    ]
    made = [{"motor_id": motor.id, "build_id": build.id} for motor, build in zip(motors, builds, strict=True)]
    runs: list[BenchRun | TrackRun] = []
    for nth, event in enumerate(events):
        if nth % 2 == 0:
            runs += _evening(rng, f"{event.date[:8]}{int(event.date[8:]) - 1:02d}", made, kv, current, ohms, uneven)
        runs += _event(world, rng, event, made, follows[world.pace], warmer, liked)
    book.save("season", [sheet, *motors, *builds, *events, *runs])
    return book


def _power(kv: np.ndarray, current: np.ndarray, ohms: np.ndarray) -> np.ndarray:
    """Percent of power at one current, against the mean."""
    amps = LOAD_SHARE * PACK_V / (ohms.mean() + LEADS)
    watts = (PACK_V - amps * (ohms + LEADS)) * (amps - current)
    capped = (
        watts * (kv / kv.mean()) ** 0.5
    )  # between free gearing, where KV counts nothing, and gearing that is capped
    return 100 * (capped / capped.mean() - 1)


def _evening(
    rng: np.random.Generator,
    day: str,
    made: list[dict[str, str]],
    kv: np.ndarray,
    current: np.ndarray,
    ohms: np.ndarray,
    uneven: np.ndarray,
) -> list[BenchRun]:
    """Motors in turn, twice; the tester reads a little off that evening."""
    mood, found = rng.normal(0, (0.002, 0.015, 0.01)), []
    for again in range(2):
        for at, which in enumerate(made):
            a, b = rng.normal(42, 0.1, 2)
            found.append(
                BenchRun(
                    **which,
                    taken_at=f"{day}T{18 + again}:{4 * at:02d}",
                    tester="bench box",
                    test_voltage_v=TEST_V,
                    ambient_c=22,
                    motor_temp_c=26 + 3 * again,
                    kv_rpm_per_v=round(kv[at] * np.exp(mood[0] + 0.002 * rng.normal() + 0.0021 * again)),
                    no_load_current_a=round(current[at] * np.exp(mood[1] + 0.01 * rng.normal()), 2),
                    resistance_mohm=round(1000 * ohms[at] * np.exp(mood[2] + 0.01 * rng.normal()) * 1.00786, 2),
                    resistance_temp_c=22,
                    timing_a_deg=round(a, 1),
                    timing_b_deg=round(b, 1),
                    timing_c_deg=round((a + b) / 2 + uneven[2, at], 1),
                    pole_imbalance_pct=round(abs(uneven[0, at] + 0.3 * rng.normal()), 1),
                    hall_level_spread_pct=round(abs(uneven[1, at] + 0.3 * rng.normal()), 1),
                )
            )
    return found


def _event(
    world: World,
    rng: np.random.Generator,
    event: Event,
    made: list[dict[str, str]],
    slower: np.ndarray,
    warmer: np.ndarray,
    liked: int,
) -> list[TrackRun]:
    """Rounds from nine o'clock, two hours apart; in the last the liked motor runs twice more."""
    lap_s, air = rng.uniform(12, 30), rng.uniform(15, 32)
    luck, hot = rng.normal(0, world.day_pct, len(made)), rng.normal(0, 0.08)
    found = []
    for nth in range(world.rounds):
        last = nth == world.rounds - 1
        here = [at for at in rng.permutation(len(made)) if rng.random() < world.raced] + [liked, liked] * last
        for place, at in enumerate(here):
            teeth = int(rng.choice([29, 30, 30, 31]))
            off = slower[at] + luck[at] - 0.4 * nth + 0.1 * (teeth - 30) + rng.normal(0, world.run_pct)
            laps = lap_s * np.exp(0.01 * (off + np.abs(rng.normal(0, 1.2, round(300 / lap_s)))))
            rise = 45 * (teeth / 30) ** 1.7 * np.exp(hot + warmer[at] + rng.normal(0, 0.04))
            found.append(
                TrackRun(
                    **made[at],
                    started_at=f"{event.date}T{9 + 2 * nth + place // 10:02d}:{6 * (place % 10):02d}",
                    event_id=event.id,
                    lap_times_s=tuple(round(float(lap), 2) for lap in laps),
                    pinion=teeth,
                    spur=72,
                    internal_ratio=1.9,
                    tyre_diameter_mm=62.5,
                    ambient_c=round(air),
                    run_time_s=300,
                    finish_reading_c=round(air + rise),
                    finish_reading_after_s=60,
                )
            )
    return found
