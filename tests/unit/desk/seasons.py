"""Seasons of bench evenings with races between, for tests of drift and wear."""

from datetime import datetime, timedelta

import numpy as np

from tests.unit.desk.bench_side import USUAL
from tests.unit.desk.race_days import RaceDays

FOUR = ("Dunlin", "Heron", "Plover", "Siskin")
FIRST = datetime(2026, 3, 6, 19, 0)


def season(worn=None, evenings=8, worn_name="Heron", names=FOUR, minutes=12.0, seed=5, raced=True):
    """Evenings a week apart, two runs a motor; the day after each every motor but the first is raced for `minutes`.

    worn: figures of one motor by evening, what each reading is multiplied by.
    """
    rng, days = np.random.default_rng(seed), RaceDays()
    for evening in range(evenings):
        mood = 1 + 0.003 * rng.standard_normal(), 1 + 0.02 * rng.standard_normal()
        seats = rng.standard_normal((len(names), 2))
        for nth in range(2):
            for place, name in enumerate(names):
                at = FIRST + timedelta(days=7 * evening, minutes=4 * (place + len(names) * nth))
                off = 1 + np.array([0.0015, 0.008]) * (0.5 * seats[place] + rng.standard_normal(2))
                figures = {
                    "kv_rpm_per_v": (3900.0 + 12 * place) * mood[0] * off[0],
                    "no_load_current_a": (3.9 + 0.06 * place) * mood[1] * off[1],
                    "motor_temp_c": 25.0,
                } | {f"timing_{each}_deg": USUAL[f"timing_{each}_deg"] + 0.1 * rng.standard_normal() for each in "abc"}
                if name == worn_name:
                    for figure, factors in (worn or {}).items():
                        figures[figure] = figures.get(figure, USUAL.get(figure)) * factors[evening]
                days.run(name, at.isoformat(timespec="minutes"), **(USUAL | figures))
        if raced:
            for place, name in enumerate(names[1:]):
                at = FIRST + timedelta(days=7 * evening + 1, minutes=30 * place)
                days.race(name, at.isoformat(timespec="minutes"), run_time_s=60 * minutes)
    return days
