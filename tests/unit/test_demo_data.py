"""The invented club weekend: always the same bytes, and figures a racer would believe.

Magnitudes (13.5T at 40 to 43° total timing: about 3900 to 4000 rpm/V and 3.5 to 4.5 A on one cell, repeats within
5 to 15 rpm/V) are common practice, no source.
"""

import csv
import importlib.util
import sys
from collections import defaultdict
from statistics import median
from types import ModuleType

import numpy as np
import pytest

from pitbench.demo import demo_data_folder

SHEETS = ("classes.csv", "motors.csv", "builds.csv", "bench.csv")


def rows(name: str) -> list[dict[str, str]]:
    with (demo_data_folder() / name).open(encoding="utf-8", newline="") as sheet:
        return list(csv.DictReader(sheet))


def runs(class_name: str) -> list[dict[str, str]]:
    """The runs of one class that count."""
    members = {row["motor"] for row in rows("motors.csv") if row["class"] == class_name}
    return [row for row in rows("bench.csv") if row["motor"] in members and not row["excluded_why"]]


def figures(class_name: str, column: str) -> list[float]:
    return [float(row[column]) for row in runs(class_name)]


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_weekend", demo_data_folder() / "make_weekend.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_the_generator_writes_the_same_bytes_again(generator, tmp_path):
    generator.write(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(SHEETS)
    for name in SHEETS:
        assert (tmp_path / name).read_bytes() == (demo_data_folder() / name).read_bytes(), name


def test_motors_and_parts():
    members = defaultdict(list)
    for row in rows("motors.csv"):
        members[row["class"]].append(row["motor"])
    assert len(members["club 13.5T"]) >= 6
    assert len(members["club 21.5T"]) == 2
    for kind in ("stator", "rotor", "end_bell"):
        parts = [row[kind] for row in rows("motors.csv")]
        assert len(set(parts)) == len(parts), "a part is in one motor at a time"
    assert all(row["since"] for row in rows("builds.csv"))


def test_every_session_begins_and_ends_with_the_check_motor():
    (check,) = [row["motor"] for row in rows("motors.csv") if row["check_motor"] == "yes"]
    sessions = defaultdict(list)
    for row in rows("bench.csv"):
        sessions[row["session"], row["taken_at"][:10]].append(row["motor"])
    assert len(sessions) == 3
    assert len({date for _, date in sessions}) == 3
    for motors in sessions.values():
        assert motors[0] == motors[-1] == check
        assert len(set(motors)) > 3


def test_runs_stand_in_the_order_of_the_clock_and_keep_a_pause():
    times = [np.datetime64(row["taken_at"]) for row in rows("bench.csv")]
    assert min(np.diff(times)) >= np.timedelta64(4, "m")


def test_resistance_is_measured_for_some_motors_only():
    for class_name in ("club 13.5T", "club 21.5T"):
        every = {row["motor"] for row in runs(class_name)}
        measured = {row["motor"] for row in runs(class_name) if row["resistance_mohm"]}
        assert measured
        assert measured < every


def test_magnitudes_of_the_quicker_class():
    kv = figures("club 13.5T", "kv_rpm_per_v")
    assert 3890 < min(kv) < max(kv) < 4030
    assert 3900 < median(kv) < 4000
    current = figures("club 13.5T", "no_load_current_a")
    assert 3.5 < min(current) < max(current) < 4.5
    timing = figures("club 13.5T", "timing_deg")
    assert 40 < min(timing) < max(timing) < 43


def test_the_slower_class_follows_from_its_turns():
    quick, slow = "club 13.5T", "club 21.5T"
    assert 2500 < min(figures(slow, "kv_rpm_per_v")) < max(figures(slow, "kv_rpm_per_v")) < 2600
    assert max(figures(slow, "no_load_current_a")) < min(figures(quick, "no_load_current_a"))
    ohms = {
        name: median(float(row["resistance_mohm"]) for row in runs(name) if row["resistance_mohm"])
        for name in (quick, slow)
    }
    assert ohms[slow] / ohms[quick] == pytest.approx((21.5 / 13.5) ** 2, rel=0.08)


def test_repeats_lie_as_close_as_racers_see_them():
    sittings = defaultdict(list)
    for row in runs("club 13.5T"):
        sittings[row["motor"], row["taken_at"][:10], row["note"] == "check motor last", row["rotor"]].append(row)
    spans = [np.ptp([float(row["kv_rpm_per_v"]) for row in group]) for group in sittings.values()]
    assert 5 <= median(spans) <= 15


def test_the_can_warms_over_the_repeats():
    together = [
        (float(later["motor_temp_c"]) - float(earlier["motor_temp_c"]))
        for earlier, later in zip(rows("bench.csv"), rows("bench.csv")[1:], strict=False)
        if earlier["motor"] == later["motor"] and not later["note"] and later["rotor"] == earlier["rotor"]
        if earlier["motor_temp_c"]
    ]
    assert len(together) > 20
    assert min(together) >= 0
    assert 1 <= median(together) <= 4


def test_one_run_is_left_out_with_its_reason():
    (left_out,) = [row for row in rows("bench.csv") if row["excluded_why"]]
    kv = figures("club 13.5T", "kv_rpm_per_v")
    assert float(left_out["kv_rpm_per_v"]) < 0.96 * min(kv), "a bad contact slows the motor"


def test_a_spinning_motor_keeps_the_power_balance(generator):
    """V·I0 = I0²·R + torque·speed at no load, by hand from the SI definitions (Drela 2007, first-order model)."""
    parts = generator.Parts(np.random.RandomState(1))
    plan = generator.MOTORS[1]
    timing, temp = 42.0, 25.0
    kv, current = generator.spin_free(parts, plan, plan.rotor, timing, temp, 0)
    speed = kv * generator.VOLTAGE * 2 * np.pi / 60
    drag = generator.COULOMB * parts.drag[plan.end_bell] + generator.SPEED_LOSS * parts.flux[plan.rotor] ** 2 * speed
    spent = current**2 * generator.winding_ohm(parts, plan, temp) + drag * speed
    assert generator.VOLTAGE * current == pytest.approx(spent, rel=1e-9)
