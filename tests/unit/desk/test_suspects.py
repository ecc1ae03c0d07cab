"""Numbers that are possible and yet unlikely. Ranges are ours; common practice, no source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.bench_blocks import SPEEDS_AGREE, TIMING_HERE
from pitbench.desk.entry.foreseen_bench import ForeseenBench
from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.suspects import RunSuspect, unlikely
from pitbench.desk.entry.suspects_bench import bench_suspects
from pitbench.desk.entry.waiting import Kept
from pitbench.records.fields import QUANTITIES

LAPWING = {"id": "m", "name": "Lapwing", "poles": 2.0, "turns": 13.5}
RUNS = [
    {
        "id": f"r{i}",
        "motor_id": "m",
        "build_id": "b",
        "taken_at": f"2026-05-0{1 + i // 2}T18:{10 + i % 2}",
        "kv_rpm_per_v": 3950.0 + i,
        "no_load_current_a": 4.08,
        "timing_a_deg": 42.0 + i / 10,
        "timing_b_deg": 41.8,
        "timing_c_deg": 41.6 + i / 10,
        "test_voltage_v": 3.7,
        "timing_mark_deg": 35.0,
    }
    for i in range(8)
]
NOW = {"motor_id": "m", "build_id": "b", "taken_at": "2026-05-09T18:00", "test_voltage_v": 3.7, "timing_mark_deg": 35.0}


def found(run: dict, runs: list | None = None, motor: dict = LAPWING, **texts: str) -> dict[str, RunSuspect]:
    known = RUNS if runs is None else runs
    typed = {name: Typed(text) for name, text in texts.items()}
    every = bench_suspects(NOW | run, ForeseenBench(known, {"m": motor}), motor, Kept(known), typed)
    return {suspect.column: suspect for suspect in every}


def test_swapped_digits_of_a_sensor_are_told_and_undone():
    run = {"timing_deg": 42.1, "timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 24.1}
    (suspect,) = found(run).values()
    assert suspect.column == "timing_c_deg"
    assert suspect.sentence == (
        "Sensor C 24.1: Lapwing has always been between 41.6 and 42.3 there. Two digits swapped?"
    )
    assert (suspect.cause, suspect.suggested) == ("two digits swapped", 42.1)
    assert suspect.chance is not None and suspect.chance > 0.99
    alone = found(run, runs=[])["timing_c_deg"]
    assert "the total says 42.1, the mean of the sensors is 36.1" in alone.sentence and alone.suggested == 42.1


def test_a_total_that_stands_apart_from_three_sensors_that_agree():
    run = {"timing_deg": 45.0, "timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 42.0}
    (suspect,) = found(run, runs=[]).values()
    assert suspect.column == "timing_deg"
    assert found({**run, "timing_deg": 42.3}, runs=[]) == {}


@pytest.mark.parametrize(("typed", "setting", "meant"), [(1976.0, 4, 3952.0), (1317.5, 6, 3952.5)])
def test_a_speed_off_by_just_the_factor_of_a_pole_setting(typed, setting, meant):
    """A tester set to p′ poles reads p/p′ times the true speed of a motor with p: electrical speed, by definition."""
    suspect = found({"kv_rpm_per_v": typed})["kv_rpm_per_v"]
    assert (suspect.rule, suspect.suggested) == ("poles", meant)
    assert suspect.cause == f"the tester was set to {setting} poles"
    assert found({"kv_rpm_per_v": typed}, RUNS[:1])["kv_rpm_per_v"].rule == "poles", "one earlier run is enough"


def test_a_stated_pole_count_that_is_not_the_motors():
    suspect = found({"kv_rpm_per_v": 1976.0, "poles_assumed": 4.0}, runs=[])["poles_assumed"]
    assert (suspect.rule, suspect.suggested) == ("poles", 2.0)
    assert "0.5 times the true ones" in suspect.sentence
    assert found({"poles_assumed": 4.0}, runs=[], motor={"name": "Heron"}) == {}, "the motor's own are not known"
    assert found({"poles_assumed": 4.0}, [{**RUNS[0], "poles_assumed": 4.0, "kept": ["poles_assumed"]}]) == {}


def test_a_digit_too_many_is_told_by_range_or_by_other_runs():
    suspect = found({"kv_rpm_per_v": 39820.0}, [])["kv_rpm_per_v"]
    assert suspect.sentence == "KV 39820: 1000 to 12000 rpm/V is usual. A digit too many?"
    suspect = found({"kv_rpm_per_v": 39820.0})["kv_rpm_per_v"]
    assert suspect.suggested == 3982.0
    assert "between 3950 and 3957" in suspect.sentence


@pytest.mark.parametrize(
    ("typed", "meant", "cause"),
    [
        ({"kv_rpm_per_v": "3458"}, 3958.0, None),  # 4 for 9: not beside it, and yet the one digit that is wrong
        ({"kv_rpm_per_v": "9356"}, 3956.0, "two digits swapped"),
        ({"kv_rpm_per_v": "39955"}, 3955.0, "a digit too many"),
        ({"no_load_current_a": "1.08"}, 4.08, "a digit wrong"),
        ({"no_load_current_a": "0.48"}, 4.08, None),
        ({"no_load_current_a": "40.8"}, 4.08, "the decimal sign in the wrong place"),
        ({"timing_b_deg": "14.8"}, 41.8, "two digits swapped"),
        ({"timing_b_deg": "18.4"}, None, None),
    ],
)
def test_a_slip_is_undone_where_it_can_be_told(typed, meant, cause):
    ((name, text),) = typed.items()
    suspect = found({name: float(text)}, **typed)[name]
    assert suspect.chance is not None and suspect.chance > 0.5
    if cause:
        assert (suspect.cause, suspect.suggested) == (cause, meant)
    elif meant and suspect.suggested is not None:
        assert suspect.suggested == meant


@given(st.sampled_from([-1, 1]), st.floats(9.0, 11.0).filter(lambda off: abs(off - 10) > 0.02))
def test_what_lies_more_than_ten_predictive_sd_off_is_far_off(sign, off):
    """Without a timing read, that of the runs it is held against ± 0.3° moves KV by 0.5 % a degree."""
    mean, var = ForeseenBench(RUNS, {"m": LAPWING}).of("kv_rpm_per_v", NOW)
    sd = math.sqrt(var + SPEEDS_AGREE**2 + (0.5 * TIMING_HERE) ** 2)
    suspect = found({"kv_rpm_per_v": math.exp((mean + sign * off * sd) / 100)}).get("kv_rpm_per_v")
    assert (suspect is not None and suspect.far) == (off > 10)


def test_a_digit_that_is_lost_is_about_what_is_foreseen():
    """398 may have been any of 3980 to 3989: nobody can read the digit off it."""
    suspect = found({"kv_rpm_per_v": 395.0})["kv_rpm_per_v"]
    assert suspect.cause == "a digit missing" and 3950 <= suspect.suggested <= 3959
    assert suspect.sentence.endswith(f"A digit missing, about {suspect.suggested:.0f}?")


def test_nobody_knows_the_cause_of_a_number_that_is_off_without_a_slip():
    suspect = found({"pole_imbalance_pct": 9.7}, [{**run, "pole_imbalance_pct": 2.1} for run in RUNS])
    assert suspect["pole_imbalance_pct"].suggested is None
    suspect = found({"kv_rpm_per_v": 6677.0})["kv_rpm_per_v"]
    assert suspect.cause == "unknown, or the motor changed" and suspect.suggested is None
    assert suspect.sentence.endswith("Misread, or the motor changed?")


def test_what_differs_no_more_than_readings_do_is_let_pass():
    for kv in (3950 * 0.993, 3957 * 1.007):
        assert found({"kv_rpm_per_v": round(kv)}) == {}
    assert found({"no_load_current_a": 3.9}) == {} and found({"no_load_current_a": 4.27}) == {}


def test_runs_under_other_conditions_tell_less():
    run = {"kv_rpm_per_v": 3780.0, "timing_mark_deg": 25.0}
    assert found(run) == {}, "10° less of timing are 5 % of KV"
    assert found({**run, "timing_mark_deg": 35.0})
    amps = {"no_load_current_a": 6.5}
    assert found(amps) and not found({**amps, "test_voltage_v": 7.4})


def test_a_kept_value_moves_nothing_but_is_not_asked_about_again():
    runs = [*RUNS, {**RUNS[0], "id": "k", "no_load_current_a": 9.0, "kept": ["no_load_current_a"]}]
    assert found({"no_load_current_a": 9.1}, runs) == {}
    assert found({"no_load_current_a": 6.0}, runs)["no_load_current_a"]


def test_a_run_left_out_tells_nothing_and_is_not_compared():
    assert found({"kv_rpm_per_v": 3600.0, "excluded_why": "bad contact"}) == {}
    assert found({"kv_rpm_per_v": 3600.0}, [{**r, "excluded_why": "x"} for r in RUNS]) == {}


def test_speeds_that_say_two_things():
    run = {"kv_rpm_per_v": 3950.0, "rpm": 14615.0, "erpm": 14615.0, "test_voltage_v": 3.7}
    assert found(run) == {}
    assert found({**run, "rpm": 14165.0})["rpm"].cause == "two digits swapped"
    assert found({**run, "rpm": 14700.0}).keys() & {"rpm", "kv_rpm_per_v", "erpm"}
    assert found({k: v for k, v in run.items() if k != "test_voltage_v"} | {"rpm": 1e5}, []).keys() >= {"rpm"}


@given(st.sampled_from(sorted(QUANTITIES)), st.data())
def test_the_likely_range_is_the_border(name, data):
    low, high = QUANTITIES[name].likely
    assert unlikely({name: data.draw(st.floats(low, high))}) == []
    outside = data.draw(st.floats(*QUANTITIES[name].possible).filter(lambda n: not low <= n <= high))
    (suspect,) = unlikely({name: outside})
    assert suspect.suggested is None or low <= suspect.suggested <= high


def test_one_suspect_a_field_in_the_order_of_the_fields():
    run = {"resistance_mohm": 900.0, "kv_rpm_per_v": 39820.0, "no_load_current_a": 60.0}
    assert [*found(run)] == ["kv_rpm_per_v", "no_load_current_a", "resistance_mohm"]


@given(st.permutations(RUNS), st.sampled_from(["kv_rpm_per_v", "no_load_current_a", "timing_c_deg"]))
def test_the_order_in_which_runs_came_does_not_matter(runs, column):
    run = {column: {"kv_rpm_per_v": 3850.0, "no_load_current_a": 4.8, "timing_c_deg": 24.1}[column]}
    assert found(run, runs) == found(run)


def test_a_second_slip_does_not_hide_behind_the_first():
    run = {"timing_deg": 42.1, "timing_a_deg": 42.4, "timing_b_deg": 24.1, "timing_c_deg": 42.0, "kv_rpm_per_v": 9357.0}
    assert {name: each.suggested for name, each in found(run).items()} == {"timing_b_deg": 42.1, "kv_rpm_per_v": 3957.0}
