"""Bench evenings with a check motor, for tests of the session view and the bench plan."""

from datetime import datetime, timedelta

from tests.unit.desk.bench_side import USUAL, Bench

LEVELS = {"Dunlin": 3900.0, "Heron": 3930.0, "Plover": 3940.0}
NOISE = (0.0, 4.0, -3.0, 1.0, -2.0)


def evening(bench, day, factor=1.0, noise=1.0, motors=("Dunlin", "Heron", "Plover"), **figures):
    """Every motor twice, there and back, four minutes apart; KV and current times `factor`, repeats scattered."""
    at = datetime.fromisoformat(f"{day}T18:00")
    for i, name in enumerate([*motors, *motors[::-1]]):
        figure = {
            "kv_rpm_per_v": LEVELS[name] * factor + noise * NOISE[i % len(NOISE)],
            "no_load_current_a": 4.0 * factor + noise * NOISE[i % len(NOISE)] / 200,
        }
        taken = (at + timedelta(minutes=4 * i)).isoformat(timespec="minutes")
        bench.run(name, taken, **(USUAL | {"motor_temp_c": 25.0} | figure | figures))


def bench_with_check_motor():
    bench = Bench()
    bench.motor("Dunlin", check_motor=True)
    return bench
