"""What is unlikely about a track run or a cooling reading. Tolerances are ours; common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.bench_side import field_suspect
from pitbench.desk.entry.foreseen_track import ForeseenTrack
from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.suspects import RunSuspect, not_in_fahrenheit
from pitbench.desk.entry.suspects_track import cooling_suspects, track_suspects
from pitbench.desk.entry.waiting import Kept
from pitbench.records.fields import QUANTITIES
from pitbench.records.units import Units

EVENT = {"id": "e", "name": "Saltmouth", "date": "2026-04-12"}
LAPS = [14.8, 14.2, 14.0, 15.0]  # 58.0 s


def found(event: dict | None = None, **run) -> dict[str, str]:
    return {suspect.column: suspect.sentence for suspect in track_suspects(run, event)}


def test_a_run_that_agrees_with_itself():
    run = {"pinion": 30.0, "spur": 93.0, "laps": 4.0, "lap_times_s": LAPS, "run_time_s": 60.0, "best_lap_s": 14.0}
    run |= {"average_lap_s": 14.5, "ambient_c": 21.0, "start_temp_c": 30.0, "finish_reading_c": 72.0}
    assert found(EVENT, started_at="2026-04-12T11:20", fan=True, tyre="slick", round="1", **run) == {}
    assert found() == {}


@pytest.mark.parametrize(
    ("time", "is_one"),
    [(58.0, False), (60.0, False), (71.9, False), (72.1, True), (43.1, False), (42.9, True), (300.0, True)],
)
def test_laps_may_miss_the_run_time_by_the_last_one(time, is_one):
    """Time is up during the last lap (15.0 s), or a lap is broken off: the fastest (14.0 s) would have been counted."""
    assert ("lap_times_s" in found(lap_times_s=LAPS, run_time_s=time)) == is_one


def test_laps_that_do_not_sum_to_the_run_time_say_both():
    sentence = "Lap times: 4 laps make 58 s, the run time is 303.4 s."
    assert found(lap_times_s=LAPS, run_time_s=303.4) == {"lap_times_s": sentence}
    assert found(laps=20.0, average_lap_s=14.0, run_time_s=303.4) == {
        "laps": "Laps: 20 laps of 14 s make 280 s, the run time is 303.4 s."
    }
    assert found(laps=22.0, average_lap_s=13.8, run_time_s=303.4) == {}


@pytest.mark.parametrize(
    ("run", "sentence"),
    [
        ({"laps": 5.0, "lap_times_s": LAPS}, "Laps 5: 4 lap times are given."),
        ({"best_lap_s": 14.2, "lap_times_s": LAPS}, "Best lap 14.2: the fastest of the lap times is 14 s."),
        ({"best_lap_s": 14.2, "average_lap_s": 13.9}, "Average lap 13.9: faster than the best lap, 14.2 s."),
        ({"average_lap_s": 13.9, "lap_times_s": LAPS}, "Average lap 13.9: faster than the best lap, 14 s."),
        (
            {"best_lap_s": 15.0, "laps": 22.0, "run_time_s": 303.4},
            "Best lap 15: 22 laps in 303.4 s are faster on average.",
        ),
        ({"lap_times_s": [14.0, 140.0, 200.5]}, "Lap 3, 200.5: 4 to 180 s is usual."),
        ({"finish_reading_c": 20.0, "ambient_c": 25.0}, "Finish reading 20: below the ambient, 25 °C."),
        ({"finish_reading_c": 40.0, "start_temp_c": 45.0}, "Finish reading 40: colder than at the start, 45 °C."),
        ({"esc_temp_c": 20.0, "ambient_c": 25.0}, "ESC 20: below the ambient, 25 °C."),
        ({"finish_reading_c": 165.0}, "Finish reading 165: 5 to 120 °C is usual. °F, which is 73.9 °C?"),
        ({"tyre_diameter_mm": 480.0}, "Tyre diameter 480: 20 to 200 mm is usual. The decimal sign lost?"),
    ],
)
def test_one_sentence_each(run, sentence):
    assert list(found(**run).values()) == [sentence]


def test_gears_that_were_swapped_are_told_at_both():
    assert found(pinion=93.0, spur=30.0) == {
        "pinion": "Pinion 93: larger than the spur, 30. The two swapped?",
        "spur": "Spur 30: smaller than the pinion, 93. The two swapped?",
    }
    assert [(s.suggested, s.other) for s in track_suspects({"pinion": 93.0, "spur": 30.0}, None)] == [
        (30.0, "spur"),
        (93.0, "pinion"),
    ]


def test_a_date_far_from_the_events():
    days = {"2026-04-09": True, "2026-04-10T09:00": False, "2026-04-19": False, "2026-04-20": True}
    assert {day: "started_at" in found(EVENT, started_at=day) for day in days} == days
    assert (
        found(EVENT, started_at="2026-06-01T10:00")["started_at"] == "Start 2026-06-01: Saltmouth began on 2026-04-12."
    )


def test_fahrenheit_is_offered_with_its_number_unless_it_was_typed():
    (suspect,) = track_suspects({"finish_reading_c": 165.0}, None)
    assert (suspect.cause, suspect.suggested) == ("°F, which is 73.9 °C", 73.9)
    (plain,) = not_in_fahrenheit([suspect], {"finish_reading_c"})
    assert (plain.sentence, plain.suggested) == ("Finish reading 165: 5 to 120 °C is usual.", None)


def test_a_cooling_reading_below_the_ambient_of_its_run():
    run = {"ambient_c": 25.0}
    assert [s.sentence for s in cooling_suspects({"after_s": 60.0, "temp_c": 24.0}, run)] == [
        "Can 24: below the ambient, 25 °C."
    ]
    assert cooling_suspects({"after_s": 60.0, "temp_c": 25.0}, run) == []
    assert cooling_suspects({"after_s": 60.0, "temp_c": 24.0}, {}) == []


def test_a_form_in_fahrenheit_says_what_it_is_held_against_in_fahrenheit():
    suspect = track_suspects({"finish_reading_c": 20.0, "ambient_c": 24.0}, None)[0]
    texts = {"finish_reading_c": "68"}
    shown = field_suspect(texts, suspect, Units("F"))
    assert shown.sentence == "Finish reading 68: below the ambient, 75 °F."
    assert field_suspect({"finish_reading_c": "20"}, suspect, Units()).sentence == suspect.sentence


# held against other runs

RACED = [
    {
        "id": f"r{i}",
        "motor_id": "m",
        "event_id": "e",
        "car_id": "c",
        "started_at": f"2026-04-12T1{i}:20",
        "round_kind": "qualifier",
        "pinion": 30.0,
        "spur": 72.0,
        "run_time_s": 300.0 + 2 * i,
        "laps": 26.0,
        "average_lap_s": 11.6,
        "ambient_c": 20.0,
        "finish_reading_c": 70.0 + i,
        "charge_used_mah": 2500.0 + 20 * i,
    }
    for i in range(6)
]
OWN = {name: RACED[0][name] for name in ("motor_id", "event_id", "car_id", "round_kind")}
OWN |= {"started_at": "2026-04-12T17:20"}


def against(runs=RACED, texts=(), **run) -> dict[str, RunSuspect]:
    typed = {name: Typed(text) for name, text in dict(texts).items()}
    every = track_suspects(OWN | run, EVENT, ForeseenTrack(runs), Kept(runs), typed)
    return {suspect.column: suspect for suspect in every}


@pytest.mark.parametrize(
    ("column", "wrong", "right", "cause"),
    [
        ("pinion", 3.0, 30.0, "a digit missing"),
        ("spur", 27.0, 72.0, "two digits swapped"),
        ("finish_reading_c", 17.0, None, None),
        ("finish_reading_c", 712.0 / 10, None, None),
        ("run_time_s", 3018.0, 301.8, "the decimal sign lost"),
        ("charge_used_mah", 250.0, None, None),
        ("charge_used_mah", 2.545, 2545.0, "the sign parts thousands"),
        ("ambient_c", 68.0, 20.0, "°F, which is 20 °C"),
    ],
)
def test_a_track_entry_against_the_runs_around_it(column, wrong, right, cause):
    others = {"pinion": 30.0, "spur": 72.0, "ambient_c": 20.0, "run_time_s": 301.0, "laps": 26.0}
    found = against(**(others | {column: wrong}))
    if wrong == 71.2:
        assert not found, "a can as hot as the others were"
        return
    assert column in found and found[column].chance > 0.5
    if cause:
        assert (found[column].cause, found[column].suggested) == (cause, right)


def test_a_run_like_the_others_is_let_pass_and_one_stopped_early_too():
    assert against(pinion=31.0, spur=72.0, run_time_s=304.1, laps=26.0, ambient_c=21.0, finish_reading_c=75.0) == {}
    assert against(run_time_s=138.5, laps=12.0, incident="stopped early") == {}


def test_a_heat_that_ended_early_says_nothing_of_how_long_the_next_one_is():
    runs = [*RACED[:1], {**RACED[1], "run_time_s": 51.0, "laps": 4.0, "incident": "stopped early"}]
    assert against(runs, run_time_s=304.1, laps=26.0) == {}
    alone = [{**RACED[0], "run_time_s": 51.0, "laps": 4.0, "incident": "stopped early"}]
    assert against(alone, run_time_s=304.1, laps=26.0) == {}


def test_a_heat_ends_with_the_lap_in_which_time_is_up():
    """Laps of 40 s: 304 s of one heat and 336 s of the next are five minutes both."""
    runs = [{**RACED[i], "average_lap_s": 40.0, "run_time_s": 304.0 + i, "laps": 8.0} for i in range(4)]
    assert against(runs, run_time_s=336.0, laps=8.0) == {}


def test_a_car_of_another_class_races_heats_of_its_own_length_and_pace():
    """Qualifiers of 300 s with one car, of 360 s with the other, in turn; laps of 11.6 and 13.5 s."""
    other = {"car_id": "d", "run_time_s": 363.0, "laps": 27.0, "average_lap_s": 13.5}
    runs = [RACED[i] | other if i % 2 else RACED[i] for i in range(6)]
    assert against(runs, run_time_s=303.0, laps=26.0, average_lap_s=11.6) == {}
    assert against(runs, car_id="d", run_time_s=366.0, laps=27.0, average_lap_s=13.6) == {}
    assert against([RACED[0]], car_id="d", run_time_s=363.0, laps=27.0, average_lap_s=13.5) == {}, "its first heat"
    assert against(runs, car_id="d", run_time_s=3660.0, laps=27.0)["run_time_s"].suggested == 366.0


def test_a_can_is_as_warm_as_its_run_was_long():
    """50 K after 300 s are 50·(1 − e^(−60/150))/(1 − e^(−300/150)) = 19 K after a minute."""
    assert against(run_time_s=60.0, laps=5.0, incident="stopped early", ambient_c=20.0, finish_reading_c=39.0) == {}
    assert "finish_reading_c" in against(run_time_s=302.0, laps=26.0, ambient_c=20.0, finish_reading_c=31.0)


def test_of_two_that_contradict_each_other_neither_is_the_judge():
    runs = [RACED[0], {**RACED[1], "pinion": 72.0, "spur": 30.0}]
    assert against(runs, pinion=30.0, spur=72.0) == {}


def test_what_was_kept_is_not_asked_about_again():
    runs = [*RACED, {**RACED[0], "id": "k", "finish_reading_c": 25.0, "kept": ["finish_reading_c"]}]
    assert against(finish_reading_c=25.0)["finish_reading_c"] and against(runs, finish_reading_c=25.5) == {}


def test_a_lap_no_car_drives_is_named_with_the_lap_that_was_meant():
    laps = [11.6, 11.5, 11.7, 116.0, 11.8, 11.6, 11.5]
    (suspect,) = (each for each in track_suspects({"lap_times_s": laps}, None) if each.column == "lap_times_s")
    assert suspect.sentence.startswith("Lap 4, 116: ") and (suspect.place, suspect.suggested) == (3, 11.6)
    assert not [*track_suspects({"lap_times_s": [11.6, 11.5, 11.7, 17.4, 11.8, 11.6]}, None)], "a spin"


def test_a_lost_decimal_sign_among_many_laps_is_named_before_the_sum_it_spoils():
    laps = [11.6, 11.5, 11.7, 11.64, 11.8, 11.6, 11.5] * 3
    for typed in (1164.0, 116.4):
        run = {"lap_times_s": [*laps[:9], typed, *laps[10:]], "run_time_s": sum(laps) - 2.0}
        (suspect,) = track_suspects(run, None)
        assert (suspect.place, suspect.suggested) == (9, 11.64) and suspect.sentence.startswith(f"Lap 10, {typed:g}: ")
    missed = {"lap_times_s": laps[:-2], "run_time_s": sum(laps)}
    assert "19 laps make" in track_suspects(missed, None)[0].sentence


def test_a_can_cools_towards_the_air():
    run = {"ambient_c": 20.0, "finish_reading_c": 72.0, "finish_reading_after_s": 60.0}
    assert cooling_suspects({"after_s": 300.0, "temp_c": 56.0}, run) == []
    (suspect,) = cooling_suspects({"after_s": 300.0, "temp_c": 133.0}, run)
    assert suspect.cause == "°F, which is 56.1 °C"


ANY = st.fixed_dictionaries({}, optional={n: st.floats(0.01, 9e3) for n in RACED[0] if n in QUANTITIES})


@given(st.lists(ANY, max_size=6))
def test_any_runs_can_be_held_against_one_another(runs):
    every = [{**OWN, "id": str(i), **run} for i, run in enumerate(runs)]
    known = ForeseenTrack(every)
    for run in every:
        for suspect in track_suspects(run, EVENT, known):
            assert suspect.chance is None or 0 <= suspect.chance <= 1
