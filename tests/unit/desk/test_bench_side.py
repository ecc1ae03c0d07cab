"""What stands beside the form: derived figures, earlier runs, suspects and problems, all while typing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.bench_entry import edit_entry, new_entry
from pitbench.desk.entry.bench_fields import CONDITION_FIELDS, RUN_NUMBERS
from pitbench.desk.entry.bench_side import side_of
from tests.unit.desk.by_hand import (
    CONDITIONS,
    FIGURES,
    KV_AND_CURRENT,
    NOW,
    add_motor,
    add_run,
    edit_motor,
    new_book,
    typed,
)


@pytest.fixture
def book():
    book = new_book()
    add_motor(book, "Lapwing", rotor="R1")
    return book


def side(book, motor="Lapwing", **texts):
    return side_of(typed(book, motor, **texts), book.snapshot(), NOW)


def comes_to(answer):
    return {derived.label: (derived.value, derived.remark, derived.doubtful) for derived in answer.comes_to}


def test_derived_figures_by_hand(book):
    answer = side(book, **CONDITIONS, **FIGURES)
    assert comes_to(answer) == {
        "KV at 25 °C": ("3936", "its first", False),  # 3953·exp(−0.0007·6)
        "speed per amp": ("964", "its first", False),  # 3953 / 4.10
        "idle power": ("15.2", "W", False),  # 3.7·4.10
        "mean timing": ("42.1", "°", False),  # (42.4 + 41.9 + 42.0) / 3
        "sensor spread": ("0.5", "°", False),  # 42.4 − 41.9
    }
    assert answer.conditions == "3.7 V   2 poles   ambient 24 °C   bench box"
    assert answer.earlier == [] and answer.suspects == {} and answer.problems == {}


def test_an_empty_form_comes_to_nothing():
    answer = side_of(new_entry(new_book().snapshot(), NOW), new_book().snapshot(), NOW)
    assert [derived.value for derived in answer.comes_to] == ["·"] * 5
    assert answer.conditions == "no test voltage" and answer.problems == {} and answer.suspects == {}


def test_without_a_temperature_kv_is_as_read(book):
    assert comes_to(side(book, kv_rpm_per_v="3953"))["KV as read"][0] == "3953"


def test_a_winding_reading_alone_changes_nothing_of_how_kv_is_told(book):
    add_run(book, resistance_mohm="11.6", motor="Lapwing")
    assert comes_to(side(book, **FIGURES))["KV at 25 °C"][1] == "its first"


def test_all_runs_are_corrected_or_none(book):
    add_run(book, kv_rpm_per_v="3940", motor="Lapwing")  # nobody measured its temperature
    answer = side(book, **FIGURES)
    assert comes_to(answer)["KV as read"][:2] == ("3953", "+13 from its mean")
    assert answer.earlier[0][0] == "KV as read"


def test_against_earlier_runs(book):
    for kv in ("3950", "3954"):
        add_run(book, "Lapwing", **(CONDITIONS | FIGURES | {"kv_rpm_per_v": kv, "motor_temp_c": "25"}))
    answer = side(book, **(CONDITIONS | FIGURES | {"kv_rpm_per_v": "3951.6", "motor_temp_c": "25"}))
    assert answer.nth == "third run on the bench today"
    assert answer.earlier_title == "LAPWING'S 2 EARLIER RUNS, nine in ten"
    assert comes_to(answer)["KV at 25 °C"] == ("3952", "+0 from its mean", False)
    # s² = (3·(0.2 %·3952)² + 8)/4 = 48.86; 3952 ± 2.1318·√(48.86·1.5) = 3952 ± 18.25
    # current: s² = 3·(1 %·4.1)²/4; 4.1 ± 2.1318·0.0355·√1.5 = 4.1 ± 0.0927; imbalance: 2.1 ± 2.1318·0.2598·√1.5
    assert answer.earlier == [
        ("KV at 25 °C", "3934 to 3970"),
        ("current", "4.01 to 4.19"),
        ("imbalance", "1.4 to 2.8"),
    ]
    # sensor spread 0.5 twice: 0.5 ± 2.1318·0.1732·√1.5 = ± 0.452
    assert comes_to(answer)["sensor spread"] == ("0.5", "usual 0.0 to 1.0", False)


def test_a_sensor_that_stands_apart_is_marked_everywhere(book):
    for _ in range(3):
        add_run(book, "Lapwing", **CONDITIONS, **FIGURES)
    answer = side(book, **(CONDITIONS | FIGURES | {"timing_c_deg": "24.1"}))
    assert comes_to(answer)["mean timing"] == ("36.1", "total says 42.1", True)  # (42.4 + 41.9 + 24.1)/3
    assert comes_to(answer)["sensor spread"][0] == "18.3" and comes_to(answer)["sensor spread"][2]
    suspect = answer.suspects["timing_c_deg"]
    assert (suspect.typed, suspect.suggested) == ("24.1", "42.1")
    assert suspect.sentence == "Sensor C 24.1: Lapwing has always been at 42 there. Two digits swapped?"


def test_a_kv_that_is_possible_and_unlikely(book):
    answer = side(book, kv_rpm_per_v="39820")
    suspect = answer.suspects["kv_rpm_per_v"]
    assert suspect.sentence == "KV 39820: 1000 to 12000 rpm/V is usual. A digit too many?"
    assert suspect.suggested == "3982" and answer.problems == {}
    run = add_run(book, "Lapwing", kept=tuple(answer.suspects), kv_rpm_per_v="39820")
    assert run["kept"] == ["kv_rpm_per_v"]


def test_a_form_in_fahrenheit_says_what_is_expected_in_fahrenheit(book):
    for _ in range(3):
        add_run(book, "Lapwing", **CONDITIONS, **FIGURES)
    book.save("F", [book.settings().with_(temperature_unit="F")])
    suspect = side(book, **(CONDITIONS | FIGURES | {"ambient_c": "75.2", "motor_temp_c": "178.8"})).suspects[
        "motor_temp_c"
    ]
    assert suspect.sentence.startswith("Motor temperature 178.8: Lapwing has always been at 87.8 there.")


def test_a_figure_far_off_is_said_in_words_that_have_room(book):
    add_run(book, "Lapwing", kv_rpm_per_v="3950")
    assert comes_to(side(book, kv_rpm_per_v="39820"))["KV as read"][1] == "far from its mean"


def test_a_number_that_cannot_be_read_is_a_problem_while_typing(book):
    answer = side(book, kv_rpm_per_v="fast", no_load_current_a="-4", motor_temp_c="", rpm="14600")
    assert answer.problems == {
        "kv_rpm_per_v": "KV fast is no number, write one like 3500.",
        "no_load_current_a": "No-load current -4 is not possible, 0.01 to 100 A would be.",
        "rpm": "Speed 14600 needs the test voltage it was read at, F6 writes it down.",
    }


def test_other_voltages_marks_and_builds_are_not_compared(book):
    for volts, mark, amps in (("3.7", "35", "4.1"), ("7.4", "35", "6.5"), ("3.7", "40", "4.6")):
        add_run(book, "Lapwing", test_voltage_v=volts, timing_mark_deg=mark, no_load_current_a=amps)
    answer = side(book, test_voltage_v="3.7", timing_mark_deg="35", no_load_current_a="4.1")
    # one run of 4.1 A: ± 2.3534·0.041·√2 = ± 0.136
    assert answer.earlier == [("current", "3.96 to 4.24")]
    assert answer.earlier_title == "LAPWING'S 1 RUN LIKE THIS, nine in ten"
    edit_motor(book, book.rows("motor")[0]["id"], rotor="R2", since="2026-05-17 14:00")
    assert side(book, test_voltage_v="3.7", timing_mark_deg="35").earlier == []


def test_runs_left_out_tell_nothing_but_were_run(book):
    run = add_run(book, "Lapwing", **KV_AND_CURRENT)
    book.save("out", [next(r for r in book.records("bench_run") if r.id == run["id"]).with_(excluded_why="loose")])
    answer = side(book)
    assert answer.earlier == [] and answer.nth == "second run on the bench today"


@pytest.mark.parametrize(
    ("runs", "taken_at", "nth"),
    [
        (0, "2026-05-17 14:02", "first run on the bench today"),
        (10, "2026-05-17 14:02", "bench run 11 today"),
        (2, "2026-05-16 14:02", "first run on the bench on 16 May"),
        (1, "no time", "second run on the bench today"),
    ],
)
def test_which_run_of_the_day_it_is(book, runs, taken_at, nth):
    for _ in range(runs):
        add_run(book, "Lapwing", **KV_AND_CURRENT)
    assert side(book, taken_at=taken_at).nth == nth


def test_an_edited_run_is_not_held_against_itself(book):
    first = add_run(book, "Lapwing", **KV_AND_CURRENT)
    add_run(book, "Lapwing", **KV_AND_CURRENT)
    answer = side_of(edit_entry(book.snapshot(), first["id"]), book.snapshot(), NOW)
    assert answer.earlier_title == "LAPWING'S 1 OTHER RUN, nine in ten"
    assert answer.nth == "a run that is stored already"


TEXTS = st.text(max_size=20) | st.sampled_from(["3950", "4,1", "-1", "nan", "1e999", "39820", "0.01", "yes", "Lapwing"])
FILLED = st.dictionaries(st.sampled_from([*RUN_NUMBERS, *CONDITION_FIELDS, "note"]), TEXTS, max_size=8)


@given(FILLED)
def test_any_text_gives_a_side(texts):
    book = new_book()
    add_motor(book, "Lapwing")
    for _ in range(3):
        add_run(book, "Lapwing", **CONDITIONS, **FIGURES)
    answer = side(book, **texts)
    assert len(answer.comes_to) == 5 and set(answer.suspects) <= set(RUN_NUMBERS)
    assert not set(answer.suspects) & set(answer.problems)
    assert all(said.endswith(".") and "\n" not in said for said in answer.problems.values())
