"""Timing sweeps found in the runs of a motor, against scipy's line."""

from datetime import datetime

import pytest
from scipy import stats

from pitbench.desk.bench.sweep import sweeps
from pitbench.words.bench import slope_words, sweep_title, sweep_words
from tests.unit.desk.bench_side import Bench

NOW = datetime(2026, 5, 17, 21, 0)
MARKS = {30.0: (3860.0, 3.60), 35.0: (3950.0, 4.05), 40.0: (4050.0, 4.62), 45.0: (4140.0, 5.30)}


def swept(day="2026-05-17", offset=7.0, **figures):
    bench = Bench()
    bench.motor("Heron")
    add(bench, day, offset, **figures)
    return bench


def add(bench, day, offset=7.0, **figures):
    for i, (mark, (kv, current)) in enumerate(MARKS.items()):
        given = {"tester": "bench box", "test_voltage_v": 3.7, "kv_rpm_per_v": kv, "no_load_current_a": current}
        timing = {} if offset is None else {"timing_deg": mark + offset}
        bench.run("Heron", f"{day}T18:{5 * i:02d}", **(given | timing | {"timing_mark_deg": mark} | figures))


def found(bench):
    return sweeps(bench.logbook.snapshot(), bench.motors["Heron"].id)


def words(sweep):
    return sweep_words(sweep, "Heron", NOW)


def test_a_sweep_its_lines_and_what_a_degree_costs():
    (sweep,) = found(swept())
    marks, kv, current = list(MARKS), *zip(*MARKS.values(), strict=True)
    assert sweep_title(sweep, NOW) == "today 18:00   4 runs at 4 marks   bench box"
    assert [point.timing_deg for point in sweep.points] == [37.0, 42.0, 47.0, 52.0]
    assert sweep.kv.slope == pytest.approx(stats.linregress(marks, kv).slope)
    assert sweep.current.slope == pytest.approx(stats.linregress(marks, current).slope)
    assert sweep.current.at(42.0) == pytest.approx(
        stats.linregress(marks, current).intercept + 35 * sweep.current.slope
    )
    assert sweep.current.slope_low90 < sweep.current.slope < sweep.current.slope_high90
    assert slope_words(sweep)[0].startswith("One degree more: KV +19, +")
    assert slope_words(sweep)[0].endswith("; current +0.113, +0.102 to +0.125.")
    assert slope_words(sweep)[1] == "Nine times in ten; a straight line through four runs."
    assert sweep.best_mark_deg == 30.0
    assert words(sweep)[0] == (
        "Heron, sweep of today 18:00: best speed per amp at mark 30, without load. "
        "That is the lowest mark tried, the best may lie lower."
    )
    assert words(sweep)[1].startswith("Warmth not equalised")


def test_without_sensors_the_mark_serves():
    (sweep,) = found(swept(offset=None))
    assert not sweep.by_sensors and [point.timing_deg for point in sweep.points] == list(MARKS)
    (one,) = found(swept())
    assert sweep.kv.slope == pytest.approx(one.kv.slope)


def test_with_a_thermometer_kv_is_brought_to_25_degrees():
    (sweep,) = found(swept(motor_temp_c=31.0))
    assert sweep.warmth_equal and len(words(sweep)) == 1
    assert sweep.points[0].kv == pytest.approx(3860 * 0.99581, rel=1e-5)  # exp(−0.0007·6)


def test_the_best_mark_inside_the_sweep():
    bench = swept()
    bench.run("Heron", "2026-05-17T18:30", test_voltage_v=3.7, tester="bench box", timing_mark_deg=35.0, kv_rpm_per_v=3950.0, no_load_current_a=3.2, timing_deg=42.0)  # fmt: skip  # noqa: E501
    (sweep,) = found(bench)
    assert sweep.best_mark_deg == 35.0 and "mark tried" not in words(sweep)[0]


def test_the_newest_sweep_first_and_two_marks_are_none():
    bench = swept("2026-05-10")
    add(bench, "2026-05-17")
    for minute, mark in ((0, 30.0), (5, 35.0)):
        bench.run("Heron", f"2026-05-12T18:{minute:02d}", timing_mark_deg=mark, kv_rpm_per_v=3900.0)
    titles = [sweep_title(sweep, NOW)[:12].strip() for sweep in found(bench)]
    assert titles == ["today 18:00", "10 May 18:00"]
    assert sweeps(bench.logbook.snapshot(), "nobody") == []


def test_runs_left_out_rebuilt_or_at_another_voltage_are_no_part_of_it():
    assert found(swept(excluded_why="loose lead")) == []
    bench = swept()
    bench.run("Heron", "2026-05-17T18:40", timing_mark_deg=50.0, test_voltage_v=7.4, kv_rpm_per_v=4100.0)
    bench.run("Heron", "2026-05-17T18:45", timing_mark_deg=55.0, test_voltage_v=3.7, kv_rpm_per_v=9000.0, build_id="x")
    (sweep,) = found(bench)
    assert len(sweep.points) == 4


def test_a_sweep_of_current_alone():
    bench = Bench()
    bench.motor("Heron")
    for mark, (_, current) in MARKS.items():
        bench.run("Heron", f"2026-05-17T18:{mark:02.0f}", timing_mark_deg=mark, no_load_current_a=current)
    (sweep,) = found(bench)
    assert (sweep.kv, sweep.best_mark_deg) == (None, None)
    assert slope_words(sweep)[0].startswith("One degree more: current +0.113,")
    assert "no run has both KV and current" in words(sweep)[0]
