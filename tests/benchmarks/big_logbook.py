"""Logbooks of any size for measuring: bench and track runs of ten motors over the years, written with a good seal."""

from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from pitbench.desk.builds import own_part_name
from pitbench.records.fields import PART_KINDS
from pitbench.store.migrations import SCHEMA
from pitbench.store.seal import sealed

MOTORS = ("Heron", "Whio", "Plover", "Siskin", "Dunlin", "Lapwing", "Turnstone", "Redshank", "Curlew", "Avocet")
START = datetime(2020, 1, 1, 18, 0)
SENTINEL = "Avocet"
"""A name that stands in the list of motors as soon as that is shown."""


def tree_of(count: int, seed: int = 1) -> dict[str, Any]:
    """A logbook of so many runs, nine bench runs to one track run, as it is stored."""
    rng = Random(seed)
    motors = {f"m{nth}": {"id": f"m{nth}", "name": name, "class_id": "c"} for nth, name in enumerate(MOTORS)}
    tree: dict[str, Any] = {
        "pitbench": {"logbook": {"schema": SCHEMA, "written_by": "0.1.0"}},
        "class_sheet": {"c": {"id": "c", "name": "club 13.5T", "gearing_limit": "rules"}},
        "motor": motors,
        "part": {part["id"]: part for nth in range(len(MOTORS)) for part in _parts(nth)},
        "build": {f"b{nth}": _build(nth) for nth in range(len(MOTORS))},
        "bench_run": {},
        "track_run": {},
    }
    for nth in range(count):
        motor = nth % len(MOTORS)
        at = f"{START + timedelta(minutes=7 * nth):%Y-%m-%dT%H:%M}"
        made = {"id": f"r{nth}", "motor_id": f"m{motor}", "build_id": f"b{motor}", "edited_at": f"{at}:30"}
        if nth % 10 == 9:
            tree["track_run"][made["id"]] = made | _track(rng, at)
        else:
            tree["bench_run"][made["id"]] = made | _bench(rng, at, motor)
    return tree


def _parts(motor: int) -> list[dict[str, Any]]:
    return [{"id": f"{kind}{motor}", "name": own_part_name(MOTORS[motor], kind), "kind": kind} for kind in PART_KINDS]


def _build(motor: int) -> dict[str, Any]:
    """Of the motor's own parts: one that lacks a part is not ranked."""
    parts = {f"{kind}_id": f"{kind}{motor}" for kind in PART_KINDS}
    return {"id": f"b{motor}", "motor_id": f"m{motor}", **parts}


def _bench(rng: Random, at: str, motor: int) -> dict[str, Any]:
    timing = [round(42 + rng.gauss(0, 0.3), 1) for _ in range(3)]
    return {
        "taken_at": at,
        "tester": "box",
        "test_voltage_v": 3.7,
        "ambient_c": 21.0,
        "motor_temp_c": round(28 + rng.gauss(0, 2), 1),
        "kv_rpm_per_v": float(round(3900 + 8 * motor + rng.gauss(0, 8))),
        "no_load_current_a": round(4 + 0.03 * motor + rng.gauss(0, 0.04), 2),
        "timing_a_deg": timing[0],
        "timing_b_deg": timing[1],
        "timing_c_deg": timing[2],
        "pole_imbalance_pct": round(abs(rng.gauss(2, 0.3)), 1),
        "hall_level_spread_pct": round(abs(rng.gauss(3, 0.3)), 1),
    }


def _track(rng: Random, at: str) -> dict[str, Any]:
    return {
        "started_at": at,
        "round_kind": "practice",
        "pinion": float(rng.randint(28, 33)),
        "spur": 72.0,
        "internal_ratio": 1.9,
        "tyre_diameter_mm": 62.5,
        "timing_mark_deg": 35.0,
        "run_time_s": 300.0,
        "laps": 24.0,
        "average_lap_s": round(12.5 + rng.gauss(0, 0.1), 2),
        "best_lap_s": round(12.1 + rng.gauss(0, 0.1), 2),
        "ambient_c": 22.0,
        "finish_reading_c": round(68 + rng.gauss(0, 3), 1),
        "finish_reading_after_s": 60.0,
    }


def write_logbook(path: Path, count: int) -> bytes:
    """Write one with a good seal; its bytes."""
    raw = b"".join(sealed(tree_of(count)))
    path.write_bytes(raw)
    return raw
