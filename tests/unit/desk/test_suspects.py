"""Numbers that are possible and yet unlikely. Ranges and multiples are ours; common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.repairs import repaired
from pitbench.desk.entry.suspects import Earlier, RunSuspect, made_alike, suspects_against, unlikely
from pitbench.records.fields import QUANTITIES

LAPWING = {"id": "m", "name": "Lapwing", "poles": 2.0}
RUNS = [
    {
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


def found(run: dict, runs: list | None = None, motor: dict = LAPWING) -> dict[str, RunSuspect]:
    alike = Earlier(made_alike(run, RUNS if runs is None else runs))
    return {suspect.column: suspect for suspect in suspects_against(run, alike, motor)}


def test_swapped_digits_of_a_sensor_are_told_and_undone():
    run = {"timing_deg": 42.1, "timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 24.1}
    (suspect,) = found(run).values()
    assert suspect.column == "timing_c_deg"
    assert suspect.sentence == (
        "Sensor C 24.1: Lapwing has always been between 41.6 and 42.3 there. Two digits swapped?"
    )
    assert (suspect.rule, suspect.suggested) == ("sensors", 42.1)
    alone = found(run, runs=[])["timing_c_deg"]
    assert "the total says 42.1, the mean of the sensors is 36.1" in alone.sentence


def test_a_total_that_stands_apart_from_three_sensors_that_agree():
    run = {"timing_deg": 45.0, "timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 42.0}
    (suspect,) = found(run, runs=[]).values()
    assert (suspect.column, suspect.suggested) == ("timing_deg", 42.1)
    assert found({**run, "timing_deg": 43.6}, runs=[]) == {}, "1.5° from the mean is no suspect"


def test_sensors_that_agree_with_nothing_suggest_nothing():
    run = {"timing_deg": 45.0, "timing_a_deg": 42.4, "timing_b_deg": 32.0, "timing_c_deg": 37.0}
    (suspect,) = found(run, runs=[]).values()
    assert (suspect.column, suspect.suggested) == ("timing_deg", None)
    assert suspect.cause


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
    kept = [{"poles_assumed": 4.0, "kept": ["poles_assumed"]}]
    assert found({"poles_assumed": 4.0}, kept) == {}


def test_a_digit_too_many_is_told_by_range_or_by_earlier_runs():
    assert (
        "1000 to 12000 rpm/V is usual. A digit too many?"
        in found({"kv_rpm_per_v": 39820.0}, [])["kv_rpm_per_v"].sentence
    )
    suspect = found({"kv_rpm_per_v": 39820.0})["kv_rpm_per_v"]
    assert suspect.suggested == 3982.0
    assert "between 3950 and 3957" in suspect.sentence


def test_repeatability_times_ten_is_let_pass_and_more_is_not():
    assert found({"kv_rpm_per_v": 3957 * 1.0199}) == {}
    assert "kv_rpm_per_v" in found({"kv_rpm_per_v": 3957 * 1.021})
    assert found({"no_load_current_a": 4.08 * 0.901}) == {}
    assert "no_load_current_a" in found({"no_load_current_a": 4.08 * 0.89})


def test_earlier_runs_count_only_from_three_on_and_under_the_same_conditions():
    run = {"kv_rpm_per_v": 3600.0}
    assert found(run)
    assert found(run, RUNS[:2]) == {}
    assert found({**run, "timing_mark_deg": 20.0}) == {}
    assert found({**run, "test_voltage_v": 7.4}) == {}
    assert found({**run, "build_id": "b"}, [{**r, "build_id": "a"} for r in RUNS]) == {}


def test_a_kept_value_widens_no_range_but_is_not_asked_about_again():
    runs = [*RUNS, {"no_load_current_a": 9.0, "kept": ["no_load_current_a"]}]
    assert found({"no_load_current_a": 9.1}, runs) == {}
    assert found({"no_load_current_a": 6.0}, runs)["no_load_current_a"]


def test_a_run_left_out_tells_nothing_and_is_not_compared():
    assert found({"kv_rpm_per_v": 3600.0, "excluded_why": "bad contact"}) == {}
    assert found({"kv_rpm_per_v": 3600.0}, [{**r, "excluded_why": "x"} for r in RUNS]) == {}


def test_two_speeds_that_differ_by_more_than_half_a_percent():
    run = {"kv_rpm_per_v": 3950.0, "rpm": 14615.0, "erpm": 14615.0, "test_voltage_v": 3.7}
    assert found(run) == {}
    assert found({**run, "rpm": 14615 * 1.0049}) == {}
    suspect = found({**run, "rpm": 14700.0})["rpm"]
    assert (suspect.rule, suspect.suggested) == ("speed", 14615.0)
    assert found(run, [], {"name": "Heron", "poles": 4.0})["erpm"].suggested == 29230.0
    assert found({**run, "rpm": 14165.0})["rpm"].cause == "two digits swapped"
    assert found({k: v for k, v in run.items() if k != "test_voltage_v"} | {"rpm": 1e5}, []).keys() == {"rpm"}


@given(st.sampled_from(sorted(QUANTITIES)), st.data())
def test_the_likely_range_is_the_border(name, data):
    low, high = QUANTITIES[name].likely
    assert unlikely({name: data.draw(st.floats(low, high))}) == []
    outside = data.draw(st.floats(*QUANTITIES[name].possible).filter(lambda n: not low <= n <= high))
    (suspect,) = unlikely({name: outside})
    assert suspect.suggested is None or low <= suspect.suggested <= high


@given(st.integers(1000, 99999), st.integers(0, 3))
def test_a_swap_of_two_digits_is_found_again(number, place):
    digits = list(str(number))
    place %= len(digits) - 1
    digits[place], digits[place + 1] = digits[place + 1], digits[place]
    if digits[0] == "0" or int("".join(digits)) == number:
        return
    cause, meant = repaired(float("".join(digits)), number, number)
    assert (cause, meant) == ("two digits swapped", number)


def test_one_suspect_a_field_in_the_order_of_the_fields():
    run = {"resistance_mohm": 900.0, "kv_rpm_per_v": 39820.0, "no_load_current_a": 60.0}
    every = suspects_against(run, Earlier(RUNS), LAPWING)
    assert [suspect.column for suspect in every] == ["kv_rpm_per_v", "no_load_current_a", "resistance_mohm"]
