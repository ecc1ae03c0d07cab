"""Numbers that wait for an answer: which do, that no figure knows them, and how they are answered."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answered import answered, count_of, counting, waiting
from pitbench.desk.bench.tester import recent_bench
from pitbench.desk.comparing.pace import pace_of
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.bench_entry import edit_entry, save_run
from pitbench.desk.entry.bench_side import side_of
from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.lists.motors import motor_lines
from pitbench.records.models import BenchRun
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook
from tests.unit.desk.bench_side import USUAL, Bench, two_motors
from tests.unit.desk.by_hand import NOW
from tests.unit.desk.race_days import RaceDays
from tests.unit.desk.test_load import DAY, counts, put, suspects

MOTORS = "motor,class\nHeron,club\nPlover,club\nWhio,club\n"
HEAD = "motor,taken_at,test_voltage_v,kv_rpm_per_v,no_load_current_a,timing_c_deg,timing_mark_deg\n"
LINES = [
    *(f"Heron,2026-05-01 10:{at:02d},3.7,{3946 + at},4.1{at},42.{at},35" for at in range(4)),
    *(f"Plover,2026-05-01 11:{at:02d},3.7,{3921 + at},4.0{at},42.{at},35" for at in range(4)),
    *(f"Whio,2026-05-01 12:{at:02d},3.7,{3930 + at},4.0{at},42.{at},35" for at in range(4)),
]
BENCH = HEAD + "\n".join(LINES) + "\n"


@pytest.fixture
def logbook():
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        yield logbook


def waits(logbook, kind="bench_run"):
    """Numbers that wait, by column and value."""
    return sorted((name, row[name]) for row in logbook.rows(kind) for name in row.get("waits", ()))


# which do


@pytest.mark.parametrize(
    ("typed", "wrong", "column", "value"),
    [
        ("3923", "39230", "kv_rpm_per_v", 39230.0),  # outside its likely range
        ("3923", "3293", "kv_rpm_per_v", 3293.0),  # 17 % off its own three others, where about 3.6 % is far
        ("4.02", "2.04", "no_load_current_a", 2.04),  # half of its own others, where about 16 % is far
        ("42.2", "24.2", "timing_c_deg", 24.2),  # 18° off at one mark, where about 5° is far
    ],
)
def test_a_number_far_off_its_own_motor_waits_in_whatever_order_rows_come(logbook, typed, wrong, column, value):
    lines = [line.replace(typed, wrong) if line.startswith("Plover,2026-05-01 11:02") else line for line in LINES]
    for seed in range(6):
        random.Random(seed).shuffle(lines)
        with Logbook.in_memory(lambda: DAY.now) as logbook:
            loaded = put(logbook, MOTORS, HEAD + "\n".join(lines) + "\n")
            assert waits(logbook) == [(column, value)]
            assert [name for _, name, _ in suspects(loaded)] == [column]


def plover(*speeds):
    return [f"Plover,2026-05-01 11:{at:02d},3.7,{kv:.1f},,," for at, kv in enumerate(speeds)]


@given(st.integers(0, 5), st.integers(1, 5))
def test_it_waits_only_where_most_others_say_something_else(agree, others):
    """Nobody can tell which of two is wrong, nor which half of a motor's runs."""
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        put(
            logbook,
            MOTORS,
            HEAD + "\n".join(plover(*[3921 + at for at in range(others)], *[4400] * agree, 4400)) + "\n",
        )
        found = waits(logbook)
        assert (("kv_rpm_per_v", 4400.0) in found) == (others > agree + 1)
        assert (("kv_rpm_per_v", 3921.0) in found) == (agree + 1 > others)


def test_before_there_are_two_others_the_class_says_what_is_far(logbook):
    """A motor of a class of three lies 2.5 % off at one sd, so one at 3921·0.75 is far off."""
    others = [line for line in LINES if not line.startswith("Plover")]
    put(logbook, MOTORS, HEAD + "\n".join([*others, "Plover,2026-05-01 12:00,3.7,2941,4.0,,35"]) + "\n")
    assert waits(logbook) == [("kv_rpm_per_v", 2941.0)]
    with Logbook.in_memory(lambda: DAY.now) as alone:
        put(alone, MOTORS, HEAD + "\n".join([*others[:4], "Plover,2026-05-01 12:00,3.7,2941,4.0,,35"]) + "\n")
        assert not waits(alone), "of two motors that differ nobody can tell which is wrong"


def test_motors_of_no_class_or_other_turns_or_at_another_mark_are_not_held_against_one_another(logbook):
    others = [line for line in LINES if not line.startswith("Plover")]
    odd = "Plover,2026-05-01 12:00,3.7,2500,4.0,,"
    put(logbook, HEAD + "\n".join([*others, odd + "35"]) + "\n")
    assert not waits(logbook)
    with Logbook.in_memory(lambda: DAY.now) as classed:
        put(classed, MOTORS, HEAD + "\n".join([*others, odd + "50"]) + "\n")
        assert not waits(classed)


def test_a_motor_that_changed_by_half_its_runs_lets_none_wait(logbook):
    """Nobody can tell which half is wrong."""
    lines = [f"Plover,2026-05-01 11:0{at},3.7,{3921 if at < 3 else 4300},,," for at in range(6)]
    put(logbook, MOTORS, HEAD + "\n".join(lines) + "\n")
    assert not waits(logbook)


def test_a_sheet_that_names_its_column_as_kept_lets_it_count_and_those_near_it(logbook):
    head, first, *rest = BENCH.replace("3922", "39220").splitlines()
    sheet = "\n".join(
        [f"{head},kept", f"{first},", *(f"{line}{',kv_rpm_per_v' if '39220' in line else ','}" for line in rest)]
    )
    put(logbook, MOTORS, sheet + "\n")
    assert not waits(logbook)
    assert [row["kept"] for row in logbook.rows("bench_run") if "kept" in row] == [["kv_rpm_per_v"]]
    put(logbook, HEAD + "Plover,2026-05-02 11:02,3.7,39300,,,35\n")
    assert not waits(logbook)


def test_the_same_sheet_again_adds_nothing_and_replacing_it_corrects(logbook):
    wrong = BENCH.replace("3922", "39220")
    put(logbook, MOTORS, wrong)
    assert counts(put(logbook, wrong)) == {"same": 12}
    put(logbook, BENCH, replace=True)
    assert not waits(logbook)


def test_other_records_wait_outside_their_likely_range(logbook):
    put(
        logbook,
        "motor,resistance_mohm\nHeron,1150\n",
        "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-01 10:00,3950\n",
        "motor,started_at,laps,run_time_s,ambient_c,finish_reading_c\nHeron,2026-05-01 11:00,22,300,20,165\n",
        "motor,started_at,after_s,temp_c\nHeron,2026-05-01 11:00,90,150\n",
    )
    assert [waits(logbook, kind) for kind in ("motor", "track_run", "cooling")] == [
        [("resistance_mohm", 1150.0)],
        [("finish_reading_c", 165.0)],
        [("temp_c", 150.0)],
    ]
    assert count_of(logbook.snapshot()) == 3
    assert next(kind for kind, _ in waiting(logbook.snapshot())) == "track_run"


# in no figure


def test_a_row_without_what_waits_and_one_that_tells_nothing_without_it():
    run = {"taken_at": "2026-05-01", "motor_id": "m", "kv_rpm_per_v": 39210.0, "waits": ["kv_rpm_per_v", "motor_id"]}
    assert answered(run) == {name: run[name] for name in ("taken_at", "motor_id", "waits")}
    assert [*counting([run])] == [] and [*counting([{**run, "no_load_current_a": 4.0}])] != []
    reading = {"track_run_id": "r", "after_s": 60.0, "temp_c": 150.0}
    assert [*counting([reading])] == [reading] and [*counting([{**reading, "waits": ["temp_c"]}])] == []


FIGURES = ("kv_rpm_per_v", "no_load_current_a", "resistance_mohm", "pole_imbalance_pct", "timing_a_deg", "motor_temp_c")
WILD = {"kv_rpm_per_v": 39210.0, "no_load_current_a": 41.0, "resistance_mohm": 1150.0, "pole_imbalance_pct": 21.0}
WILD |= {"timing_a_deg": 4.2, "motor_temp_c": 120.0, "test_voltage_v": 37.0, "resistance_temp_c": 150.0}


@settings(max_examples=30)
@given(st.sampled_from(sorted(WILD)), st.integers(0, 3), st.floats(0.5, 2))
def test_a_number_that_waits_changes_no_figure(column, place, times):
    """The ranking with it is the one that would be without it, but for its flag."""
    bench = two_motors()
    run = sorted(bench.logbook.records("bench_run"), key=lambda each: each.taken_at)[place]
    bench.logbook.save("never read", [run.with_(**{column: None})])
    without = rank(bench.logbook.snapshot())
    bench.logbook.save("mistyped", [run.with_(**{column: WILD[column] * min(times, 1.2)}, waits=(column,))])
    found = rank(bench.logbook.snapshot())
    assert sum("number_waits" in motor.flags for motor in found.motors) == 1
    plain = [replace(motor, flags=[flag for flag in motor.flags if flag != "number_waits"]) for motor in found.motors]
    assert replace(found, motors=plain) == without


def test_a_run_whose_only_figure_waits_is_none_yet():
    bench = two_motors()
    before = rank(bench.logbook.snapshot())
    bench.run("Heron", "2026-04-11T19:10", tester="bench box", kv_rpm_per_v=39210.0, waits=("kv_rpm_per_v",))
    after = rank(bench.logbook.snapshot())
    assert [replace(motor, flags=[]) for motor in after.motors] == [replace(motor, flags=[]) for motor in before.motors]
    assert [line.waits for line in motor_lines(bench.logbook.snapshot(), {})] == [1, 0]
    told = recent_bench(bench.logbook.snapshot())
    assert told is not None and 39210.0 not in told.values("kv_rpm_per_v")
    bench.run("Dunlin", "2026-04-11T19:20", kv_rpm_per_v=39210.0, waits=("kv_rpm_per_v",))
    assert [(each.motor, each.why) for each in rank(bench.logbook.snapshot()).not_ranked] == [("Dunlin", "no_run")]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("finish_reading_c", 165.0),
        ("ambient_c", 60.0),
        ("pinion", 93.0),
        ("lap_times_s", (2.0,) * 20),
        ("run_time_s", 5.0),
    ],
)
def test_of_a_track_run_neither_heat_nor_pace_know_it(column, value):
    days = RaceDays("Heron", "Plover", "Whio")
    own = {"ambient_c": 20.0, "finish_reading_c": 70.0, "finish_reading_after_s": 40.0, "run_time_s": 300.0}
    runs = [days.race(n, f"2026-04-12T1{at}:00", 15.0 + at / 10, **own) for at, n in enumerate(days.motors)]
    days.cool(runs[0], 90.0, 64.0)

    def figures():
        source = days.logbook.snapshot()
        heat, pace = heat_of(source, days.sheet.id), pace_of(source, days.sheet.id)
        return repr(heat.columns), repr(heat.finishes), repr(pace.pace)

    blank = () if column == "lap_times_s" else None
    days.logbook.save("never read", [runs[1].with_(**{column: blank})])
    without = figures()
    days.logbook.save("mistyped", [runs[1].with_(**{column: value}, waits=(column,))])
    assert figures() == without
    days.cool(runs[0], 120.0, 150.0, waits=("temp_c",))
    assert figures() == without


def test_a_winding_written_on_the_motor_waits_too():
    bench = Bench()
    for name in ("Heron", "Plover"):
        bench.motor(name, resistance_mohm=1150.0 if name == "Heron" else 11.5)
        bench.run(name, "2026-04-11T18:40", **{k: v for k, v in USUAL.items() if "resistance" not in k})
    bench.logbook.save("waits", [bench.motors["Heron"].with_(waits=("resistance_mohm",))])
    heron, _ = sorted(rank(bench.logbook.snapshot()).motors, key=lambda motor: motor.motor)
    assert heron.figures["resistance_mohm"].runs == 0 and {"no_resistance", "number_waits"} <= set(heron.flags)


# answering


def test_an_edit_elsewhere_lets_it_wait_on_and_an_answer_is_an_edit(logbook):
    put(logbook, MOTORS, BENCH.replace("3922", "39220"))
    run_id = next(row["id"] for row in logbook.rows("bench_run") if "waits" in row)

    def edited(kept=(), **texts):
        entry = edit_entry(logbook.snapshot(), run_id)
        entry.texts |= texts
        side = side_of(entry, logbook.snapshot(), NOW)
        asked = tuple(name for name, each in side.suspects.items() if each.waits and name not in kept)
        save_run(logbook, entry, NOW, kept, asked)
        return logbook.row("bench_run", run_id)

    assert edited(note="windy")["waits"] == ["kv_rpm_per_v"]
    revision = logbook.revision
    assert edited(note="windy")["waits"] == ["kv_rpm_per_v"] and logbook.revision == revision
    row = edited(kept=("kv_rpm_per_v",))
    assert row["kept"] == ["kv_rpm_per_v"] and "waits" not in row
    row = edited(note="calm")
    assert row["kept"] == ["kv_rpm_per_v"] and "waits" not in row  # and is not asked about again
    row = edited(kv_rpm_per_v="39290")
    assert row["waits"] == ["kv_rpm_per_v"] and "kept" not in row
    row = edited(kv_rpm_per_v="3922")
    assert "waits" not in row and "kept" not in row


def test_a_condition_that_waits_has_a_field_of_its_own(logbook):
    put(logbook, MOTORS, BENCH.replace("11:02,3.7", "11:02,37"))
    (run,) = (row for row in logbook.rows("bench_run") if "waits" in row)
    assert run["waits"] == ["test_voltage_v"]
    assert "test_voltage_v" in edit_entry(logbook.snapshot(), run["id"]).fields


def test_a_record_may_say_that_any_column_waits_and_nothing_breaks():
    """A file edited by hand may name what is no number, or is not there."""
    bench = two_motors()
    run = bench.logbook.records("bench_run")[0]
    before = rank(bench.logbook.snapshot())
    bench.logbook.save("by hand", [BenchRun.of({**run.row(), "waits": ["motor_id", "nothing", "erpm"]})])
    after = rank(bench.logbook.snapshot())
    assert [replace(m, flags=[]) for m in after.motors] == [replace(m, flags=[]) for m in before.motors]
    with pytest.raises(Refusal):
        save_run(bench.logbook, replace(edit_entry(bench.logbook.snapshot(), run.id), texts={}), NOW, ())
