"""One declaration an action: keys, footer, palette and key list cannot differ."""

import pytest
from textual.actions import parse

from pitbench.app.actions import ACTIONS, BY_ID, FORM, GEARING, LISTS, RANKINGS, SETUP_LOG, bindings, keys_of
from pitbench.app.app import PitbenchApp
from pitbench.app.dialogs.refused import Refused
from pitbench.app.forms.bench_form import BenchForm
from pitbench.app.forms.car_form import CarForm
from pitbench.app.forms.conditions_form import ConditionsForm
from pitbench.app.forms.event_form import EventForm
from pitbench.app.forms.gear_form import GearForm, PlanForm
from pitbench.app.forms.motor_form import MotorForm
from pitbench.app.forms.reading_form import ReadingForm
from pitbench.app.forms.settings_form import SettingsForm
from pitbench.app.forms.setup_form import SetupForm
from pitbench.app.forms.track_form import TrackForm
from pitbench.app.forms.weights_form import WeightsForm
from pitbench.app.lists.gearing import GearingScreen
from pitbench.app.lists.motors import MotorsScreen
from pitbench.app.lists.parts import PartsScreen
from pitbench.app.lists.rankings import RankingsScreen
from pitbench.app.lists.runs import RunsScreen
from pitbench.app.lists.setup_log import SetupLogScreen
from pitbench.app.lists.temperature import TemperatureScreen
from pitbench.app.pages.keys import KeysScreen
from pitbench.app.pages.load_log import LoadLogPage
from pitbench.app.pages.motor_model import MotorModelPage
from pitbench.app.pages.motor_page import MotorPage
from pitbench.app.widgets.line_list import LineList
from pitbench.records.keys import DEFAULTS, key_name

SCREENS = (
    MotorsScreen,
    MotorPage,
    LoadLogPage,
    MotorModelPage,
    RunsScreen,
    RankingsScreen,
    SetupLogScreen,
    TemperatureScreen,
    GearingScreen,
    PartsScreen,
    KeysScreen,
)
TRACK_FORMS = (TrackForm, CarForm, EventForm, ReadingForm, SettingsForm)
FORMS = (*TRACK_FORMS, BenchForm, ConditionsForm, MotorForm, WeightsForm, SetupForm, GearForm, PlanForm)
# control characters that arrive as other keys, and keys that fields, terminals or job control have taken
TAKEN = {f"ctrl+{letter}" for letter in "hijmacdekuvwxbz"} | {"f1", "f10", "f11"}


def test_every_action_is_done_by_somebody():
    doers = (PitbenchApp, LineList, *SCREENS, *FORMS)
    undone = [a.id for a in ACTIONS if not any(hasattr(doer, f"action_{a.method}") for doer in doers)]
    assert undone == []


def test_textual_reads_every_call_as_it_was_declared():
    assert [parse(a.call) for a in ACTIONS] == [("", a.method, a.of) for a in ACTIONS]


def test_a_step_is_two_actions_up_by_the_small_letter_and_down_by_its_capital():
    up, down = BY_ID["timing-mark-up"], BY_ID["timing-mark-down"]
    assert (up.keys, up.call, down.keys) == ("k", "step_run('timing_mark_deg', 1)", "K")
    assert down.of == ("timing_mark_deg", -1) and BY_ID["next-start-earlier"].of == ("start", -1)


def test_ids_are_kebab_case_and_stand_once():
    ids = [action.id for action in ACTIONS]
    assert len(set(ids)) == len(ids)
    assert all(part.isalpha() and part.islower() for i in ids for part in i.split("-"))


@pytest.mark.parametrize("place", [LISTS, RANKINGS, SETUP_LOG, GEARING, FORM])
def test_a_key_means_one_thing_in_one_place(place):
    keys = [key for action in ACTIONS if action.where == place for key in action.keys.split(",") if key]
    assert len(set(keys)) == len(keys)
    assert not TAKEN & set(keys)


def test_every_function_key_has_a_ctrl_twin():
    for action in ACTIONS:
        keys = action.keys.split(",")
        if keys[0].startswith("f") and keys[0][1:].isdigit():
            assert len(keys) == 2 and keys[1].startswith("ctrl+"), action


def test_bindings_carry_the_ids_so_that_keys_can_be_remapped():
    assert [(b.id, b.key, b.action) for b in bindings(("add-motor", "save-record"))] == [
        ("add-motor", "m", "open_form('motor-form')"),
        ("save-record", "f2,ctrl+s", "save_record"),
    ]


def test_the_keys_that_sentences_name_are_those_of_the_actions():
    declared = {action.id: action.keys for action in ACTIONS} | {b.id: b.key for b in Refused.BINDINGS}
    assert {name: declared[name] for name in DEFAULTS} == DEFAULTS


def test_keys_are_shown_as_people_read_them():
    assert keys_of(BY_ID["save-record"], {}) == ["F2", "Ctrl+S"]
    assert keys_of(BY_ID["add-motor"], {"add-motor": "n"}) == ["n"]
    assert [key_name(k) for k in ("question_mark", "slash", "escape", "U", "f")] == ["?", "/", "Esc", "U", "f"]


@pytest.mark.parametrize("screen", [*SCREENS, *FORMS])
def test_footers_hold_at_most_six_entries_and_fit_into_80_columns(screen):
    for name in ("FOOTER", "FIRST_FOOTER", "BIN_FOOTER", "FIND_FOOTER", "CAR_FOOTER", "HELPED", "GEARS_FOOTER"):
        entries = getattr(screen, name, ())
        words = [(BY_ID[e.partition("=")[0]], e.partition("=")[2]) for e in entries]
        text = "".join(f"{keys_of(action, {})[0]} {word or action.footer}   " for action, word in words)
        assert len(entries) <= 6 and len(" " + text.rstrip()) <= 80, (name, text)
