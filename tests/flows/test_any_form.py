"""No text, paste or save ends the app, in any form or dialog: odd texts are set, pasted and saved with F2."""

import random

import pytest
from textual.events import Paste

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.dialogs.choose import Choose
from pitbench.app.forms.bench_form import BenchForm
from pitbench.app.forms.car_form import CarForm
from pitbench.app.forms.class_form import ClassForm
from pitbench.app.forms.conditions_form import ConditionsForm
from pitbench.app.forms.event_form import EventForm
from pitbench.app.forms.gear_form import GearForm, PlanForm
from pitbench.app.forms.motor_form import MotorForm
from pitbench.app.forms.reading_form import ReadingForm
from pitbench.app.forms.settings_form import SettingsForm
from pitbench.app.forms.setup_form import SetupForm
from pitbench.app.forms.swap_form import SwapForm
from pitbench.app.forms.track_form import TrackForm
from pitbench.app.forms.weights_form import WeightsForm
from pitbench.desk.lists.gear_plan import first_gearing
from tests.flows.conftest import NOW
from tests.unit.desk.test_any_texts import ODD

FORMS = {
    "bench": lambda app: BenchForm(None),
    "conditions": lambda app: BenchForm(None),
    "track": lambda app: TrackForm(None),
    "car": lambda app: TrackForm(None),
    "reading": lambda app: ReadingForm(None),
    "motor": lambda app: MotorForm(None),
    "edited motor": lambda app: MotorForm(app.snapshot.rows("motor")[0]["id"]),
    "event": lambda app: EventForm(),
    "class": lambda app: ClassForm(),
    "edited class": lambda app: ClassForm(app.snapshot.rows("class_sheet")[0]["id"]),
    "setup": lambda app: SetupForm(),
    "swap": lambda app: SwapForm(app.snapshot.rows("motor")[0]["id"], "rotor"),
    "gears": lambda app: GearForm(),
    "plan": lambda app: PlanForm(first_gearing(app.snapshot), lambda plan: None),
    "settings": lambda app: SettingsForm(),
    "weights": lambda app: WeightsForm("club 13.5T"),
}
PARTS = {"conditions": ConditionsForm, "car": CarForm}
"""Forms over another, which F6 opens."""
ROWS = ("springs\tsoft\thard\twhy not\tbetter\tone more", "\t\t\t", "\t".join("x" * 40))


async def paste(hands, text):
    hands.app.screen.body.input.post_message(Paste(text))
    await hands.settle()


@pytest.mark.parametrize("form", FORMS)
async def test_odd_texts_and_pastes_end_no_form(at_the_keys, two_motors, form):
    luck = random.Random(form)
    async with at_the_keys(two_motors) as hands:
        for row in ROWS:
            hands.app.push_screen(FORMS[form](hands.app))
            await hands.settle()
            if isinstance(hands.app.screen, Choose):  # what was left half-filled a round ago
                await hands.press(luck.choice(("enter", "n")))
            if form in PARTS:
                await hands.press("f6")
                assert isinstance(hands.app.screen, PARTS[form])
            screen = hands.app.screen
            screen.moves.to(luck.randrange(len(screen.fields)))
            await paste(hands, row)
            for field in luck.sample(screen.fields, min(4, len(screen.fields))):
                screen.moves.to(screen.fields.index(field))
                screen.body.input.value = luck.choice(ODD)
                screen.moves.take_typed()
            await hands.press("f4", "f8", "f2")
            assert hands.app.is_running and hands.app.return_code is None
            assert "internal error" not in hands.text
            while hands.app.screen is not hands.app.screen_stack[0] and len(hands.app.screen_stack) > 2:
                hands.app.pop_screen()
            await hands.settle()


async def test_a_row_of_a_spreadsheet_fills_what_was_and_now(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.push_screen(SetupForm())
        await hands.settle()
        await paste(hands, "springs\tsoft\thard")
        assert "3 fields filled from one line." in hands.text
        await hands.press("f2")
        (entry,) = hands.book.rows("setup_entry")
        assert (entry["what"], entry["was"], entry["now"]) == ("springs", "soft", "hard")


async def test_a_row_pasted_into_an_event_fills_its_fields(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.push_screen(EventForm())
        await hands.settle()
        await paste(hands, "Saltmouth\t2026-05-17\tOyster Dock\tclay\t11:20\theat\tdamp\tand more")
        assert "1 cell too many for the fields, not kept." in hands.text
        await hands.press("f2")
        (event,) = hands.book.rows("event")
        assert (event["name"], event["track"], event["gearing_limit"]) == ("Saltmouth", "Oyster Dock", "heat")


async def test_a_run_of_more_than_a_day_is_refused_in_the_form(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.clock = lambda: NOW.replace(year=2025, month=11, day=28)
        hands.app.push_screen(TrackForm(None))
        await hands.settle()
        await hands.type("26 Nov 13:36 to 27 Nov 13:41")
        await hands.press("f2")
        assert "makes a run of 1445:00, at most 1440:00 is possible" in hands.text
        assert not hands.book.rows("track_run") and isinstance(hands.app.screen, TrackForm)


async def test_a_pitch_no_module_has_is_refused_in_the_form(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.push_screen(GearForm())
        await hands.settle()
        await hands.enter("p", "34", "5")
        await hands.press("f2")
        assert "Diametral pitch 5 is not possible, 5.08 to 254 would be." in hands.text
        assert not hands.book.rows("gear") and isinstance(hands.app.screen, GearForm)


@pytest.mark.parametrize("text", [ODD[number] for number in range(0, len(ODD), 6)])
async def test_odd_texts_end_no_dialog(at_the_keys, two_motors, text):
    async with at_the_keys(two_motors) as hands:
        told = []
        hands.app.push_screen(AskText("What?", "Say it."), told.append)
        await hands.settle()
        hands.app.screen.query_one("Input").post_message(Paste(text))
        await hands.settle()
        await hands.press("enter")
        assert len(told) == 1 and hands.app.is_running
