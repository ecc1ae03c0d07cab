"""What the store's tests share: a clock that moves, logbooks in memory and in a file, a good file to damage."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from pitbench.records.models import BenchRun, Build, Motor
from pitbench.store.logbook import Logbook


class Clock:
    """A minute later at each look."""

    def __init__(self) -> None:
        self.now = datetime(2026, 4, 11, 18, 0)

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(params=["memory", "file"])
def book(request: pytest.FixtureRequest, tmp_path: Path, clock: Clock) -> Iterator[Logbook]:
    """An empty logbook; every test with it runs on memory and on a real file."""
    if request.param == "memory":
        yield Logbook.in_memory(clock)
    else:
        with Logbook.open(tmp_path / "logbook.json", create=True, clock=clock) as logbook:
            yield logbook


@pytest.fixture
def good(tmp_path: Path) -> Path:
    """A sealed file with a motor Heron, its build and two runs, saved in two steps."""
    path = tmp_path / "logbook.json"
    motor = Motor(id="m1", name="Heron", turns=13.5)
    build = Build(id="b1", motor_id="m1")
    runs = [
        BenchRun(id=f"r{n}", motor_id="m1", build_id="b1", taken_at="2026-04-12", place=n, test_voltage_v=3.75 + n)
        for n in (0, 1)
    ]
    with Logbook.open(path, create=True) as logbook:
        logbook.save("added Heron", [motor, build])
        logbook.save("two runs", runs)
    return path


@pytest.fixture
def plain() -> Callable[..., list[dict]]:
    """Rows without the times the clock wrote."""

    def without_times(rows: list[dict]) -> list[dict]:
        return [{k: v for k, v in row.items() if k not in {"edited_at", "binned_at"}} for row in rows]

    return without_times
