"""How long a motor's page takes in a large logbook: 10 motors, half bench runs and half track runs, at several sizes.

`python -m tests.benchmarks.motor_page` prints the table; nothing is asserted, machines differ.
"""

import argparse
import asyncio
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from pitbench.app.app import PitbenchApp
from pitbench.app.pages.motor_page import MotorPage
from pitbench.app.widgets.line_list import LineList
from pitbench.desk.comparing.ranking import compare
from pitbench.desk.lists.motor_page import motor_answer
from pitbench.records.models import BenchRun, Build, Car, ClassSheet, Event, Motor, TrackRun
from pitbench.store.logbook import Logbook

MOTORS, A_DAY = 10, 20
FIRST = datetime(2020, 1, 4, 9)
NOW = datetime(2026, 5, 17, 14)


def logbook(runs: int, seed: int = 0) -> Logbook:
    """Race days a week apart: on each, A_DAY bench runs and A_DAY track runs of motors in turn."""
    rng = np.random.default_rng(seed)
    sheet, car = ClassSheet(name="club 13.5T"), Car(name="No. 4")
    motors = [Motor(name=f"M{number}", class_id=sheet.id, turns=13.5, poles=2) for number in range(MOTORS)]
    builds = [Build(motor_id=motor.id) for motor in motors]
    records: list[Any] = [sheet, car, *motors, *builds]
    for place in range(runs // 2):
        day, nth = divmod(place, A_DAY)
        at, number = FIRST + timedelta(days=7 * (day % 300) + day // 300), int(rng.integers(MOTORS))
        if nth == 0:
            event = Event(name=f"day {day}", date=f"{at:%Y-%m-%d}")
            records.append(event)
        who = {"motor_id": motors[number].id, "build_id": builds[number].id}
        records.append(_bench(rng, who, at + timedelta(minutes=3 * nth), number))
        records.append(_track(rng, who, at + timedelta(hours=3, minutes=12 * nth), number, event.id, car.id))
    book = Logbook.in_memory(clock=lambda: NOW)
    book.save("all", records)
    return book


def _bench(rng: np.random.Generator, who: dict[str, str], at: datetime, number: int) -> BenchRun:
    return BenchRun(
        **who,
        taken_at=f"{at:%Y-%m-%dT%H:%M}",
        tester="bench box",
        test_voltage_v=3.7,
        ambient_c=21,
        motor_temp_c=round(27 + 3 * rng.random(), 1),
        kv_rpm_per_v=round(3920 + 4 * number + 8 * rng.standard_normal()),
        no_load_current_a=round(4 + 0.04 * rng.standard_normal(), 2),
        timing_a_deg=42.3,
        timing_b_deg=41.8,
        timing_c_deg=41.9,
    )


def _track(
    rng: np.random.Generator, who: dict[str, str], at: datetime, number: int, event_id: str, car_id: str
) -> TrackRun:
    laps = 14.5 - 0.01 * number + 0.05 * rng.standard_normal() + 0.15 * np.abs(rng.standard_normal(20))
    return TrackRun(
        **who,
        started_at=f"{at:%Y-%m-%dT%H:%M}",
        event_id=event_id,
        car_id=car_id,
        round_kind="qualifier",
        pinion=int(rng.integers(29, 33)),
        spur=72,
        internal_ratio=1.9,
        tyre_diameter_mm=62.5,
        timing_mark_deg=35,
        lap_times_s=tuple(round(lap, 2) for lap in laps.tolist()),
        ambient_c=21,
        finish_reading_c=round(66 + 3 * rng.standard_normal(), 1),
        finish_reading_after_s=70,
    )


def timed(work: Callable[[], Any], times: int = 3) -> tuple[float, Any]:
    """Least seconds of some tries, and what came of the last."""
    found, best = None, float("inf")
    for _ in range(times):
        began = time.perf_counter()
        found = work()
        best = min(best, time.perf_counter() - began)
    return best, found


def worked_out(book: Logbook) -> tuple[float, float]:
    """Seconds to work out what the page shows, the ranking known as Motors has asked for it, and for the ranking."""
    snapshot = book.snapshot()
    motor_id = min(snapshot.rows("motor"), key=lambda motor: motor["name"])["id"]
    ranking, compared = timed(lambda: compare(snapshot), 2)
    answer, told = compared.answer(), (compared.warmth_slope, compared.track)
    return timed(lambda: motor_answer(snapshot, motor_id, answer, NOW, *told), 5)[0], ranking


async def opened(book: Logbook) -> tuple[float, float]:
    """Seconds from Enter on Motors until a page stands, and the least until a further one does."""
    book.verify()
    app = PitbenchApp(open_logbook=lambda accept: book, path="logbook.json", hands={}, clock=lambda: NOW)
    found = []
    async with app.run_test(size=(80, 24)) as pilot:
        while app.answers.last(("ranking", "club 13.5T")) is None:
            await asyncio.sleep(0.01)
        await pilot.pause(0.2)
        for _ in range(6):
            began = time.perf_counter()
            app.screen.action_open_record()
            while not (isinstance(app.screen, MotorPage) and app.screen.query(LineList) and _stands(app.screen)):
                await asyncio.sleep(0.001)
            found.append(time.perf_counter() - began)
            await pilot.press("escape", "down")
    return found[0], min(found[1:])


def _stands(page: MotorPage) -> bool:
    return page.query_one(LineList).count > 0


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[100, 1000, 10_000])
    sizes = parser.parse_args().sizes
    print("   runs    ranking   page worked out   page opened   a further page, s")
    pages = []
    for size in sizes:
        book = logbook(size)
        page, ranking = worked_out(book)
        first, further = asyncio.run(opened(book))
        pages.append((page, first, further))
        print(f"{size:>7}{ranking:>11.3f}{page:>18.4f}{first:>14.3f}{further:>20.3f}")
    ratios = [last / first for first, last in zip(pages[0], pages[-1], strict=True)]
    print(f"  ratio{'':>11}{ratios[0]:>18.1f}{ratios[1]:>14.2f}{ratios[2]:>20.2f}")


if __name__ == "__main__":
    main()
