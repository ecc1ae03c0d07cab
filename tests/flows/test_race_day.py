"""One race day by keys alone at 80×24, with a clock that moves, and the look-up three weeks later.

Event, bench, practice, two qualifiers, a change between them, the main. What is stored and what the screens say is
checked at every stop; where time is short, the keys are counted.
"""

import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from textual.events import Paste
from textual.widgets import Input

from pitbench.app.app import PitbenchApp
from pitbench.bootstrap import open_for_app
from tests.flows.conftest import Hands

LAPS = (
    "15.91 15.12 15.04 15.18 15.07 15.11 15.02 15.33 15.09 15.06 "
    "15.14 15.01 15.20 15.08 15.05 15.16 15.10 15.03 15.13 15.17"
)
SUM_S = 303.0  # of the twenty laps, added by hand
START_TIMES = "qualifier 1 11:20, qualifier 2 13:00, main 14:30"


class Racer(Hands):
    """Somebody at the keyboard with a watch."""

    now = datetime(2026, 5, 17, 8, 0)

    def at(self, time: str, day: str = "2026-05-17") -> None:
        self.now = datetime.fromisoformat(f"{day}T{time}")

    async def enter(self, *texts: str) -> None:
        """All fields typed in one go: the screen is read only once they stand."""
        for text in texts:
            await self.type(text)
            self.pressed += 1
            await self.pilot.press("enter")
        await self.settle()

    async def paste(self, text: str) -> None:
        """One key, as on a keyboard."""
        self.pressed += 1
        self.app.screen.query_one(Input).post_message(Paste(text))
        await self.settle()

    async def command(self, words: str) -> None:
        await self.press("ctrl+p")
        await self.type(words)
        await self.settle()
        await self.press("enter")

    def stored(self, kind: str, by: str) -> list[dict[str, Any]]:
        return sorted(self.book.rows(kind), key=lambda row: row[by])

    def last(self, kind: str, by: str, **expected: Any) -> dict[str, Any]:
        """The newest record, once these of its figures are as expected."""
        row = self.stored(kind, by)[-1]
        assert {name: row.get(name) for name in expected} == expected
        return row

    def named(self, kind: str, row: dict[str, Any]) -> str:
        found = self.book.row(kind, row[f"{kind}_id"])
        assert found is not None
        return str(found["name"])

    def list_rows(self, *words: str) -> list[str]:
        """Lines of the screen that hold all these words."""
        return [row for row in self.rows if all(word in row for word in words)]


Day = Callable[[], AbstractAsyncContextManager[Racer]]


@pytest.fixture
def at_the_table(two_motors: Path) -> Day:
    """The app at 80×24 on one logbook, opened as often as asked; the clock is the racer's."""

    @asynccontextmanager
    async def start() -> AsyncIterator[Racer]:
        racers: list[Racer] = []
        app = PitbenchApp(
            partial(open_for_app, two_motors),
            two_motors.name,
            hands={"theme": "dark"},
            clock=lambda: racers[0].now if racers else Racer.now,
        )
        async with app.run_test(size=(80, 24)) as pilot:
            racers.append(Racer(app, pilot))
            await racers[0].settle()
            yield racers[0]

    return start


async def test_a_race_day_by_keys_and_the_look_up_three_weeks_later(at_the_table: Day) -> None:
    async with at_the_table() as racer:
        await _event(racer)
        await _bench(racer)
        await _practice(racer)
        await _first_qualifier(racer)
        await _change(racer)
        await _second_qualifier(racer)
        await _main(racer)
        await _evening(racer)
    async with at_the_table() as racer:
        await _next_time(racer)


async def _event(racer: Racer) -> None:
    """On arrival: where, on what, and when the rounds start."""
    racer.at("08:10")
    await racer.command("event")
    await racer.enter("Saltmouth", "", "Saltmouth harbour", "asphalt, dry")
    await racer.type(START_TIMES)
    await racer.press("f2")
    assert "Saved 08:10: event Saltmouth." in racer.text
    racer.last("event", "date", date="2026-05-17", track="Saltmouth harbour", start_times=START_TIMES)


async def _bench(racer: Racer) -> None:
    """One run of each motor, conditions as last week."""
    for time, motor, figures in (
        ("08:20", "Whio", ("3941", "4.01", "27")),
        ("08:26", "Lapwing", ("3952", "4.1", "28")),
    ):
        racer.at(time)
        await racer.press("b", "f6", "ctrl+u")
        await racer.type(motor)
        await racer.press("f2")
        await racer.enter(*figures)
        await racer.press("f2")
        assert f"Saved {time}: bench run of {motor}." in racer.text
        await racer.press("escape")
    run = racer.last("bench_run", "taken_at", taken_at="2026-05-17T08:26", kv_rpm_per_v=3952, motor_temp_c=28)
    assert (racer.named("motor", run), run["test_voltage_v"], run["timing_mark_deg"]) == ("Lapwing", 3.7, 35)


async def _practice(racer: Racer) -> None:
    """The first run of a car: F6 writes down what is on it, once. The clock has run since the finish."""
    racer.at("09:45:20")
    await racer.press("t", "f6")
    await racer.enter("Lapwing", "", "grey car", "30", "72", "1.9", "set 1", "62.5", "0", "", "", "no", "P1")
    await racer.type("26")
    await racer.press("f2")
    assert "Lapwing Saltmouth, practice 1 finished 09:45, 0:00 ago" in racer.text
    assert "grey car 30/72 set 1 62.5 mm mark 35° no fan P1" in racer.text
    assert "rollout 43.1 mm" in racer.text  # π · 62.5 · 30 / (72 · 1.9)
    await racer.enter("", "", "25/6:20", "", "14.9")
    racer.at("09:46")
    await racer.enter("61", "", "22")
    await racer.press("f2")
    assert "Saved 09:46: practice 1 of Lapwing." in racer.text
    figures = {"laps": 25, "run_time_s": 380, "best_lap_s": 14.9, "finish_reading_c": 61, "finish_reading_after_s": 40}
    car = {"pinion": 30, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5, "fan": False, "track_c": 26}
    run = racer.last("track_run", "started_at", started_at="2026-05-17T09:39:00", ambient_c=22, **figures, **car)
    assert [racer.named(kind, run) for kind in ("motor", "event", "car")] == ["Lapwing", "Saltmouth", "grey car"]


async def _first_qualifier(racer: Racer) -> None:
    """Written down two minutes late: twenty laps in one paste, a reading, and a second reading after five minutes."""
    racer.at("11:27:10")
    await racer.press("2")
    before = racer.pressed
    await racer.press("t")
    await racer.enter("2 min ago", "q")
    await racer.paste(LAPS)
    assert "laps typed 20 in 5:03" in racer.text
    await racer.type("66")
    await racer.press("f2")
    keys = ["t", *"2 min ago", "Enter", "q", "Enter", "paste", *"66", "F2"]
    assert racer.pressed - before == len(keys) == 17
    figures = {"laps": 20, "run_time_s": SUM_S, "finish_reading_c": 66, "finish_reading_after_s": 120, "tyre_runs": 1}
    run = racer.last("track_run", "started_at", started_at="2026-05-17T11:20:07", round="1", pinion=30, **figures)
    assert run["round_kind"] == "qualifier"
    assert run["lap_times_s"] == [float(lap) for lap in LAPS.split()]
    assert racer.list_rows("today 11:20", "Lapwing", "qualifier", "30/72", "43.1 mm", f"{SUM_S / 20:.2f} s", "66 °C")
    racer.at("11:30:10")
    await racer.press("r")
    assert "Lapwing qualifier 1, finished 11:25 5:00 ago" in racer.text
    await racer.type("52")
    await racer.press("f2")
    racer.last("cooling", "after_s", track_run_id=run["id"], after_s=300, temp_c=52)


async def _change(racer: Racer) -> None:
    """One tooth more, and why; what comes of it stays open."""
    racer.at("12:10")
    await racer.press("4")
    assert "First time at Saltmouth: no earlier event here is in the logbook." in racer.text
    await racer.press("c")
    await racer.enter("pinion", "30", "31", "cool, 66", "")
    assert "Saved 12:10: setup entry: pinion 30 to 31." in racer.text
    entry = racer.last("setup_entry", "written_at", was="30", now="31", why="cool, 66", outcome=None)
    assert [racer.named(kind, entry) for kind in ("motor", "event", "car")] == ["Lapwing", "Saltmouth", "grey car"]
    assert "No track run since." in racer.text


async def _second_qualifier(racer: Racer) -> None:
    """The new pinion and the worn tyre behind F6; then the outcome of the change is asked for."""
    racer.at("13:05:40")
    await racer.press("t", "f6")
    await racer.enter("", "", "", "31", "", "", "", "62.4")
    await racer.press("f2")
    await racer.enter("", "", "20/5:01.2", "", "14.98")
    racer.at("13:06:40")
    await racer.type("69")
    await racer.press("f2")
    assert "Pinion 30 to 31" in racer.text
    assert "what came of it?" in racer.text
    await racer.press("plus")
    figures = {"laps": 20, "run_time_s": 301.2, "finish_reading_c": 69, "finish_reading_after_s": 60, "ambient_c": 22}
    car = {"pinion": 31, "spur": 72, "tyre_diameter_mm": 62.4, "tyre_runs": 2}
    racer.last("track_run", "started_at", started_at="2026-05-17T13:00:39", round="2", **figures, **car)
    racer.last("setup_entry", "written_at", now="31", outcome="better")
    assert re.search(
        r"Track, 2 before and 1 after: no step in pace to be seen, -\d\.\d\d to \+\d\.\d\d s a lap\.", racer.text
    )
    await racer.press("5")
    assert "Main at 14:30: Lapwing will be cool by" in racer.text
    assert racer.list_rows("Lapwing", "qualifier 2", "13:05", "69 ±", "°C hot")


async def _main(racer: Racer) -> None:
    """The shortest way: just finished, laps pasted, the reading; and a result, since it is the main."""
    racer.at("14:35:20")
    await racer.press("4")
    before = racer.pressed
    await racer.press("t", "down")
    await racer.enter("m")
    await racer.paste(LAPS)
    racer.at("14:36:10")
    await racer.enter("71", "", "23", "", "", "", "", "third")
    await racer.type("grip came up")
    await racer.press("f2")
    in_the_form = ["m", "Enter", "paste", *"7123", *["Enter"] * 7, *"third", "Enter", *"grip came up", "F2"]
    assert racer.pressed - before == 2 + len(in_the_form) == 35
    said = {"result": "third", "note": "grip came up", "round_kind": "main", "ambient_c": 23, "finish_reading_c": 71}
    racer.last(
        "track_run", "started_at", started_at="2026-05-17T14:30:17", finish_reading_after_s=50, pinion=31, **said
    )
    assert "Saved 14:36: main of Lapwing." in racer.text
    assert "Track, 2 before and 2 after: no step in pace to be seen" in racer.text


async def _evening(racer: Racer) -> None:
    """The whole day in one list."""
    racer.at("18:00")
    await racer.press("2")
    for words in (
        ("today 14:30", "main", "31/72  44.4 mm  15.15 s  71 °C", "third"),
        ("today 13:00", "qualifier", "31/72  44.4 mm  15.06 s  69 °C"),
        ("today 11:20", "qualifier", "30/72  43.1 mm  15.15 s  66 °C"),
        ("today 09:39", "practice", "30/72  43.1 mm  15.20 s  61 °C"),
        ("today 08:26", "bench", "3952 rpm/V  4.10 A"),
    ):
        assert racer.list_rows("Lapwing", *words), (words, racer.rows)
    assert len(racer.list_rows(" today ", ":")) == 6


async def _next_time(racer: Racer) -> None:
    """Three weeks later, started anew: the event's name is enough to be told what was run here last."""
    racer.at("08:00", "2026-06-07")
    await racer.command("event")
    await racer.type("Saltmouth")
    await racer.press("f2", "4")
    assert "Last time at Saltmouth, 17 May: Lapwing, 31/72, 15.15 s a lap, mark 35°, 71 °C, third." in racer.text
    assert "You noted: grip came up; pinion 30 to 31: better." in racer.text
    assert racer.list_rows("▸ 17 May 12:10", "Lapwing", "pinion 30 to 31", "better")
    before = racer.pressed
    await racer.press("t")
    assert "Lapwing Saltmouth, practice 1 finished 08:00, 0:00 ago" in racer.text
    assert "grey car 31/72 set 1 62.4 mm mark 35° no fan P1" in racer.text
    assert racer.list_rows("17 May", "31/72", "71 °C")
    await racer.press("enter", "enter")
    await racer.paste(LAPS)
    await racer.type("61")
    await racer.press("f2")
    assert racer.pressed - before == len(["t", "Enter", "Enter", "paste", "6", "1", "F2"])
    figures = {"laps": 20, "finish_reading_c": 61, "finish_reading_after_s": 0, "pinion": 31, "tyre_runs": 4}
    racer.last("track_run", "started_at", started_at="2026-06-07T07:54:57", round_kind="practice", **figures)
