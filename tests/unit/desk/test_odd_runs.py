"""Runs to look at again: which are named, why, and which never are. The factors are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.comparing.odd_runs import FACTORS
from pitbench.desk.comparing.ranked import ranked
from tests.unit.desk.bench_side import USUAL, Bench

KV = "kv_rpm_per_v"
BARE = {"tester": "box", "test_voltage_v": 7.4}


def bench_of(**kvs):
    """A bench with a run a minute: each motor's KVs in turn, currents alike."""
    bench, minute = Bench(), 0
    for name, values in kvs.items():
        for kv in values:
            bench.run(name, f"2026-05-16T20:{minute:02d}", **BARE, kv_rpm_per_v=kv, no_load_current_a=2.2)
            minute += 1
    return bench


def ranking_of(bench):
    return ranked(bench.logbook.snapshot(), bench.sheet.name)


def odd_of(bench):
    return [(odd.motor, odd.taken_at[11:], odd.figure, odd.why) for odd in ranking_of(bench).odd_runs]


def flagged(bench):
    return {m.motor for m in ranking_of(bench).answer.motors if "run_does_not_fit" in m.flags}


def test_of_two_runs_that_differ_tenfold_the_one_far_from_the_other_motors_is_named():
    bench = bench_of(Finch=(3120, 3128), Whio=(3090, 31020))
    assert odd_of(bench) == [("Whio", "20:03", KV, "apart")]
    assert flagged(bench) == {"Whio"}
    (odd,) = ranking_of(bench).odd_runs
    assert (odd.times, odd.runs, odd.value) == (pytest.approx(31020 / 3090), 2, 31020)
    assert odd_of(bench_of(Finch=(3120, 3128), Whio=(310.2, 3090))) == [("Whio", "20:02", KV, "apart")]


def test_of_more_runs_the_one_off_their_middle_is_named():
    bench = bench_of(Finch=(3120, 3128, 3124), Whio=(3090, 30920, 3094))
    assert odd_of(bench) == [("Whio", "20:04", KV, "apart")] and flagged(bench) == {"Whio"}


def test_a_run_doubted_when_it_came_is_the_one_named():
    bench = bench_of(Finch=(3090,), Whio=(3120,))
    bench.run("Finch", "2026-05-16T20:30", **BARE, kv_rpm_per_v=1030, no_load_current_a=2.2)
    bench.run("Whio", "2026-05-16T20:40", **BARE, rpm=3120 * 7.4, no_load_current_a=2.2)
    assert odd_of(bench) == [("Finch", "20:30", KV, "apart")]
    (record,) = (r for r in bench.logbook.records("bench_run") if r.taken_at.endswith("20:00"))
    bench.logbook.save("kept", [record.with_(kept=(KV,))])
    assert odd_of(bench) == [("Finch", "20:00", KV, "apart")]


def test_a_current_with_its_comma_lost_is_named_too():
    bench = bench_of(Finch=(3120, 3128), Whio=(3090, 3094))
    bench.run("Whio", "2026-05-16T20:30", **BARE, kv_rpm_per_v=3092, no_load_current_a=22)
    assert odd_of(bench) == [("Whio", "20:30", "no_load_current_a", "apart")]


def test_a_lone_unlikely_number_that_was_kept_is_named_until_another_run_says_the_same():
    bench = bench_of(Finch=(3120, 3128))
    bench.run("Whio", "2026-05-16T20:30", **BARE, kv_rpm_per_v=920, no_load_current_a=2.2, kept=(KV,))
    assert odd_of(bench) == [("Whio", "20:30", KV, "kept")]
    assert flagged(bench) == set() and ranking_of(bench).doubtful == {"Whio"}  # there is no other it could not fit
    bench.run("Whio", "2026-05-16T20:40", **BARE, kv_rpm_per_v=924, no_load_current_a=2.2, kept=(KV,))
    assert odd_of(bench) == []


def test_what_was_kept_of_a_figure_that_power_does_not_take_is_not_named():
    bench = bench_of(Finch=(3120, 3128), Whio=(3090,))
    bench.run("Whio", "2026-05-16T20:30", **BARE, kv_rpm_per_v=3094, motor_temp_c=95, kept=("motor_temp_c",))
    assert odd_of(bench) == []


def test_a_run_left_out_or_of_another_voltage_is_not_held_against_the_others():
    bench = bench_of(Finch=(3120, 3128), Whio=(3090, 3094))
    bench.run("Whio", "2026-05-16T20:30", **BARE, kv_rpm_per_v=30920, excluded_why="typing error")
    bench.run("Whio", "2026-05-16T20:40", tester="box", test_voltage_v=3.7, kv_rpm_per_v=31900)
    assert odd_of(bench) == []


def test_a_run_that_only_fits_badly_is_known_by_its_time():
    bench = Bench()
    for i in range(6):
        bench.run("Heron", f"2026-05-16T20:0{i}", **USUAL)
        pole = 2.1 if i != 3 else 4.1
        bench.run("Whio", f"2026-05-16T20:1{i}", **(USUAL | {"pole_imbalance_pct": pole}))
    assert odd_of(bench) == [("Whio", "20:13", "pole_imbalance_pct", "fit")] and flagged(bench) == {"Whio"}


@given(st.lists(st.floats(3000, 3000 * FACTORS[KV]), min_size=1, max_size=5))
def test_runs_within_the_factor_are_never_said_to_lie_apart(kvs):
    assert not [odd for odd in ranking_of(bench_of(Finch=(3100, 3110), Whio=kvs)).odd_runs if odd.why == "apart"]
