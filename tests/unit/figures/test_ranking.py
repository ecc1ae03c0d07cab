"""The ranking as a whole, on comparisons made of numbers: who leads, how sure, and what the user's weights do."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.figures import comparison
from pitbench.figures.comparison import Comparison, Readings, draw
from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import CURRENT, GOALS, KV, MEASURED, RESISTANCE
from pitbench.figures.load_power import Load
from pitbench.figures.ranking import rank
from tests.unit.figures.made import only

SIGMA = {KV: 0.002, CURRENT: 0.01, RESISTANCE: 0.01}


def compared(motors, runs=2, *, gearing="free", seed=0, noise=1.0, resistance=True, sessions=1):
    """Motors as (KV, current, mΩ), each run `runs` times, in turn over `sessions`."""
    rng = np.random.default_rng(seed)
    rows = [(motor, run) for motor in range(len(motors)) for run in range(runs)]
    n = len(rows)
    conditions = RunConditions(
        motor=[motor for motor, _ in rows],
        session=[run % sessions for _, run in rows],
        run_number=[run // sessions for _, run in rows],
        motor_temp=[27.0 + run // sessions for _, run in rows],
        ambient=[22.0] * n,
        timing=[42.0] * n,
        timing_mark=[35.0] * n,
    )
    names = (KV, CURRENT, RESISTANCE) if resistance else (KV, CURRENT)
    readings = {
        name: Readings.of(
            [
                (m, run % sessions, float(motors[m][which] * np.exp(noise * SIGMA[name] * rng.normal())), 1.0, i)
                for i, (m, run) in enumerate(rows)
            ]
        )
        for which, name in enumerate(names)
    }
    return Comparison(len(motors), conditions, readings, Load(gearing, 7.6, 0.02, 3.7), turns=13.5)


ALIKE = [(3920.0, 4.0, 11.5)] * 2
BETTER = [(3920.0, 4.0, 11.5), (3930.0, 3.9, 9.5)]


@pytest.mark.parametrize("runs", [2, 5, 30])
@pytest.mark.parametrize("gearing", ["free", "capped", "unknown"])
def test_identical_motors_are_never_clear(runs, gearing):
    verdicts = [rank(draw(compared(ALIKE, runs, gearing=gearing, seed=s), n_draws=1000)).verdict for s in range(8)]
    assert "clear" not in verdicts


@pytest.mark.parametrize("gearing", ["free", "capped"])
def test_a_motor_with_much_less_resistance_is_clear_once_it_was_clamped_again(gearing):
    assert rank(draw(compared(BETTER, 6, gearing=gearing))).verdict != "clear"  # the clips may have sat badly
    found = rank(draw(compared(BETTER, 6, gearing=gearing, sessions=2)))
    assert (found.verdict, found.motors[0].motor, found.settle.why) == ("clear", 1, "done")
    assert found.motors[0].chance_best > 0.95 and found.lead.mean > 2
    assert [placed.group for placed in found.motors] == ["a", "b"]
    assert found.would_tell_most is None


def test_twelve_rpm_per_volt_and_a_tenth_of_an_amp_settle_nothing():
    motors = [(3920.0, 4.0, 11.5), (3932.0, 4.1, 11.5)]
    for gearing in ("free", "capped", "unknown"):
        assert rank(draw(compared(motors, noise=0.3, gearing=gearing))).verdict == "open"


def test_scores_are_differences_from_the_mean_and_places_follow_them():
    motors = [(3900.0 + 10 * i, 4.0 + 0.1 * i, 11.0 + 0.3 * i) for i in range(5)]
    found = rank(draw(compared(motors, 3)))
    scores = [placed.score.mean for placed in found.motors]
    assert sum(scores) == pytest.approx(0, abs=1e-9)
    assert scores == sorted(scores, reverse=True)
    assert [placed.place for placed in found.motors] == [1, 2, 3, 4, 5]
    assert sum(placed.chance_best for placed in found.motors) == pytest.approx(1)
    for placed in found.motors:
        ends = (placed.score.low90, placed.low50, placed.score.mean, placed.high50, placed.score.high90)
        assert list(ends) == sorted(ends)


def test_figures_come_back_in_their_units_with_the_runs_they_stand_on():
    placed = rank(draw(compared(BETTER, 40, noise=0.5, sessions=4))).motors[0]
    assert placed.motor == 1
    assert placed.figures[KV].mean == pytest.approx(3930 * np.exp(-0.0007 * 7), rel=0.006)
    assert placed.figures[CURRENT].mean == pytest.approx(3.9, rel=0.02)
    assert placed.figures[RESISTANCE].mean == pytest.approx(9.5, rel=0.02)
    for name in (KV, CURRENT, RESISTANCE, "speed_per_amp", "load_power_w"):
        figure = placed.figures[name]
        assert figure.low90 < figure.mean < figure.high90 and placed.runs[name] == 40
    assert placed.figures["track_pace_s"] is None and placed.runs["track_pace_s"] == 0


def test_what_nobody_measured_is_never_shown():
    found = rank(draw(compared(ALIKE, 2, resistance=False)))
    for placed in found.motors:
        assert placed.figures[RESISTANCE] is None and placed.runs[RESISTANCE] == 0
        assert placed.figures["load_power_w"] is None
        assert placed.figures["sensor_spread_deg"] is None
    assert found.repeatability[RESISTANCE] is None


def test_without_resistance_the_chance_stays_near_even_and_resistance_would_tell_most():
    found = rank(draw(compared(BETTER, 6, resistance=False)))
    assert found.verdict == "open"
    assert found.would_tell_most.figure == RESISTANCE and not found.would_tell_most.measured_before
    assert found.would_tell_most.chance_expected > found.would_tell_most.chance_now + 0.05


def test_the_reading_that_would_tell_most_is_of_the_motor_without_one():
    motors = [(3920.0, 4.0, 11.5), (3925.0, 3.98, 11.4), (3922.0, 4.0, 11.5)]
    full = compared(motors, 8, sessions=2)
    found = rank(draw(only(full, RESISTANCE, full.of(RESISTANCE).motor != 2)))
    assert (found.would_tell_most.motor, found.would_tell_most.figure) == (2, RESISTANCE)


def test_repeats_show_the_repeatability_in_the_figure_s_unit():
    found = rank(draw(compared(ALIKE, 100, sessions=2)))
    assert found.repeatability[KV] == pytest.approx(3920 * 0.002, rel=0.15)
    assert found.repeatability[CURRENT] == pytest.approx(0.04, rel=0.15)
    assert found.repeatability["speed_per_amp"] == pytest.approx(980 * np.hypot(0.002, 0.01), rel=0.15)
    assert rank(draw(compared(ALIKE, 1))).repeatability[KV] is None


def test_runs_fast_and_thirsty_together_make_speed_per_amp_more_repeatable():
    comparison = compared(ALIKE, 40, sessions=2)
    kv = replace(comparison.of(KV), value=3920 * (1 + 0.2 * (comparison.of(CURRENT).value / 4.0 - 1)))
    together = rank(draw(replace(comparison, readings={**comparison.readings, KV: kv}))).repeatability
    assert together["speed_per_amp"] == pytest.approx(980 * 0.8 * 0.01, rel=0.2)  # r = 1: 1 % less 0.2 %


def test_better_on_the_bench_is_speed_per_amp_alone():
    found = rank(draw(compared([(3900.0, 4.4, 9.5), (3950.0, 3.8, 12.0)], 6)))
    assert found.motors[0].motor == 0
    leader, chance = found.bench_leader
    assert leader == 1 and chance > 0.95


def test_a_weight_is_worth_half_a_percent_for_every_margin():
    drawn = draw(compared([(3920.0, 4.0, 11.5), (3920.0 * 1.01, 4.0, 11.5)], 50, noise=0.1, sessions=5))
    plain, weighted = rank(drawn), rank(drawn, {KV: 2.0})
    kv = {placed.motor: placed.figures[KV].mean for placed in plain.motors}
    mean = sum(kv.values()) / 2
    before = {placed.motor: placed.score.mean for placed in plain.motors}
    for placed in weighted.motors:
        gained = placed.score.mean - before[placed.motor]
        assert gained == pytest.approx(2.0 * 0.5 * 100 * (kv[placed.motor] / mean - 1) / 0.25, rel=0.02)
    wider = rank(drawn, {KV: 2.0}, {KV: 0.5})
    assert wider.lead.mean - plain.lead.mean == pytest.approx((weighted.lead.mean - plain.lead.mean) / 2, rel=0.02)


def test_weight_on_a_figure_nobody_measured_changes_nothing():
    drawn = draw(compared(BETTER, 2))
    weights = {"track_pace_s": 3.0, "finish_temp_c": 1.0, "pole_imbalance_pct": 5.0}
    assert rank(drawn, weights).motors == rank(drawn).motors


def test_the_margin_decides_between_clear_and_leaning():
    drawn = draw(compared(BETTER, 6, sessions=2))
    assert rank(drawn).verdict == "clear"
    assert rank(drawn, margins={"load_power_w": 50.0}).verdict == "leaning"


def test_a_lead_inside_the_user_s_margin_nine_times_in_ten_is_too_close():
    """What can be measured of the lead is its least-squares fit on the differences of the figures, here worked out from
    the draws; its 90 % point is the margin from which on it is too close."""
    drawn = draw(compared([(3920.0, 4.0, 11.5), (3921.0, 4.0, 11.5)], 6))
    one, other = (placed.motor for placed in rank(drawn).motors)
    watts = drawn.power.watts
    lead = 100 * (watts[:, one] - watts[:, other]) / watts.mean(axis=1)
    figures = [np.log(drawn.values[name][:, one] / drawn.values[name][:, other]) for name in SIGMA]
    columns = np.column_stack([np.ones(lead.size), *figures])
    inside = np.quantile(np.abs(columns @ np.linalg.lstsq(columns, lead, rcond=None)[0]), 0.90)
    narrower, wider = (rank(drawn, margins={"load_power_w": part * inside}).settle.why for part in (0.98, 1.02))
    assert narrower != "too_close" == wider


def test_kv_read_without_a_thermometer_counts_less_and_nothing_else_does(monkeypatch):
    """Variances add: 0.2 % of a reading, and 0.07 % a kelvin of the 4 K that a filled-in temperature is doubted by."""
    asked = compared(ALIKE, 2)
    half = replace(asked, runs=replace(asked.runs, motor_temp=[27.0, 28.0, None, None]))
    seen, original = [], comparison.estimates

    def noted(layouts, priors, **more):
        seen.extend(layouts)
        return original(layouts, priors, **more)

    monkeypatch.setattr(comparison, "estimates", noted)
    draw(half)
    weights = [layout.weight.tolist() for layout in seen if layout.value.size]
    assert weights[0] == pytest.approx([1, 1] + 2 * [0.2**2 / (0.2**2 + (0.07 * 4) ** 2)])
    assert weights[1:] == [[1] * 4, [1] * 4]


def test_one_motor_has_a_place_but_no_verdict():
    found = rank(draw(compared([(3920.0, 4.0, 11.5)], 2)))
    assert (found.verdict, found.lead, found.settle, found.bench_leader) == (None, None, None, None)
    assert found.motors[0].chance_best == 1 and found.motors[0].score.mean == 0


def test_a_run_far_off_is_flagged_for_its_motor():
    comparison = compared(ALIKE, 5)
    kv = replace(comparison.of(KV), value=comparison.of(KV).value * np.where(np.arange(10) == 7, 1.05, 1.0))
    found = rank(draw(replace(comparison, readings={**comparison.readings, KV: kv})))
    assert {placed.motor: placed.does_not_fit for placed in found.motors} == {0: False, 1: True}


def test_the_same_comparison_gives_the_same_numbers():
    comparison = compared(BETTER, 3)
    assert rank(draw(comparison)) == rank(draw(comparison))


@settings(max_examples=25)
@given(st.data())
def test_whatever_is_missing_every_number_is_finite(data):
    """Motors with any of their figures left out, down to a lone Hall level spread."""
    n = data.draw(st.integers(1, 4))
    rows = [(m, name) for m in range(n) for name in data.draw(st.sets(st.sampled_from(sorted(MEASURED)), min_size=1))]
    value = {KV: 3900.0, CURRENT: 4.0, RESISTANCE: 11.5}
    readings = {
        name: Readings.of([(m, 0, value.get(name, 1.0) * (1 + 0.01 * m), 1.0, m) for m, which in rows if which == name])
        for name in MEASURED
    }
    unknown = [None] * n
    conditions = RunConditions(list(range(n)), [0] * n, [0] * n, unknown, unknown, unknown, unknown)
    gearing = data.draw(st.sampled_from(["free", "capped", "unknown"]))
    found = rank(draw(Comparison(n, conditions, readings, Load(gearing, 7.6, 0.02, None)), n_draws=400))
    assert len(found.motors) == n
    for placed in found.motors:
        assert np.isfinite([placed.score.mean, placed.score.low90, placed.score.high90, placed.chance_best]).all()
        for name in GOALS:
            known = name in MEASURED and (placed.motor, name) in rows
            if name in MEASURED:
                assert (placed.figures[name] is not None) == known == (placed.runs[name] > 0)
