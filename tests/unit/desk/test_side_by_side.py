"""Motors side by side: the numbers of the ranking, every figure listed, and names that cannot stand side by side."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import plain
from pitbench.desk.comparing.ranking import compare, rank
from pitbench.desk.comparing.side_by_side import COMPARED, side_by_side
from pitbench.records.models import ClassSheet, Motor, SetupEntry
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import FIGURES
from pitbench.records.units import Units
from pitbench.words.side_by_side import page, title
from tests.unit.desk.bench_side import USUAL, Bench, two_motors

NOTHING = {"mean": None, "low90": None, "high90": None, "runs": 0}


def three(**resting):
    """Heron is faster and thirstier than Plover; Siskin is like Heron, a little uneven."""
    bench = two_motors(faster_by=-40.0, thirstier_by=-0.4)
    bench.motor("Siskin", **resting)
    for minute in (20, 35):
        bench.run("Siskin", f"2026-04-11T19:{minute}", **(USUAL | {"pole_imbalance_pct": 4.0}))
    return bench


def test_figures_are_those_of_the_ranking_to_the_last_digit():
    snapshot = three().logbook.snapshot()
    ranked = rank(snapshot)
    of_rank = {motor.motor: motor.figures for motor in ranked.motors}
    found = side_by_side(snapshot, ["siskin", "HERON"])
    assert found.answer.motors == ["Siskin", "Heron"] and found.answer.basis == ranked.basis
    for name in FIGURES:
        assert found.answer.figures[name].values == [of_rank["Siskin"][name], of_rank["Heron"][name]]
    score = {motor.motor: (motor.score_pct, motor.score_low90, motor.score_high90) for motor in ranked.motors}
    shown = [(each.mean, each.low90, each.high90) for each in found.power_pct.values]
    assert shown == [pytest.approx(score["Siskin"]), pytest.approx(score["Heron"])]


def test_every_figure_is_listed_and_the_other_way_round_turns_the_sign():
    snapshot = three().logbook.snapshot()
    one, other = (side_by_side(snapshot, names).answer for names in (["Heron", "Plover"], ["Plover", "Heron"]))
    assert set(one.figures) == {*FIGURES, "timing_deg"} == set(COMPARED)
    for name in ("kv_rpm_per_v", "no_load_current_a", "pole_imbalance_pct", "load_power_w"):
        (ahead,), (back,) = one.figures[name].differences, other.figures[name].differences
        assert (ahead.mean, ahead.low90) == pytest.approx((-back.mean, -back.high90))
        assert (ahead.better, ahead.chance) == (back.better, pytest.approx(back.chance))
    assert one.figures["kv_rpm_per_v"].differences[0].better == "Heron"
    assert one.figures["no_load_current_a"].differences[0].better == "Plover"  # less is better


def test_what_was_never_read_is_unknown_and_timing_has_no_better_side():
    bench = three()
    less = {name: value for name, value in USUAL.items() if "resistance" not in name}
    bench.run("Dunlin", "2026-04-11T19:50", **less)
    printed = plain(side_by_side(bench.logbook.snapshot(), ["Heron", "Dunlin"]).answer)
    winding = printed["figures"]["resistance_mohm"]
    assert winding["values"][1] == NOTHING == printed["figures"]["track_pace_s"]["values"][0]
    assert winding["differences"] == [
        {"of": ["Heron", "Dunlin"], "mean": None, "low90": None, "high90": None, "better": None, "chance": None}
    ]
    (timing,) = printed["figures"]["timing_deg"]["differences"]
    assert timing["better"] is timing["chance"] is None and timing["low90"] < timing["mean"] < timing["high90"]
    assert set(printed["basis"]) == set(plain(rank(bench.logbook.snapshot()))["basis"])


def test_four_motors_are_six_differences_in_their_order():
    bench = three()
    bench.run("Dunlin", "2026-04-11T19:50", **USUAL)
    names = ["Dunlin", "Heron", "Siskin", "Plover"]
    found = side_by_side(bench.logbook.snapshot(), names).answer
    pairs = [each.of for each in found.figures["kv_rpm_per_v"].differences]
    assert pairs == [(one, two) for at, one in enumerate(names) for two in names[at + 1 :]]


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["Heron"], "1 motor named to stand side by side; two to four would be right."),
        ([], "0 motors named to stand side by side; two to four would be right."),
        (["Heron", "Plover", "Siskin", "Ruff", "Knot"], "5 motors named to stand side by side; two to four"),
        (["Heron", "heron"], "Heron is named twice; another motor to stand beside it would be right."),
        (["Heron", "Sisken"], "did you mean Siskin?"),
        (["Heron", "Ruff"], "Heron is in club 13.5T and Ruff is in club 21.5T; motors of one class would be right."),
        (["Heron", "Knot"], "Heron is in club 13.5T and Knot is in no class; motors of one class would be right."),
    ],
)
def test_what_cannot_stand_side_by_side_is_one_sentence(names, said):
    bench = three()
    other = ClassSheet(name="club 21.5T")
    bench.logbook.save("others", [other, Motor(name="Ruff", class_id=other.id), Motor(name="Knot")])
    with pytest.raises(Refusal, match=re.escape(said)) as refused:
        side_by_side(bench.logbook.snapshot(), names)
    assert refused.value.status == 2


def test_a_class_that_is_named_has_to_be_theirs():
    bench = three()
    bench.logbook.save("other", [ClassSheet(name="club 21.5T")])
    snapshot = bench.logbook.snapshot()
    assert side_by_side(snapshot, ["Heron", "Plover"], "CLUB 13.5t").class_ == "club 13.5T"
    with pytest.raises(Refusal, match=r"Heron and Plover are in club 13\.5T, not in club 21\.5T"):
        side_by_side(snapshot, ["Heron", "Plover"], "club 21.5T")
    with pytest.raises(Refusal, match="There is no class spec"):
        side_by_side(snapshot, ["Heron", "Plover"], "spec")


def test_a_motor_without_a_run_stands_there_with_nothing_known():
    bench = three()
    bench.motor("Dunlin")
    found = side_by_side(bench.logbook.snapshot(), ["Heron", "Dunlin"])
    assert found.why_not == {"Dunlin": "no_run"}
    assert all(each.values[1].mean is None and each.values[1].runs == 0 for each in found.answer.figures.values())
    alone = Bench()
    alone.motor("Heron"), alone.motor("Plover")
    nothing = side_by_side(alone.logbook.snapshot(), ["Heron", "Plover"]).answer
    assert nothing.basis.timing_deg is None
    assert all(value.mean is None for each in nothing.figures.values() for value in each.values)


@pytest.mark.parametrize("resting", [{"in_use": False}, {"owner": "Kim"}])
def test_a_motor_the_ranking_leaves_out_is_taken_in(resting):
    snapshot = three(**resting).logbook.snapshot()
    assert {motor.motor for motor in rank(snapshot).motors} == {"Heron", "Plover"}
    found = side_by_side(snapshot, ["Heron", "Siskin"])
    assert found.guests == ["Siskin"] and found.answer.figures["pole_imbalance_pct"].differences[0].better == "Heron"
    assert side_by_side(snapshot, ["Heron", "Plover"]).guests == []


def test_timing_is_what_a_motor_was_last_set_to():
    """A sweep: the reading at its last mark tells, those before it do not. The mood of its evening stays a doubt."""
    bench = two_motors()
    for nth, mark in enumerate((30, 33, 36, 39)):
        degrees = {f"timing_{each}_deg": mark + 7.0 for each in "abc"} | {"timing_deg": mark + 7.0}
        bench.run("Heron", f"2026-04-12T18:{10 * nth:02d}", **(USUAL | degrees | {"timing_mark_deg": mark}))
    found = side_by_side(bench.logbook.snapshot(), ["Heron", "Plover"]).answer.figures["timing_deg"]
    assert found.values[0].mean == pytest.approx(46.0, abs=0.2) and found.values[0].runs == 1
    assert found.values[1].mean == pytest.approx(42.0, abs=0.1) and found.values[1].runs == 2


def test_runs_are_told_as_read_and_as_they_compare():
    """Of one evening and one timing: what differs from reading to comparing is warmth alone."""
    bench = three()
    found = side_by_side(bench.logbook.snapshot(), ["Heron", "Plover"])
    runs = found.runs["kv_rpm_per_v"]
    assert [run.read for run in runs["Heron"]] == [3918.0, 3922.0]
    slope = compare(bench.logbook.snapshot()).warmth_slope
    cold = [run.read * (1 - slope / 100 * 3.0) for run in runs["Heron"]]  # measured 3 K above 25 °C
    assert [run.compared for run in runs["Heron"]] == pytest.approx(cold, rel=4e-4)
    per_amp = found.runs["speed_per_amp"]["Plover"][0]
    assert per_amp.read == pytest.approx(runs["Plover"][0].read / found.runs["no_load_current_a"]["Plover"][0].read)
    assert [run.read for run in found.runs["timing_deg"]["Heron"]] == [pytest.approx(42.0)] * 2
    assert [run.at for run in runs["Plover"]] == sorted(run.at for run in runs["Plover"])


def test_the_mood_of_an_evening_is_taken_out_of_its_runs():
    """All motors read 2 % more current on the second evening; as they compare, each reads the same on both."""
    bench = Bench()
    for name, current in (("Heron", 4.0), ("Plover", 3.9), ("Siskin", 4.1), ("Dunlin", 3.8)):
        for day, mood in ((11, 1.0), (18, 1.02)):
            for minute in (0, 30):
                read = {"no_load_current_a": current * mood}
                bench.run(name, f"2026-04-{day}T18:{minute + int(10 * current) % 20:02d}", **(USUAL | read))
    runs = side_by_side(bench.logbook.snapshot(), ["Heron", "Plover"]).runs["no_load_current_a"]["Heron"]
    assert [run.read for run in runs] == [4.0, 4.0, 4.08, 4.08]
    assert max(run.compared for run in runs) / min(run.compared for run in runs) < 1.004


def test_work_on_a_motor_begins_a_state_and_runs_before_it_are_brought_to_it():
    bench = two_motors()
    work = SetupEntry(written_at="2026-04-12T09:00", what="bearings", now="cleaned", motor_id=bench.motors["Heron"].id)
    bench.logbook.save("work", [work])
    for minute in (0, 20):
        bench.run("Heron", f"2026-04-12T18:{minute:02d}", **(USUAL | {"no_load_current_a": 3.5}))
        bench.run("Plover", f"2026-04-12T18:{minute + 10}", **(USUAL | {"no_load_current_a": 4.1}))
    found = side_by_side(bench.logbook.snapshot(), ["Heron", "Plover"])
    assert found.since["Heron"]["what"] == "bearings" and "Plover" not in found.since
    current = found.answer.figures["no_load_current_a"]
    assert current.values[0].mean == pytest.approx(3.5, abs=0.1) and current.differences[0].better == "Heron"
    before, *_, after = found.runs["no_load_current_a"]["Heron"]
    assert before.read - after.read > 0.45 and abs(before.compared - after.compared) < 0.2


NAMES = ("Dunlin", "Heron", "Plover", "Siskin")
OPTIONAL = tuple(name for name in USUAL if name not in ("tester", "kv_rpm_per_v"))
RUNS = st.lists(
    st.tuples(
        st.integers(0, 3), st.integers(0, 3), st.sets(st.sampled_from(OPTIONAL), max_size=6), st.floats(0.97, 1.03)
    ),
    min_size=1,
    max_size=9,
)


@settings(max_examples=12, deadline=None)
@given(RUNS, st.permutations(NAMES), st.integers(2, 4), st.sets(st.integers(0, 9), max_size=2), st.booleans())
def test_whatever_was_run_it_is_finite_and_the_ranking_says_the_same(runs, order, count, work, resting):
    bench = Bench()
    for name in NAMES:
        bench.motor(name, **({"in_use": False} if resting and name == "Siskin" else {}))
    for nth, (motor, evening, left, times) in enumerate(runs):
        read = {name: value for name, value in USUAL.items() if name not in left}
        read["kv_rpm_per_v"] *= times
        at = f"2026-04-{4 + 7 * evening:02d}T1{nth}:00"
        bench.run(NAMES[motor], at, **read)
        if nth in work:
            done = SetupEntry(written_at=at, what="bearings", now="oiled", motor_id=bench.motors[NAMES[motor]].id)
            bench.logbook.save("work", [done])
    snapshot, names = bench.logbook.snapshot(), list(order[:count])
    found, ranked = side_by_side(snapshot, names), {motor.motor: motor for motor in rank(snapshot).motors}
    json.dumps(plain(found.answer), allow_nan=False)
    for name, figure in found.answer.figures.items():
        for motor, value in zip(names, figure.values, strict=True):
            assert (value.mean is None) == (value.runs == 0) or name == "load_power_w"
            if motor in ranked and name in FIGURES and not found.guests:
                assert value == ranked[motor].figures[name]
        for each in figure.differences:
            one, other = (figure.values[names.index(motor)].mean for motor in each.of)
            assert (each.mean is None) == (one is None or other is None)
            if each.mean is not None:
                assert each.mean == pytest.approx(one - other, abs=1e-6 * abs(one)) and each.low90 <= each.high90
                assert each.chance is None or 0.5 <= each.chance <= 1
                assert (each.better is not None) == (each.chance is not None and each.chance >= 0.9)
    assert len(page(found, Units())) > len(COMPARED) and title(found)[0].endswith((".", "%"))
