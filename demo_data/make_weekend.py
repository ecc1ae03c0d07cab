"""Make the invented club weekend: `python demo_data/make_weekend.py` rewrites the CSV sheets in this folder.

Why it exists: a newcomer should meet a full logbook, and nobody's real figures may stand in it. Motors, parts, dates
and numbers are invented. The same script always writes the same bytes: the seed is fixed and the random stream is
numpy's `RandomState`, which numpy promises never to change.

Each part gets a true nature once (`motor_nature`); each bench run is that nature at the tester's voltage, blurred by
what a tester does. `swap_log` tells what came of swaps; the race days are planned in `race_days` and driven in
`track_days`. Nothing here is taken from pitbench's own figures, so the two can disagree.
"""

import csv
import io
import math
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from load_logs import log_texts
from motor_nature import MOTORS, POLES, SEED, SWAPS, VOLTAGE, MotorPlan, Parts, build_at, spin_free, winding_ohm
from swap_log import swap_rows
from track_days import track_sheets


@dataclass(frozen=True)
class Sitting:
    """One motor clamped in the tester for a few runs."""

    motor: str
    runs: int
    measured: bool = False  # winding resistance, before the first run
    rotor: str = ""  # another motor's or a spare rotor, on trial
    bad_contact: bool = False  # on the first run, which is then left out
    thermometer: bool = True
    opened_min: int = 0  # what it takes before that to open motors and change parts
    note: str = ""


@dataclass(frozen=True)
class Session:
    start: str
    name: str
    ambient: float
    sittings: tuple[Sitting, ...] = field(default=())


SESSIONS = (
    Session(
        "2026-04-11T18:40",
        "first evening",
        21,
        (
            Sitting("Dunlin", 2, measured=True, note="check motor first"),
            Sitting("Lapwing", 3, measured=True),
            Sitting("Whio", 3, measured=True),
            Sitting("Plover", 2),
            Sitting("Siskin", 2, thermometer=False),
            Sitting("Redshank", 2, measured=True),
            Sitting("Linnet", 2),
            Sitting("Dunlin", 2, note="check motor last"),
        ),
    ),
    Session(
        "2026-05-03T13:55",
        "rotor swap",
        24,
        (
            Sitting("Dunlin", 2, measured=True, note="check motor first"),
            Sitting("Lapwing", 2, note="before the new rotor"),
            Sitting("Whio", 2),
            Sitting("Lapwing", 3, note="with the new rotor"),
            Sitting("Turnstone", 3, note="first time on the bench"),
            Sitting("Dunlin", 2, note="check motor last"),
        ),
    ),
    Session(
        "2026-05-09T18:20",
        "parts evening",
        22,
        (
            Sitting("Dunlin", 2, measured=True, note="check motor first"),
            Sitting("Plover", 2, measured=True, note="before the rotor swap"),
            Sitting("Siskin", 2, measured=True, note="before the rotor swap"),
            Sitting("Turnstone", 2),
            Sitting("Siskin", 2, opened_min=12, note="with the rotor of Plover"),
            Sitting("Plover", 2, note="with the rotor of Siskin"),
            Sitting("Turnstone", 2, opened_min=10, note="with the end bell of Siskin"),
            Sitting("Siskin", 2, note="with the end bell of Turnstone"),
            Sitting("Dunlin", 2, opened_min=10, note="check motor last"),
        ),
    ),
    Session(
        "2026-05-16T08:05",
        "club weekend",
        18,
        (
            Sitting("Dunlin", 2, measured=True, note="check motor first"),
            Sitting("Whio", 3, bad_contact=True),
            Sitting("Plover", 3, measured=True),
            Sitting("Lapwing", 2, measured=True),
            Sitting("Siskin", 2),
            Sitting("Turnstone", 2),
            Sitting("Turnstone", 2, rotor="R5", note="the old rotor of Lapwing on trial"),
            Sitting("Redshank", 3),
            Sitting("Linnet", 2),
            Sitting("Dunlin", 2, note="check motor last"),
        ),
    ),
)

SWEPT, SWEEP_MARKS, SWEEP_PAUSE_MIN = "Redshank", (34, 37, 40, 43, 46), 12
SWEEP = Session("2026-05-14T19:10", "timing sweep", 20)
"""One evening the same motor at one timing mark after the other, cooled before each run."""

CLASS_ROWS: list[dict[str, object]] = [
    {"class": "club 13.5T", "turns": 13.5, "cells": 2, "min_resistance_mohm": 10.7, "esc_timing": "no",
     "parts_mixed": "yes", "gearing_limit": "heat", "note": "gearing is free, the can gets hot first"},
    {"class": "club 21.5T", "turns": 21.5, "cells": 2, "min_resistance_mohm": 27.0, "max_rollout_mm": 62,
     "esc_timing": "no", "parts_mixed": "same model", "gearing_limit": "rules"},
]  # fmt: skip
CLASS_COLUMNS = (
    "class turns cells min_resistance_mohm max_timing_deg max_rollout_mm min_fdr esc_timing parts_mixed gearing_limit "
    "note"
)
MOTOR_COLUMNS = (
    "motor class turns poles stator rotor end_bell resistance_mohm resistance_temp_c check_motor in_use note"
)
BUILD_COLUMNS = "motor since stator rotor end_bell note"
BENCH_COLUMNS = (
    "motor taken_at session tester test_voltage_v sensored spin_s ambient_c motor_temp_c kv_rpm_per_v poles_assumed "
    "no_load_current_a timing_mark_deg timing_deg timing_a_deg timing_b_deg timing_c_deg pole_imbalance_pct "
    "hall_level_spread_pct resistance_mohm resistance_temp_c stator rotor end_bell fitted excluded_why note"
)


@dataclass(frozen=True)
class Tester:
    """What the tester adds to every figure of one session, as a factor."""

    kv: float
    current: float
    resistance: float


def bench_rows(draw: np.random.RandomState, parts: Parts) -> list[dict[str, object]]:
    """Every run of every session in the order of the clock."""
    rows: list[dict[str, object]] = []
    for session in SESSIONS:
        tester = Tester(1 + 0.0022 * draw.randn(), 1 + 0.014 * draw.randn(), 1 + 0.008 * draw.randn())
        clock = datetime.fromisoformat(session.start)
        for sitting in session.sittings:
            plan = next(motor for motor in MOTORS if motor.name == sitting.motor)
            clock += timedelta(minutes=sitting.opened_min)
            for number in range(sitting.runs):
                conditions = {"session": session.name, "ambient_c": round(session.ambient + 0.4 * draw.randn())}
                rows.append(conditions | one_run(draw, parts, tester, plan, sitting, number, session.ambient, clock))
                clock += timedelta(minutes=4)
            clock += timedelta(minutes=3)
    return rows


def sweep_rows(parts: Parts) -> list[dict[str, object]]:
    """The runs of the sweep, out of a stream of their own: the other evenings stay as they were."""
    draw = np.random.RandomState([SEED, 14])
    tester = Tester(1 + 0.0022 * draw.randn(), 1 + 0.014 * draw.randn(), 1)
    plan = next(motor for motor in MOTORS if motor.name == SWEPT)
    rows, clock = [], datetime.fromisoformat(SWEEP.start)
    for mark in SWEEP_MARKS:
        sitting = Sitting(SWEPT, 1, note=f"sweep, mark {mark}")
        run = one_run(draw, parts, tester, replace(plan, mark=mark), sitting, 0, SWEEP.ambient, clock)
        rows.append({"session": SWEEP.name, "ambient_c": round(SWEEP.ambient)} | run)
        clock += timedelta(minutes=SWEEP_PAUSE_MIN)
    return rows


def one_run(
    draw: np.random.RandomState,
    parts: Parts,
    tester: Tester,
    plan: MotorPlan,
    sitting: Sitting,
    number: int,
    ambient: float,
    clock: datetime,
) -> dict[str, object]:
    """The cells of one run; the sitting warms the can, quickly at first."""
    build = build_at(plan, clock)
    build = build._replace(rotor=sitting.rotor) if sitting.rotor else build
    nature = parts.of(build)
    lost = sitting.bad_contact and number == 0
    mean_timing = plan.mark + nature.scale_error
    sensors = mean_timing + nature.sensors + 0.12 * draw.randn(3)
    temp = ambient + 11.5 * (1 - math.exp(-(number + 1) / 1.7)) + 0.5 * draw.randn()
    kv, current = spin_free(nature, plan.turns, mean_timing, temp, 0.06 if lost else 0)
    row: dict[str, object] = {
        "motor": plan.name,
        "taken_at": clock.isoformat(timespec="minutes"),
        "tester": "bench box",
        "test_voltage_v": f"{VOLTAGE:.2f}",
        "sensored": "yes",
        "spin_s": 20,
        "motor_temp_c": round(temp) if sitting.thermometer else "",
        "kv_rpm_per_v": round(kv * tester.kv * (1 + 0.0017 * draw.randn())),
        "poles_assumed": POLES,
        "no_load_current_a": f"{current * tester.current * (1 + 0.008 * draw.randn()):.2f}",
        "timing_mark_deg": plan.mark,
        "timing_deg": f"{sensors.mean():.1f}",
        "pole_imbalance_pct": f"{abs(nature.imbalance + 0.2 * draw.randn()):.1f}",
        "hall_level_spread_pct": f"{abs(nature.levels + 0.2 * draw.randn()):.1f}",
        "note": sitting.note if number == 0 else "",
    }
    row |= {f"timing_{letter}_deg": f"{angle:.1f}" for letter, angle in zip("abc", sensors, strict=True)}
    if sitting.measured and number == 0:
        milliohm = 1000 * winding_ohm(nature, plan.turns, ambient) * tester.resistance * (1 + 0.006 * draw.randn())
        row |= {"resistance_mohm": f"{milliohm:.2f}", "resistance_temp_c": round(ambient)}
    if sitting.rotor:
        row |= build._asdict() | {"fitted": "no"}
    if lost:
        row["excluded_why"] = "a test lead had slipped, run again"
    return row


def motor_rows() -> list[dict[str, object]]:
    return [
        {
            "motor": motor.name,
            "class": motor.class_name,
            "turns": motor.turns,
            "poles": POLES,
            "stator": motor.stator,
            "rotor": motor.rotor,
            "end_bell": motor.end_bell,
            "check_motor": "yes" if motor.check else "no",
            "in_use": "yes",
            "note": motor.note,
        }
        for motor in MOTORS
    ]


def build_rows() -> list[dict[str, object]]:
    return [{"motor": swap.motor, "since": swap.since, swap.kind: swap.part, "note": swap.why} for swap in SWAPS]


def sheets() -> dict[str, str]:
    """File name to its text."""
    draw = np.random.RandomState(SEED)  # the one stream of numpy that never changes
    parts = Parts(draw)
    runs = sorted([*bench_rows(draw, parts), *sweep_rows(parts)], key=lambda row: str(row["taken_at"]))
    raced = track_sheets(parts)
    columns, changes = raced["setup.csv"]
    raced["setup.csv"] = (columns, sorted([*changes, *swap_rows(runs)], key=lambda row: str(row["written_at"])))
    bench: dict[str, tuple[str, list[dict[str, object]]]] = {
        "classes.csv": (CLASS_COLUMNS, CLASS_ROWS),
        "motors.csv": (MOTOR_COLUMNS, motor_rows()),
        "builds.csv": (BUILD_COLUMNS, build_rows()),
        "bench.csv": (BENCH_COLUMNS, runs),
    }
    texts = {name: text_of(columns, rows) for name, (columns, rows) in {**bench, **raced}.items()}
    return texts | log_texts(parts, raced["track.csv"][1])


def text_of(columns: str, rows: list[dict[str, object]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, columns.split(), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def write(folder: Path) -> None:
    (folder / "logs").mkdir(exist_ok=True)
    for name, text in sheets().items():
        (folder / name).write_bytes(text.encode())


if __name__ == "__main__":
    write(Path(__file__).parent)
