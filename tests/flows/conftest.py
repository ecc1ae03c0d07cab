"""The app driven by keys on a real file: a fixed clock, a small logbook, and what stands on the screen as text."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import datetime
from functools import partial
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import OptionList

from pitbench.app import keys, saying
from pitbench.app.app import PitbenchApp
from pitbench.bootstrap import open_for_app, open_for_writing
from pitbench.desk.workshop import Workshop
from pitbench.records.models import BenchRun, ClassSheet, Motor
from pitbench.store.logbook import Logbook
from tests.rest import PATIENCE_S, rest

NOW = datetime(2026, 5, 17, 14, 2)
NAMES = {" ": "space", ".": "full_stop", "-": "minus", ",": "comma", "/": "slash", ":": "colon"}


class Hands:
    """One person at the keyboard: types, presses, and reads the screen."""

    def __init__(self, app: PitbenchApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot
        self.pressed = 0
        self.kept: list[dict[str, Any]] = []

    async def press(self, *keys: str) -> None:
        self.pressed += len(keys)
        await self.pilot.press(*keys)
        await self.settle()

    async def type(self, text: str) -> None:
        """Each character is one key."""
        self.pressed += len(text)
        await self.pilot.press(*(NAMES.get(character, character) for character in text))

    async def enter(self, *texts: str) -> None:
        """Type each text and go on with Enter."""
        for text in texts:
            await self.type(text)
            await self.press("enter")

    async def settle(self) -> None:
        await rest(self.pilot)

    async def command(self, words: str, found: str) -> None:
        """Choose by the palette: type words, and Enter once what is found stands first."""
        await self.press("ctrl+p")
        await self.type(words)
        await self.until(lambda: found in _first_found(self.app.screen))
        await self.press("enter")

    async def until(self, came: Callable[[], object]) -> None:
        """Wait for what comes by a timer or out of a thread, however busy the machine is."""
        end = monotonic() + PATIENCE_S
        while not came():
            assert monotonic() < end, "\n".join(["it never came:", *self.rows])
            await self.pilot.pause(0.02)

    @property
    def rows(self) -> list[str]:
        strips = self.app.screen._compositor.render_strips()
        return ["".join(segment.text for segment in strip) for strip in strips]

    @property
    def text(self) -> str:
        """The whole screen, blanks and line breaks folded."""
        return " ".join(" ".join(self.rows).split())

    @property
    def book(self) -> Logbook:
        assert self.app.logbook is not None
        return self.app.logbook


def _first_found(palette: Screen[object]) -> str:
    found = palette.query_one(OptionList)
    return str(found.get_option_at_index(0).prompt) if found.option_count else ""


At = Callable[..., AbstractAsyncContextManager[Hands]]


@pytest.fixture(autouse=True)
def no_haste(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine may take as long as it likes: no message goes and no key is handed on before it is looked at."""
    monkeypatch.setattr(saying, "STAYS_S", PATIENCE_S * 60)
    monkeypatch.setattr(keys, "AT_MOST_S", PATIENCE_S)


@pytest.fixture
def at_the_keys() -> At:
    """`async with at_the_keys(path) as hands`: the app on that file, at 80×24."""

    @asynccontextmanager
    async def start(
        path: Path, size: tuple[int, int] = (80, 24), hands: dict[str, Any] | None = None, demo: bool = False
    ) -> AsyncIterator[Hands]:
        kept: list[dict[str, Any]] = []
        app = PitbenchApp(
            open_logbook=partial(open_for_app, path),
            path=path.name,
            hands=hands or {"theme": "dark"},
            keep_hands=kept.append,
            clock=lambda: NOW,
            demo=demo,
        )
        async with app.run_test(size=size) as pilot:
            person = Hands(app, pilot)
            person.kept = kept
            await person.settle()
            yield person

    return start


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    return tmp_path / "logbook.json"


@pytest.fixture
def two_motors(tmp_path: Path) -> Path:
    """Lapwing and Whio of one class, two runs each a week ago, every figure a tester gives."""
    path = tmp_path / "logbook.json"
    with open_for_writing(path) as book:
        sheet = ClassSheet(name="club 13.5T", cells=2, gearing_limit="heat")
        motors = [Motor(name=name, class_id=sheet.id, turns=13.5, poles=2) for name in ("Lapwing", "Whio")]
        workshop = Workshop(book)
        runs = []
        for place, (motor, kv, current) in enumerate(zip(motors, (3950, 3938), (4.1, 4.0), strict=True)):
            build = workshop.first_build(motor.row(), {})
            for minute in (5 * place, 5 * place + 10):
                runs.append(bench_run(motor.id, build["id"], f"2026-05-10T18:{minute:02d}", kv + minute, current))
        book.save("two motors", [sheet, *motors, *workshop.to_save.values(), *runs])
    return path


def bench_run(motor_id: str, build_id: str, taken_at: str, kv: float, current: float) -> BenchRun:
    """A run with every figure but resistance."""
    return BenchRun(
        motor_id=motor_id,
        build_id=build_id,
        taken_at=taken_at,
        tester="bench box",
        test_voltage_v=3.7,
        poles_assumed=2,
        timing_mark_deg=35,
        ambient_c=21,
        motor_temp_c=28,
        kv_rpm_per_v=kv,
        no_load_current_a=current,
        timing_deg=42.1,
        timing_a_deg=42.4,
        timing_b_deg=41.9,
        timing_c_deg=42.0,
        pole_imbalance_pct=2.1,
        hall_level_spread_pct=3.4,
    )
