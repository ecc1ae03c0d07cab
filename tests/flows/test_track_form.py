"""Logging track runs with keys only, the clock running on."""

import json
from contextlib import asynccontextmanager
from datetime import timedelta

import pytest
from textual.events import Paste

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, Event, TrackRun

from .conftest import NOW

LAPS = [13.41 + 0.07 * (lap * 7 % 11) for lap in range(20)]
PASTED = "\n".join(f"{lap:.2f}" for lap in LAPS)


@pytest.fixture
def race_day(two_motors):
    """Lapwing did practice 1 this morning at Saltmouth, with everything written down."""
    with open_for_writing(two_motors) as book:
        lapwing = next(row for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row for row in book.rows("build") if row["motor_id"] == lapwing["id"])
        event, car = Event(name="Saltmouth", date="2026-05-17", track="harbour hall"), Car(name="grey car")
        run = TrackRun(
            motor_id=lapwing["id"],
            build_id=build["id"],
            started_at="2026-05-17T10:15",
            event_id=event.id,
            car_id=car.id,
            round_kind="practice",
            round="1",
            pinion=31,
            spur=72,
            internal_ratio=1.9,
            tyre="club rubber",
            tyre_diameter_mm=62.5,
            tyre_runs=3,
            fan=True,
            pack="P2",
            timing_mark_deg=35,
            run_time_s=303,
            laps=22,
            ambient_c=24,
            finish_reading_c=66,
            finish_reading_after_s=60,
        )
        book.save("a race day", [event, car, run])
    return two_motors


def newest(hands):
    return max(hands.book.rows("track_run"), key=lambda row: row["started_at"])


def later(hands, seconds):
    """The clock goes on."""
    now = hands.app.clock() + timedelta(seconds=seconds)
    hands.app.clock = lambda: now


@pytest.fixture
def on_runs(at_the_keys):
    """At the keys, on Runs: the mark stands on the newest run."""

    @asynccontextmanager
    async def start(path):
        async with at_the_keys(path) as hands:
            await hands.press("2")
            yield hands

    return start


async def paste(hands, text):
    hands.pressed += 1
    hands.app.screen.body.input.post_message(Paste(text))
    await hands.settle()


async def test_a_run_with_twenty_laps_pasted_takes_eight_keys(on_runs, race_day):
    """t, Enter (just finished), Enter (the next round), one paste, two digits, Enter, F2."""
    async with on_runs(race_day) as hands:
        hands.pressed = 0
        await hands.press("t", "enter", "enter")
        await paste(hands, PASTED)
        later(hands, 75)
        await hands.enter("68")
        await hands.press("f2")
        assert hands.pressed == 8
        run = newest(hands)
        assert run["lap_times_s"] == pytest.approx([round(lap, 2) for lap in LAPS])
        assert (run["laps"], run["run_time_s"]) == (20, pytest.approx(sum(run["lap_times_s"]), abs=1e-3))
        assert (run["finish_reading_c"], run["finish_reading_after_s"]) == (68, 75)
        started = (NOW - timedelta(seconds=round(run["run_time_s"]))).strftime("%Y-%m-%dT%H:%M:%S")
        assert run["started_at"] == started
        taken = [run[name] for name in ("round_kind", "round", "pinion", "spur", "tyre_runs", "fan", "ambient_c")]
        assert taken == ["practice", "2", 31, 72, 4, True, 24]
        assert "practice 2 of Lapwing" in hands.text and "u takes it back" in hands.text


async def test_every_field_by_enter_and_the_last_one_saves(on_runs, race_day):
    async with on_runs(race_day) as hands:
        hands.pressed = 0
        typed = ("", "q", "22/5:03,4", "", "13.4", "68", "90", "25", "30", "55", "2300", "t", "second", "loose")
        await hands.press("t")
        await hands.enter(*typed)
        assert hands.pressed == 1 + sum(map(len, typed)) + len(typed)
        run = newest(hands)
        wanted = {
            "round_kind": "qualifier",
            "round": "1",
            "laps": 22,
            "run_time_s": 303.4,
            "best_lap_s": 13.4,
            "finish_reading_c": 68,
            "finish_reading_after_s": 90,
            "ambient_c": 25,
            "start_temp_c": 30,
            "esc_temp_c": 55,
            "charge_used_mah": 2300,
            "incident": "traffic",
            "result": "second",
            "note": "loose",
        }
        assert {name: run.get(name) for name in wanted} == wanted
        assert run["started_at"] == "2026-05-17T13:56:57"


async def test_the_motor_alone_is_enough(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("t")
        await hands.type("now")
        await hands.press("f2")
        run = newest(hands)
        assert run["started_at"] == "2026-05-17T14:02:00"
        assert not run.keys() & {"laps", "finish_reading_c", "pinion", "event_id", "run_time_s"}
        assert run["timing_mark_deg"] == 35  # from its bench run


async def test_the_clock_runs_from_the_finish(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t")
        assert "finished 14:02, 0:00 ago" in hands.text
        later(hands, 65)
        await hands.press("enter")
        assert "finished 14:02, 1:05 ago" in hands.text and "14:02:00" in hands.text
        await hands.press("up")
        await hands.type("2 min ago")
        await hands.press("enter")
        assert "finished 14:01, 2:00 ago" in hands.text


@pytest.mark.parametrize(
    ("typed", "started"),
    [
        ("13:41", "2026-05-17T13:35:57"),
        ("started 13:36", "2026-05-17T13:36"),
        ("yesterday 13:41", "2026-05-16T13:35:57"),
    ],
)
async def test_when_it_was_is_understood(on_runs, race_day, typed, started):
    async with on_runs(race_day) as hands:
        before = {row["id"] for row in hands.book.rows("track_run")}
        await hands.press("t")
        await hands.enter(typed, "", "22/5:03.4")
        await hands.press("f2")
        (run,) = [row for row in hands.book.rows("track_run") if row["id"] not in before]
        assert run["started_at"] == started


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("14:30", "Time 14:30 is still to come, this computer's clock says 2026-05-17 14:02."),
        ("13:41 to 13:36", "Time 13:41 to 13:36 ends at 2026-05-17 13:36, before it starts at"),
        ("half past", "Time half past is no point in time"),
    ],
)
async def test_a_time_that_cannot_be_gets_one_sentence_and_nothing_is_saved(on_runs, race_day, typed, sentence):
    async with on_runs(race_day) as hands:
        await hands.press("t")
        await hands.type(typed)
        await hands.press("f2")
        assert sentence in hands.text and len(hands.book.rows("track_run")) == 1
        assert any(row.startswith(" ▸ time") for row in hands.rows)


async def test_fahrenheit_is_offered_before_it_is_saved_and_may_be_kept(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", *["enter"] * 5)
        await hands.enter("165")
        assert "Finish reading 165: 5 to 120 °C is usual. °F, which is 73.9 °C?" in hands.text
        assert "F4 puts 73.9" in hands.text and "keeps 165 as typed" in hands.text
        await hands.press("f4", "f2")
        assert newest(hands)["finish_reading_c"] == 73.9 and "kept" not in newest(hands)
        await hands.press("t", *["enter"] * 5)
        await hands.enter("165")
        await hands.press("f2")
        kept = [row for row in hands.book.rows("track_run") if row.get("kept")]
        assert [(row["finish_reading_c"], row["kept"]) for row in kept] == [(165, ["finish_reading_c"])]


async def test_a_pinion_larger_than_the_spur_is_a_suspect(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f6", *["enter"] * 3)
        await hands.enter("81")
        assert "! Pinion 81: " in hands.text and "F4 puts 31" in hands.text
        await hands.press("f2", "f2")
        assert newest(hands)["kept"] == ["pinion"]


async def test_gears_typed_one_into_the_other_are_put_right_by_one_key(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f6", *["enter"] * 3)
        await hands.enter("72", "31")
        assert "The two swapped? F4 puts both right." in hands.text
        await hands.press("f4", "f2", "f2")
        assert (newest(hands)["pinion"], newest(hands)["spur"]) == (31, 72) and "kept" not in newest(hands)


async def test_laps_that_do_not_sum_to_the_run_time_are_a_suspect(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.enter("20/5:03.4", "14.5 14.6 14.7")
        assert "! lap times" in hands.text
        await hands.press("up")
        assert any(row.startswith(" ▸ lap times") for row in hands.rows)
        assert "3 laps make 43.8 s, the run time is 303.4 s" in hands.text


async def test_laps_are_read_whatever_parts_them_and_a_wrong_one_is_named(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await paste(hands, "14,53\t0:14.60;14,71")
        assert "3/0:43.84" in hands.text and "14.53 14.61 s" in hands.text
        await hands.press("up")
        await hands.type("14.5 oops 14.6")
        assert "has the lap oops, which is no time, write it like 14.53 or 0:14.53." in hands.text
        await hands.press("f2")
        assert len(hands.book.rows("track_run")) == 1


async def test_a_half_filled_run_is_kept_and_offered_in_the_units_of_then(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.enter("22/5:03.4")
        await hands.press("escape", "b")
        await hands.enter("3941")
        await hands.press("escape")
    async with on_runs(race_day) as hands:
        hands.app.clock = lambda: NOW + timedelta(days=1)
        settings = hands.book.settings()
        hands.book.save_settings("°F", settings.with_(temperature_unit="F"))
        await hands.press("t")
        assert "half-filled track run of Lapwing was kept" in hands.text
        await hands.press("t")
        assert "22/5:03.4" in hands.text and "finished 17 May 14:02" in hands.text
        assert "75.2" in hands.text  # 24 °C
        await hands.press("f2")
        assert newest(hands)["started_at"] == "2026-05-17T13:56:57" and newest(hands)["ambient_c"] == 24
        await hands.press("b")
        assert "half-filled bench run" in hands.text  # the other form's draft is still there


async def test_a_draft_goes_on_in_its_first_empty_field_with_what_was_typed_last(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.type("22/5:03.4")
        # its field was not left
        await hands.until(lambda: hands.book.draft()["track_run"]["texts"]["laps"] == "22/5:03.4")
        await hands.press("escape", "t", "t")
        assert any(row.startswith(" ▸ lap times") for row in hands.rows)


async def test_a_track_run_begun_afresh_leaves_the_draft_until_something_is_typed(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.enter("22/5:03.4")
        await hands.press("escape", "t", "n")
        assert "22/5:03.4" not in hands.text
        await hands.press("escape", "t", "t")
        assert "22/5:03.4" in hands.text


async def test_a_refused_save_does_not_move_the_finish(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t")
        names = [field.name for field in hands.app.screen.fields]
        down = names.index("ambient_c") - 1  # its reading's delay is passed over
        await hands.press(*["down"] * down)
        await hands.type("999")
        hands.app.screen.moves.to(0)
        await hands.type("1 min ago")
        later(hands, 30)
        await hands.press("f2")
        assert "Ambient 999 is not possible" in hands.text
        later(hands, 90)
        await hands.type("24")
        await hands.press("f2")
        assert newest(hands)["started_at"] == "2026-05-17T14:01:00"


async def test_the_whole_time_of_a_stored_run_is_in_sight(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("e")
        assert any("started 2026-05-17 10:15" in row for row in hands.rows)
        assert "WHAT IT COMES TO" in hands.text


async def test_an_impossible_time_is_said_once(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("e")
        await hands.type("xx")
        await hands.press("f2")
        assert hands.text.count("Time xx is no point in time") == 1 and "! Not saved." in hands.text


async def test_a_tyre_typed_in_inches_is_shown_in_the_teams_unit(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f6")
        at = next(i for i, field in enumerate(hands.app.screen.fields) if field.name == "tyre_diameter_mm")
        hands.app.screen.moves.to(at)
        await hands.type("2.46in")
        await hands.press("f2")
        assert " 62.5 mm " in hands.rows[3]  # 2.46·25.4 = 62.484


async def test_leaving_without_typing_keeps_no_draft(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "escape")
        assert hands.book.draft() is None


async def test_another_motor_brings_its_own_timing_and_leaves_what_was_typed(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.enter("22/5:03.4")
        await hands.press("f6")
        await hands.enter("whio")
        await hands.press("f2", "f2")
        run = newest(hands)
        assert hands.book.row("motor", run["motor_id"])["name"] == "Whio"
        assert (run["laps"], run["pinion"], run["tyre_runs"]) == (22, 31, 4)  # the car is the same


async def test_a_motor_that_is_none_names_the_nearest(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f6")
        await hands.enter("Lapwign")
        assert "Motor Lapwign is no motor of yours, Lapwing would be right." in hands.text


async def test_a_new_event_asks_for_its_track_and_a_new_car_is_made(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("t", "f6", "enter")
        await hands.enter("Oyster Dock")
        await hands.press("enter")  # the car: track is passed over
        await hands.press("up")
        await hands.type("blue car")
        await hands.press("f2")
        assert "New event" in hands.rows[0] and any(row.startswith(" ▸ track") for row in hands.rows)
        await hands.type("quay")
        await hands.press("f2")
        assert "New track run" in hands.rows[0] and "Oyster Dock, practice 1" in hands.text.replace("  ", " ")
        await hands.press("f2")
        run = newest(hands)
        assert hands.book.row("event", run["event_id"])["track"] == "quay"
        assert hands.book.row("car", run["car_id"])["name"] == "blue car"
        assert (run["round_kind"], run["round"]) == ("practice", "1")


async def test_the_event_that_is_on_is_edited_from_the_palette(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.command("event", "event")
        assert "Edit event" in hands.rows[0] and "harbour hall" in hands.text
        await hands.press("enter", "enter", "enter")
        await hands.type("clay, damp")
        await hands.press("f2")
        assert hands.book.rows("event")[0]["surface"] == "clay, damp"


async def test_a_field_never_used_is_hidden_and_shown_again(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", *["up"] * 2, *["enter"] * 4)
        assert any(row.startswith(" ▸ best lap") for row in hands.rows)
        await hands.press("f9", "h")
        assert "best lap is asked for no more" in hands.text
        assert not any(row.startswith("   best lap") for row in hands.rows)
        assert hands.book.settings().hidden_track_fields == ("best_lap_s",)
        await hands.press("escape", "t")
        assert not any(row.startswith("   best lap") for row in hands.rows)
        await hands.press("f9", "s")
        assert any(row.startswith("   best lap") for row in hands.rows)
        assert hands.book.settings().hidden_track_fields == ()


async def test_the_time_cannot_be_hidden(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f9", "h")
        assert "Every run needs its time" in hands.text and "just finished" in hands.text


async def test_editing_from_runs_changes_only_what_was_typed(on_runs, race_day):
    async with on_runs(race_day) as hands:
        before = newest(hands)
        await hands.press("e")
        assert "Edit track run" in hands.rows[0] and "22/5:03" in hands.text
        await hands.press(*["enter"] * 5)
        await hands.type("67")
        await hands.press("f2")
        after = hands.book.row("track_run", before["id"])
        changed = {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}
        assert changed == {"finish_reading_c", "edited_at"} and after["finish_reading_c"] == 67


async def test_its_cautions_stay_and_the_long_text_folds_away(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t")
        assert "Bare metal burns" in hands.text
        await hands.press("f7")
        assert "Bare metal burns" not in hands.text and hands.kept[-1]["track_run_caution_read"] is True
        assert "Hot can: no finger" in hands.text and "Lithium pack: cools first" in hands.text


async def test_a_reading_goes_to_the_run_first_and_then_beside_it(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "enter", "enter")
        await hands.type("22/5:03.4")
        await hands.press("f2")
        later(hands, 60)
        hands.pressed = 0
        await hands.press("r")
        await hands.type("68")
        await hands.press("f2")
        assert hands.pressed == 4
        run = newest(hands)
        assert (run["finish_reading_c"], run["finish_reading_after_s"]) == (68, 60)
        later(hands, 300)
        await hands.press("r")
        assert "Lapwing practice 2, finished 14:02 6:00 ago" in hands.text
        await hands.enter("45", "", "yes")
        (cooling,) = hands.book.rows("cooling")
        stored = {name: cooling[name] for name in ("track_run_id", "temp_c", "after_s", "fan")}
        assert stored == {"track_run_id": run["id"], "temp_c": 45, "after_s": 360, "fan": True}


async def test_the_reading_is_taken_when_its_field_is_left(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t", "f2")
        later(hands, 60)
        await hands.press("r")
        await hands.enter("68")
        later(hands, 20)
        await hands.press("f2")
        assert newest(hands)["finish_reading_after_s"] == 60


async def test_no_run_today_is_said(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("r")
        assert "No track run today to read a temperature of: t writes one down." in hands.text


async def test_a_switched_unit_changes_no_stored_byte_of_a_record(on_runs, race_day):
    def records():
        kept = json.loads(race_day.read_bytes())
        return {kind: json.dumps(rows) for kind, rows in kept.items() if kind not in ("settings", "changes", "seal")}

    before = records()
    async with on_runs(race_day) as hands:
        await hands.command("units and", "units")
        assert "Units and settings" in hands.rows[0]
        await hands.enter("f", "inch", "no")
        assert "176 °F" in " ".join(hands.rows[10].split()) or "176" in hands.text  # 80 °C goes along
        await hands.press("f2")
        assert "units and settings" in hands.text
        assert "1.752 in  13.77 s  151 °F" in "\n".join(hands.rows)  # 66 °C, 44.5 mm
        await hands.press("e", "f2")  # an edit that types nothing
    after = records()
    assert after.keys() == before.keys()
    assert {kind for kind in before if before[kind] != after[kind]} <= {"pitbench"}
    with open_for_writing(race_day) as book:
        settings = book.settings()
        assert (settings.temperature_unit, settings.length_unit, settings.day_first) == ("F", "in", False)
        assert settings.ceiling_c == 80
        book.journal.undo()
        book.journal.undo()
        assert book.settings().temperature_unit == "C"


async def test_laps_pasted_as_soon_as_the_form_opens_are_laps_and_words_stay_words(on_runs, race_day):
    async with on_runs(race_day) as hands:
        await hands.press("t")
        await paste(hands, "2 min ago")
        assert "lap_times_s" not in hands.app.screen.values or not hands.app.screen.values["lap_times_s"]
        await paste(hands, PASTED)
        assert len(hands.app.screen.values["lap_times_s"].split()) == 20
        assert "just finished" not in hands.app.screen.values["time"]
        await hands.press("f2")
        assert len(max(hands.book.rows("track_run"), key=lambda row: row["started_at"])["lap_times_s"]) == 20
