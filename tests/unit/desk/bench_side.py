"""A few lines to put motors and bench runs into a logbook in memory, for tests of the desk."""

from pitbench.records.models import BenchRun, Build, ClassSheet, Motor
from pitbench.store.logbook import Logbook


class Bench:
    """One team's bench: adds motors with one build each, and runs of them."""

    def __init__(self, **sheet) -> None:
        self.logbook = Logbook.in_memory()
        self.sheet = ClassSheet(name="club 13.5T", **({"turns": 13.5, "cells": 2} | sheet))
        self.logbook.save("class", [self.sheet])
        self.motors: dict[str, Motor] = {}
        self.builds: dict[str, Build] = {}

    def motor(self, name: str, **fields) -> Motor:
        motor = Motor(name=name, **({"class_id": self.sheet.id} | fields))
        parts = {f"{kind}_id": f"{name} {kind}" for kind in ("stator", "rotor", "end_bell")}
        build = Build(motor_id=motor.id, **parts)
        self.logbook.save("motor", [motor, build])
        self.motors[name], self.builds[name] = motor, build
        return motor

    def run(self, name: str, taken_at: str, **figures) -> BenchRun:
        if name not in self.motors:
            self.motor(name)
        given = {"motor_id": self.motors[name].id, "build_id": self.builds[name].id, "taken_at": taken_at}
        run = BenchRun(**(given | figures))
        self.logbook.save("run", [run])
        return run


USUAL = {
    "tester": "bench box",
    "test_voltage_v": 3.7,
    "ambient_c": 22.0,
    "motor_temp_c": 28.0,
    "kv_rpm_per_v": 3920.0,
    "no_load_current_a": 4.0,
    "timing_deg": 42.0,
    "timing_a_deg": 42.3,
    "timing_b_deg": 41.8,
    "timing_c_deg": 41.9,
    "pole_imbalance_pct": 2.1,
    "hall_level_spread_pct": 3.0,
    "resistance_mohm": 11.5,
    "resistance_temp_c": 22.0,
}
"""Every figure a tester gives."""


def two_motors(faster_by: float = 12.0, thirstier_by: float = 0.1) -> Bench:
    """Two motors, two runs each, every figure: one motor faster and thirstier."""
    bench = Bench()
    for i, taken in enumerate(("2026-04-11T18:40", "2026-04-11T18:52")):
        bench.run("Heron", taken, **(USUAL | {"kv_rpm_per_v": 3918.0 + 4 * i, "no_load_current_a": 3.98 + 0.04 * i}))
    for i, taken in enumerate(("2026-04-11T18:46", "2026-04-11T18:58")):
        kv, current = 3918.0 + faster_by + 4 * i, 3.98 + thirstier_by + 0.04 * i
        bench.run("Plover", taken, **(USUAL | {"kv_rpm_per_v": kv, "no_load_current_a": current}))
    return bench
