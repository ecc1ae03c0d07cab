"""One comparison asked often: weights tried out, a run left out, the learned warmth slope, two test voltages."""

import pytest

from pitbench.desk.comparing.ranking import compare, rank
from tests.unit.desk.bench_side import USUAL, Bench, two_motors


def test_one_comparison_answers_like_a_ranking_made_for_it():
    bench = two_motors()
    compared = compare(bench.logbook.snapshot(), None, "heat")
    assert compared.answer() == rank(bench.logbook.snapshot(), None, "heat")
    tried = compared.answer({"kv_rpm_per_v": 2.0}, {"load_power_w": 1.0, "kv_rpm_per_v": 0.0})
    assert tried.figures["kv_rpm_per_v"].weight == 2.0 and tried.figures["load_power_w"].margin == 1.0
    assert tried.figures["kv_rpm_per_v"].margin == 0.25  # a margin of nothing is none
    assert [motor.figures for motor in tried.motors if motor.motor == "Heron"] == [
        motor.figures for motor in compared.answer().motors if motor.motor == "Heron"
    ]


def test_order_with_every_weight_halved_and_doubled():
    """Heron has 3 % more KV, Plover 30 % less current: each weight carries its own motor to the top."""
    bench = Bench()
    for name, kv, current in (("Heron", 4000.0, 4.4), ("Plover", 3880.0, 3.1)):
        for minute in range(5):
            read = {"kv_rpm_per_v": kv, "no_load_current_a": current}
            bench.run(name, f"2026-04-11T18:{minute:02d}", **(USUAL | read))
    compared = compare(bench.logbook.snapshot(), None, "heat")
    weights = {"load_power_w": 0.0, "kv_rpm_per_v": 1.0, "no_load_current_a": 1.0}
    orders = compared.weights_order(weights)
    assert set(orders) == {"kv_rpm_per_v", "no_load_current_a"}
    for figure, changed in orders.items():
        for factor, order in ((0.5, changed.halved), (2.0, changed.doubled)):
            answer = compared.answer(weights | {figure: factor})
            assert order == [motor.motor for motor in answer.motors]
    assert (orders["kv_rpm_per_v"].halved[0], orders["kv_rpm_per_v"].doubled[0]) == ("Plover", "Heron")


def test_leaving_a_run_out_is_what_excluding_it_would_do():
    bench = two_motors()
    odd = bench.run("Heron", "2026-04-11T19:10", **(USUAL | {"kv_rpm_per_v": 4100.0}))
    tried = compare(bench.logbook.snapshot(), leave_out={odd.id}).answer()
    assert tried == rank(two_motors().logbook.snapshot())
    assert tried != rank(bench.logbook.snapshot())
    bench.logbook.save("left out", [odd.model_copy(update={"excluded_why": "loose lead"})])
    assert rank(bench.logbook.snapshot()) == tried
    bench.logbook.save("back in", [odd])
    assert rank(bench.logbook.snapshot()) != tried


def test_the_warmth_slope_is_the_one_the_ranking_learned():
    bench = Bench()
    for name in ("Heron", "Plover"):
        for i in range(8):
            warm = {"motor_temp_c": 25.0 + 4 * i, "kv_rpm_per_v": 3920.0 * (1 + 0.0011 * 4 * i)}
            bench.run(name, f"2026-04-11T18:{5 * i:02d}", **(USUAL | warm))
    found = compare(bench.logbook.snapshot(), "club 13.5T")
    slope, sd = found.drawn.warmth_slope
    assert slope == found.warmth_slope == pytest.approx(0.11, abs=0.02) and sd < 0.02


def test_without_any_temperature_or_motor_there_is_no_slope():
    bench = Bench()
    for name in ("Heron", "Plover"):
        bench.run(name, "2026-04-11T18:00", **{name: value for name, value in USUAL.items() if name != "motor_temp_c"})
    assert compare(bench.logbook.snapshot()).warmth_slope is None
    nobody = compare(Bench().logbook.snapshot())
    assert nobody.warmth_slope is None and nobody.answer().leader is None and nobody.weights_order() == {}


def test_currents_at_two_voltages_teach_how_losses_grow():
    """A current that hardly grows from one cell to two: hardly any of the loss grows with speed."""
    bench = two_motors()
    plain = compare(bench.logbook.snapshot(), None, "heat").drawn.asked.load.loss_share
    for name in ("Heron", "Plover"):
        more = {"test_voltage_v": 7.4, "no_load_current_a": 4.4, "resistance_mohm": None}
        bench.run(name, "2026-04-11T20:00", **(USUAL | more))
    drawn = compare(bench.logbook.snapshot(), None, "heat").drawn
    assert plain == (0.6, 0.15)
    assert drawn.asked.load.loss_share[0] < 0.35 and drawn.asked.load.loss_share[1] < 0.1
    assert drawn.asked.load.test_voltage == 3.7
