"""What was typed outlives its form, in every form there is: the window closed, the process told to end, or killed."""

import importlib
import pkgutil
import time
from pathlib import Path

import pytest

from pitbench import disk
from pitbench.app import forms
from pitbench.app.dialogs.choose import Choose
from pitbench.app.forms.bench_form import BenchForm
from pitbench.app.forms.car_form import CarForm
from pitbench.app.forms.class_form import ClassForm
from pitbench.app.forms.conditions_form import ConditionsForm
from pitbench.app.forms.drafts import PartOfDraft
from pitbench.app.forms.event_form import EventForm
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.forms.gear_form import GearForm, PlanForm
from pitbench.app.forms.motor_form import MotorForm
from pitbench.app.forms.reading_form import ReadingForm
from pitbench.app.forms.settings_form import SettingsForm
from pitbench.app.forms.setup_form import SetupForm
from pitbench.app.forms.swap_form import SwapForm
from pitbench.app.forms.track_form import TrackForm
from pitbench.app.forms.weights_form import WeightsForm
from pitbench.bootstrap import open_for_reading, open_for_writing
from pitbench.desk.lists.gear_plan import first_gearing
from pitbench.records.models import Event, Gear, SetupEntry, TrackRun
from pitbench.store.drafts import AT_MOST_EVERY_S, Drafts


def first(book, kind):
    return book.rows(kind)[0]["id"]


FORMS = {
    "bench run": (lambda book: BenchForm(None), {"kv_rpm_per_v": "3953", "note": "b3"}),
    "bench run edited": (lambda book: BenchForm(None, run_id=first(book, "bench_run")), {"note": "oiled, 2"}),
    "track run": (lambda book: TrackForm(None), {"laps": "22/5:03.4", "ambient_c": "23"}),
    "track run edited": (lambda book: TrackForm(None, run_id=first(book, "track_run")), {"ambient_c": "23"}),
    "setup entry": (lambda book: SetupForm(), {"what": "wing", "why": "push"}),
    "setup entry edited": (lambda book: SetupForm(entry_id=first(book, "setup_entry")), {"outcome": "better"}),
    "swap": (lambda book: SwapForm(first(book, "motor"), "rotor"), {"part": "R9", "why": "even"}),
    "event": (lambda book: EventForm(), {"event": "Oyster Dock", "track": "dock"}),
    "event edited": (lambda book: EventForm(event_id=first(book, "event")), {"surface": "clay"}),
    "class sheet": (lambda book: ClassForm(), {"class": "club 17.5T", "turns": "17.5"}),
    "class sheet edited": (lambda book: ClassForm(first(book, "class_sheet")), {"max_timing_deg": "45"}),
    "motor": (lambda book: MotorForm(None), {"motor": "Plover", "note": "spare"}),
    "motor edited": (lambda book: MotorForm(first(book, "motor")), {"note": "new bearings"}),
    "gears": (lambda book: GearForm(), {"teeth": "28 29", "note": "two"}),
    "gear edited": (lambda book: GearForm(first(book, "gear")), {"note": "worn"}),
    "reading": (lambda book: ReadingForm(None), {"temp_c": "48", "fan": "yes"}),
    "settings": (lambda book: SettingsForm(), {"ceiling_c": "95", "leads_mohm": "12"}),
    "weights": (lambda book: WeightsForm("club 13.5T"), {"weight kv_rpm_per_v": "2"}),
    "gearing plan": (lambda book: PlanForm(first_gearing(book.snapshot()), lambda plan: None), {"pinion": "33"}),
    "conditions": (lambda book: BenchForm(None), {"ambient_c": "26", "tester": "the old one"}),
    "car": (lambda book: TrackForm(None), {"tyre": "soft", "pinion": "33"}),
}
PARTS = {"conditions": ConditionsForm, "car": CarForm}
STORED = sorted({*FORMS} - {"gearing plan", *PARTS})


@pytest.fixture
def season(two_motors):
    """A record of every kind that has a form."""
    with open_for_writing(two_motors) as book:
        build = book.rows("build")[0]
        event = Event(name="Saltmouth", date="2026-05-17", track="harbour hall")
        run = TrackRun(
            motor_id=build["motor_id"],
            build_id=build["id"],
            event_id=event.id,
            started_at="2026-05-17T13:40",
            run_time_s=303,
            laps=22,
            pinion=31,
            spur=72,
            internal_ratio=1.9,
            tyre_diameter_mm=62.5,
            finish_reading_c=66,
            finish_reading_after_s=60,
        )
        entry = SetupEntry(written_at="2026-05-17T11:20", what="bearings oiled")
        book.save("a season", [event, run, entry, Gear(kind="pinion", teeth=31, module=0.5)])
    return two_motors


async def opened(hands, case):
    form = FORMS[case][0](hands.book)
    await hands.app.push_screen(form)
    await hands.settle()
    if case in PARTS and not isinstance(hands.app.screen, Choose):
        await hands.press("f6")
        assert isinstance(hands.app.screen, PARTS[case])
    return form


async def fill(hands, texts):
    form = hands.app.screen
    for name, text in texts.items():
        form.moves.to([field.name for field in form.fields].index(name))
        await hands.type(text)
    await hands.pilot.pause()


def draft_file(path):
    return path.with_name(path.name + ".draft")


def on_disk_soon(path: Path):
    """What the thread has written once it had the time to."""
    found, end = None, time.monotonic() + 10
    while time.monotonic() < end:
        time.sleep(AT_MOST_EVERY_S + 0.1)
        before, found = found, Drafts(path).read()
        if found is not None and found == before:
            break
    return found


def test_no_form_is_left_out():
    for module in pkgutil.iter_modules(forms.__path__):
        importlib.import_module(f"{forms.__name__}.{module.name}")

    def leaves(form):
        below = form.__subclasses__()
        return {leaf for each in below for leaf in leaves(each)} if below else {form}

    tried = {type(made(FakeBook())) for made, _ in FORMS.values()} | {*PARTS.values()}
    assert leaves(FormScreen) == tried


class FakeBook:
    """Enough of a logbook to make a form."""

    def rows(self, kind):
        return [{"id": "a"}]

    def snapshot(self):
        with open_for_reading(Path(__file__).parents[2] / "demo_data" / "weekend.json") as book:
            return book.snapshot()


@pytest.mark.parametrize("case", FORMS)
async def test_what_was_typed_outlives_the_form(at_the_keys, season, case):
    """Also a kill: the files as they stand a moment later hold the same; `test_terminal` kills the process itself."""
    texts = FORMS[case][1]
    async with at_the_keys(season) as hands:
        await opened(hands, case)
        await fill(hands, texts)
        killed = on_disk_soon(season)
        await hands.press("ctrl+q")
    assert Drafts(season).read() == killed
    async with at_the_keys(season) as hands:
        form = await opened(hands, case)
        assert isinstance(hands.app.screen, Choose) and "A half-filled " in hands.text
        await hands.press(form.GO_ON_KEY)
        assert hands.app.screen is form
        assert {name: form.values[name] for name in texts} == texts


@pytest.mark.parametrize("case", STORED)
async def test_a_draft_is_saved_once_and_never_offered_again(at_the_keys, season, case):
    texts = FORMS[case][1]
    async with at_the_keys(season) as hands:
        await opened(hands, case)
        await fill(hands, texts)
        await hands.press("ctrl+q")
    then = draft_file(season).read_bytes()
    async with at_the_keys(season) as hands:
        form = await opened(hands, case)
        await hands.press(form.GO_ON_KEY)
        before = hands.book.revision
        await hands.press("f2")
        assert hands.book.revision == before + 1, hands.text
        assert hands.book.draft() is None
        await hands.press("escape")
    assert not draft_file(season).exists()
    draft_file(season).write_bytes(then)  # the power went before the disk had forgotten it
    async with at_the_keys(season) as hands:
        assert await opened(hands, case) is hands.app.screen


@pytest.mark.parametrize("case", STORED)
async def test_f2_on_an_untouched_form_saves_nothing_and_says_so(at_the_keys, season, case):
    async with at_the_keys(season) as hands:
        form = await opened(hands, case)
        before = hands.book.revision
        await hands.press("f2")
        assert hands.app.screen is form and "here, so nothing was saved." in hands.text, hands.rows
        assert hands.book.revision == before and hands.book.draft() is None


async def test_a_run_that_is_there_already_is_not_stored_twice(at_the_keys, season):
    async with at_the_keys(season) as hands:
        form = await opened(hands, "bench run")
        await fill(hands, {"kv_rpm_per_v": "3953"})
        run = next(iter(hands.book.records("bench_run")))
        hands.book.save("it came another way", [run.with_(id=form.entry.becomes)])
        runs = len(hands.book.rows("bench_run"))
        await hands.press("f2")
        assert "This bench run is in the logbook already; nothing was saved twice." in hands.text
        assert len(hands.book.rows("bench_run")) == runs


async def test_what_is_wiped_out_or_dropped_is_no_draft(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await opened(hands, "motor edited")
        await fill(hands, {"note": "x"})
        assert len(hands.book.draft()) == 1
        await hands.press("backspace")
        assert hands.book.draft() is None
        await fill(hands, {"note": "y"})
        await hands.press("escape", "y")
        assert hands.book.draft() is None and not isinstance(hands.app.screen, FormScreen)


async def test_a_form_over_another_gives_back_what_was_left_untaken(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await opened(hands, "car")
        assert isinstance(hands.app.screen.drafts, PartOfDraft)
        await fill(hands, {"tyre": "soft"})
        assert hands.book.draft()["track_run"]["texts"]["tyre"] == "soft"
        await hands.press("escape", "y")
        assert hands.book.draft() is None
        await fill(hands, {"laps": "22"})
        await hands.press("f6")
        await fill(hands, {"event": "Oyster Dock"})
        await hands.press("f2")
        assert isinstance(hands.app.screen, EventForm)
        await fill(hands, {"track": "dock"})
        kept = hands.book.draft()
        assert (kept["track_run"]["texts"]["laps"], kept["track_run"]["texts"]["event"]) == ("22", "Oyster Dock")
        assert kept["event"]["texts"]["track"] == "dock"


async def test_settings_typed_in_another_unit_come_back_in_it(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await opened(hands, "settings")
        await fill(hands, {"temperature_unit": "F", "ceiling_c": "185"})
        await hands.press("ctrl+q")
    async with at_the_keys(season) as hands:
        form = await opened(hands, "settings")
        await hands.press("g")
        assert (form.values["temperature_unit"], form.values["ceiling_c"]) == ("F", "185")
        await hands.press("f2")
        assert hands.book.settings().ceiling_c == 85, hands.rows


async def test_a_reading_keeps_the_moment_it_was_taken(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await opened(hands, "reading")
        await fill(hands, {"temp_c": "48"})
        await hands.press("ctrl+q")
    async with at_the_keys(season) as hands:
        now = hands.app.clock()
        hands.app.clock = lambda: now.replace(minute=30)
        form = await opened(hands, "reading")
        await hands.press("g")
        assert form.values["after_s"] == str(22 * 60 - 303)  # 14:02, not 14:30; it finished 303 s after 13:40


async def test_no_key_waits_for_a_slow_disk(at_the_keys, season, monkeypatch):
    """A sync of 0.8 s held seven fields up for longer than it took to type them."""
    syncs = []
    monkeypatch.setattr(disk.os, "fsync", lambda descriptor: (syncs.append(descriptor), time.sleep(0.8)))
    async with at_the_keys(season) as hands:
        await opened(hands, "bench run")
        syncs.clear()
        for text in ("3953", "4.10", "31", "42.1", "42.4", "41.9", "42.1"):
            await hands.type(text)
            await hands.press("enter")
        assert not syncs
        await hands.press("ctrl+q")
    assert Drafts(season).read()["bench_run"]["texts"]["timing_c_deg"] == "42.1"
