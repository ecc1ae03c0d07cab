"""What is unlikely about a track run or a cooling reading. Tolerances are ours; common practice, no source."""

import pytest

from pitbench.desk.entry.bench_side import field_suspect
from pitbench.desk.entry.suspects import not_in_fahrenheit
from pitbench.desk.entry.suspects_track import cooling_suspects, track_suspects
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
