"""Sheets into the logbook: what is added, skipped, left alone, replaced, and what never gets in."""

import sys
from datetime import datetime

import pytest

from pitbench.desk.builds import BuildHistory, parts_text
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import Loaded, load_files
from pitbench.records.models import BenchRun
from pitbench.records.reading import Day
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook

DAY = Day(datetime(2026, 5, 16, 14, 2))
MOTORS = "motor,class,poles,stator,rotor,end_bell\nHeron,club,2,S1,R1,E1\nPlover,club,2,S2,R2,E2\n"
BENCH = """motor,taken_at,test_voltage_v,kv_rpm_per_v,no_load_current_a
Heron,2026-05-01 10:00,3.7,3952,4.10
Heron,2026-05-01 10:04,3.7,3950,4.12
Plover,2026-05-01 10:10,3.7,3940,4.00
Plover,2026-05-01 10:14,3.7,3938,4.02
"""


@pytest.fixture
def logbook():
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        yield logbook


def put(logbook: Logbook, *texts: str, **how: bool) -> Loaded:
    """Load these texts, named after their place."""
    files = [read_sheet_text(f"{place}.csv", text, DAY) for place, text in enumerate(texts)]
    return load_files(logbook, files, **how)


def counts(loaded: Loaded, place: int = 0) -> dict[str, int]:
    file = loaded.answer.files[place]
    found = {name: getattr(file, name) for name in ("added", "same", "differs", "replaced")}
    return {name: count for name, count in found.items() if count}


def whys(loaded: Loaded) -> list[str]:
    return [problem.why for file in loaded.answer.files for problem in file.problems]


def suspects(loaded: Loaded) -> list[tuple[int, str, str]]:
    return [(suspect.line, suspect.column, suspect.value) for suspect in loaded.answer.suspects]


def motor(logbook: Logbook, name: str) -> dict:
    return next(row for row in logbook.rows("motor") if row["name"] == name)


def runs(logbook: Logbook, name: str) -> list[dict]:
    own = [row for row in logbook.rows("bench_run") if row["motor_id"] == motor(logbook, name)["id"]]
    return sorted(own, key=lambda row: (row["taken_at"], row.get("place", 0)))


def parts_tested(logbook: Logbook, name: str) -> list[str]:
    """Parts of every run of a motor, in order of time."""
    snapshot = logbook.snapshot()
    return [parts_text(snapshot, snapshot.row("build", run["build_id"])) for run in runs(logbook, name)]


# what goes in


def test_a_bench_sheet_adds_its_motors_and_says_so(logbook):
    loaded = put(logbook, BENCH)
    assert counts(loaded) == {"added": 4}
    assert loaded.answer.motors_added == ["Heron", "Plover"]
    assert (loaded.answer.files[0].sheet, loaded.answer.files[0].rows) == ("bench", 4)
    assert [row["kv_rpm_per_v"] for row in runs(logbook, "Heron")] == [3952, 3950]


def test_loading_twice_adds_nothing_and_is_no_change(logbook):
    put(logbook, MOTORS, BENCH)
    revision = logbook.revision
    again = put(logbook, MOTORS, BENCH)
    assert (counts(again), counts(again, 1)) == ({"same": 2}, {"same": 4})
    assert logbook.revision == revision


def test_files_are_stored_in_the_order_of_the_sheets_whatever_the_arguments(logbook):
    builds = "motor,since,rotor\nHeron,2026-05-01 10:02,R9\n"
    loaded = put(logbook, BENCH, builds, MOTORS, "class,turns\nClub,13.5\n")
    assert [file.file for file in loaded.answer.files] == ["0.csv", "1.csv", "2.csv", "3.csv"]
    assert not whys(loaded)
    assert [row["name"] for row in logbook.rows("class_sheet")] == ["Club"], (
        "matched without case, shown as first typed"
    )
    assert parts_tested(logbook, "Heron") == ["S1 R1 E1", "S1 R9 E1"]


def test_one_load_is_one_change_and_comes_back_as_added_after_undo(logbook):
    put(logbook, MOTORS, BENCH)
    before = {kind: sorted(row["id"] for row in logbook.rows(kind)) for kind in ("motor", "build", "part", "bench_run")}
    assert logbook.journal.undo() == "load of 2 sheets"
    assert not any(logbook.rows(kind) for kind in before)
    again = put(logbook, MOTORS, BENCH)
    assert (counts(again), counts(again, 1)) == ({"added": 2}, {"added": 4})
    assert again.answer.motors_added == ["Heron", "Plover"]
    assert {kind: sorted(row["id"] for row in logbook.rows(kind)) for kind in before} == before


def test_check_says_the_same_and_stores_nothing(logbook):
    checked = put(logbook, MOTORS, BENCH, check=True)
    assert not logbook.rows("motor")
    assert checked.answer == put(logbook, MOTORS, BENCH).answer


# the same row again


def test_other_content_differs_and_is_left_alone_unless_replaced(logbook):
    put(logbook, MOTORS, BENCH)
    other = BENCH.replace("3952", "3955")
    loaded = put(logbook, other)
    assert counts(loaded) == {"differs": 1, "same": 3}
    assert loaded.reports[0].differs == [2]
    assert runs(logbook, "Heron")[0]["kv_rpm_per_v"] == 3952
    assert counts(put(logbook, other, replace=True)) == {"replaced": 1, "same": 3}
    assert runs(logbook, "Heron")[0]["kv_rpm_per_v"] == 3955


def test_equal_times_are_told_apart_by_their_place_in_the_file(logbook):
    text = "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-01,3950\nheron,2026-05-01,3950\nHeron,2026-05-01,3951\n"
    assert counts(put(logbook, text)) == {"added": 3}
    assert counts(put(logbook, text)) == {"same": 3}
    assert [row.get("place", 0) for row in runs(logbook, "Heron")] == [0, 1, 2]


def test_columns_a_sheet_does_not_have_are_neither_compared_nor_erased(logbook):
    put(logbook, "motor,note,turns\nHeron,new bearings,13.5\n")
    assert counts(put(logbook, "motor,turns\nHERON,13.5\n")) == {"same": 1}
    put(logbook, "motor,turns\nHeron,17.5\n", replace=True)
    assert motor(logbook, "Heron")["note"] == "new bearings"
    put(logbook, "motor,note\nHeron,\n", replace=True)
    assert "note" not in motor(logbook, "Heron")


def test_what_was_edited_or_deleted_in_the_app_stays(logbook):
    put(logbook, MOTORS, BENCH)
    first, second = logbook.records("bench_run")[:2]
    logbook.save("edited", [first.with_(no_load_current_a=4.2)])
    logbook.journal.bin("deleted", [("bench_run", second.id)])
    assert counts(put(logbook, BENCH)) == {"differs": 1, "same": 3}
    assert counts(put(logbook, BENCH.replace("3950", "3960"), replace=True)) == {"replaced": 1, "differs": 1, "same": 2}
    assert logbook.row("bench_run", second.id)["binned_why"] == "deleted"


def test_what_was_deleted_counts_before_what_was_undone(logbook):
    put(logbook, MOTORS)
    heron = motor(logbook, "Heron")["id"]
    build = next(row["id"] for row in logbook.rows("build") if row["motor_id"] == heron)
    typed = {"motor_id": heron, "build_id": build, "taken_at": "2026-05-01T10:00", "kv_rpm_per_v": 3952}
    deleted, undone = BenchRun.of(typed), BenchRun.of(typed)
    logbook.save("typed", [deleted])
    logbook.journal.bin("deleted", [("bench_run", deleted.id)])
    logbook.save("typed again", [undone])
    logbook.journal.undo()
    assert counts(put(logbook, "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-01 10:00,3952\n")) == {"same": 1}
    logbook.save("typed once more", [BenchRun.of({**typed, "kv_rpm_per_v": 3960})])
    assert counts(put(logbook, "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-01 10:00,3952\n")) == {"differs": 1}


def test_a_motor_in_the_bin_takes_no_new_runs(logbook):
    put(logbook, MOTORS, BENCH)
    put_in_bin(logbook, motor(logbook, "Heron")["id"])
    assert counts(put(logbook, MOTORS, BENCH)) == {"same": 2}
    new = put(logbook, "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-02,3950\n")
    assert whys(new) == ["lies in the bin, bring it back there first"]
    assert not whys(put(logbook, BENCH))


def test_a_motor_that_was_only_named_is_described_later(logbook):
    put(logbook, BENCH)
    assert parts_tested(logbook, "Heron") == ["", ""]
    loaded = put(logbook, MOTORS)
    assert counts(loaded) == {"added": 2}
    assert loaded.answer.motors_added == []
    assert loaded.added["class_sheet"] == ["club"]
    assert parts_tested(logbook, "Heron") == ["S1 R1 E1", "S1 R1 E1"]
    assert counts(put(logbook, "class,turns\nclub,13.5\n")) == {"added": 1}
    assert counts(put(logbook, "class,turns\nclub,17.5\n")) == {"differs": 1}
    assert counts(put(logbook, MOTORS.replace("R1", "R8"))) == {"differs": 1, "same": 1}


def test_loads_one_by_one_in_any_order_end_up_the_same():
    sheets = [MOTORS, BENCH, "class,turns\nclub,13.5\n"]
    told = set()
    for order in ((0, 1, 2), (2, 1, 0), (1, 2, 0), (1, 0, 2)):
        with Logbook.in_memory(lambda: DAY.now) as logbook:
            for place in order:
                assert not whys(put(logbook, sheets[place]))
            pages = sheets_of(logbook.snapshot())
            told.add(tuple(line.split(",", 1)[1] for page in pages.values() for line in page.splitlines()))
    assert len(told) == 1


# ids


def test_an_id_finds_its_record_whatever_else_the_row_says(logbook):
    put(logbook, MOTORS, BENCH)
    sheets = sheets_of(logbook.snapshot())
    moved = sheets["bench"].replace("2026-05-01T10:00", "2026-05-02T09:00")
    assert counts(put(logbook, moved)) == {"differs": 1, "same": 3}
    put(logbook, moved, replace=True)
    assert [row["taken_at"] for row in runs(logbook, "Heron")] == ["2026-05-01T10:04", "2026-05-02T09:00"]
    renamed = sheets["motors"].replace("Heron", "Grey Heron")
    put(logbook, renamed, replace=True)
    assert sorted(row["name"] for row in logbook.rows("motor")) == ["Grey Heron", "Plover"]
    taken = sheets["motors"].replace("Heron", "Plover")
    assert whys(put(logbook, taken, replace=True)) == [
        "is the name of another motor already, one of its own would be right"
    ]


def test_an_unknown_id_is_another_run_even_at_the_same_time(logbook):
    put(logbook, BENCH)
    same = "id,motor,taken_at,kv_rpm_per_v\nabc,Heron,2026-05-01 10:00,3952\n"
    assert counts(put(logbook, same)) == {"same": 1}, "the same run loaded on two laptops"
    other = same.replace("3952", "3970")
    assert counts(put(logbook, other)) == {"added": 1}
    assert [(row["kv_rpm_per_v"], row.get("place", 0)) for row in runs(logbook, "Heron")][:2] == [(3952, 0), (3970, 1)]
    assert counts(put(logbook, other)) == {"same": 1}


def test_an_id_is_one_records(logbook):
    assert "stands on line 2 too" in whys(put(logbook, "id,motor\na,Whio\na,Siskin\n"))[0]


# builds


def test_parts_of_a_bench_row_are_a_trial_unless_fitted(logbook):
    text = (
        "motor,taken_at,kv_rpm_per_v,rotor,fitted\n"
        "Heron,2026-05-02 11:00,3962,,\n"
        "Heron,2026-05-02 10:00,3960,R9,yes\n"
        "Heron,2026-05-02 12:00,3951,R1,no\n"
        "Heron,2026-05-01 09:00,3950,R7,\n"
        "Heron,2026-05-01 09:30,3950,,\n"
    )
    put(logbook, MOTORS)
    assert counts(put(logbook, text)) == {"added": 5}
    assert parts_tested(logbook, "Heron") == ["S1 R7 E1", "S1 R1 E1", "S1 R9 E1", "S1 R9 E1", "S1 R1 E1"]
    assert counts(put(logbook, text)) == {"same": 5}
    assert len([build for build in logbook.rows("build") if build.get("since")]) == 1


def test_a_build_that_becomes_known_later_takes_the_runs_of_its_time(logbook):
    put(logbook, MOTORS, BENCH)
    put(logbook, "motor,since,rotor\nHeron,2026-05-01 10:02,R9\n")
    assert parts_tested(logbook, "Heron") == ["S1 R1 E1", "S1 R9 E1"]
    assert counts(put(logbook, BENCH)) == {"same": 4}
    logbook.journal.undo()
    assert parts_tested(logbook, "Heron") == ["S1 R1 E1", "S1 R1 E1"]


def test_a_replaced_row_that_names_its_parts_stays_with_them(logbook):
    put(logbook, MOTORS, "motor,taken_at,kv_rpm_per_v\nHeron,2026-05-02 12:00,3950\n")
    text = "motor,taken_at,kv_rpm_per_v,rotor,fitted\nHeron,2026-05-02 10:00,3960,R9,yes\n"
    text += "Heron,2026-05-02 12:00,3951,R1,\n"
    assert counts(put(logbook, text, replace=True)) == {"added": 1, "replaced": 1}
    assert parts_tested(logbook, "Heron") == ["S1 R9 E1", "S1 R1 E1"]


def test_a_part_fitted_elsewhere_leaves_a_gap(logbook):
    put(logbook, MOTORS, "motor,since,rotor\nPlover,2026-05-01,R1\n")
    assert BuildHistory(logbook.rows("build")).missing(motor(logbook, "Heron")["id"]) == ["rotor"]
    put(logbook, "motor,since,rotor\nHeron,2026-05-02,missing\nHeron,2026-05-03,R2\n")
    assert BuildHistory(logbook.rows("build")).missing(motor(logbook, "Heron")["id"]) == []


def test_builds_differ_and_are_replaced_like_any_row(logbook):
    text = "motor,since,rotor,note\nHeron,2026-05-01,R8,spare\n"
    put(logbook, MOTORS)
    assert counts(put(logbook, text)) == {"added": 1}
    assert counts(put(logbook, text.replace("2026-05-01", "1.5.2026"))) == {"same": 1}
    assert counts(put(logbook, text.replace("R8", "R9"))) == {"differs": 1}
    assert counts(put(logbook, text.replace("R8", "R9"), replace=True)) == {"replaced": 1}
    assert counts(put(logbook, text.replace("R8", "R9"))) == {"same": 1}
    assert counts(put(logbook, text.replace(",R8", ",r9").replace("spare", ""))) == {"differs": 1}


def test_an_unknown_motor_in_builds_is_refused_with_the_nearest_name(logbook):
    put(logbook, MOTORS)
    loaded = put(logbook, "motor,since,rotor\nhern,2026-05-01,R9\n")
    assert whys(loaded) == ["is no motor of this logbook, Heron would be"]
    assert loaded.answer.files[0].problems[0].value == "hern"


def test_one_part_in_two_motors_from_the_beginning_is_listed(logbook):
    loaded = put(logbook, MOTORS.replace("R2", "R1"))
    assert suspects(loaded) == [(3, "rotor", "R1")]
    assert "Heron has it" in loaded.reports[0].doubts[0][1].sentence


# problems


def test_a_problem_keeps_the_whole_file_out_and_only_that_file(logbook):
    loaded = put(logbook, MOTORS, BENCH.replace("4.12", "-4.12"))
    assert counts(loaded) == {"added": 2}
    assert counts(loaded, 1) == {}
    assert [report.stored for report in loaded.reports] == [True, False]
    assert not logbook.rows("bench_run")


def test_good_rows_go_in_when_asked(logbook):
    loaded = put(logbook, BENCH.replace("4.12", "-4.12"), good_rows=True)
    assert counts(loaded) == {"added": 3}
    assert [(p.line, p.column, p.value) for p in loaded.answer.files[0].problems] == [(3, "no_load_current_a", "-4.12")]
    assert not put(logbook, "motor,kv_rpm_per_v\nHeron,3950\n", good_rows=True).reports[0].stored


def test_motors_named_only_in_a_row_with_a_problem_are_not_added(logbook):
    loaded = put(logbook, BENCH.replace("3940", "x").replace("3938", "x"), good_rows=True)
    assert loaded.answer.motors_added == ["Heron"]
    assert put(logbook, "motor,class\nSiskin,new\n,lost\n").added["class_sheet"] == []


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("Heron,2026-05-01,,,", "no figure in this row"),
        ("Heron,2026-05-01,,,14600", "needs test_voltage_v"),
        ("Heron,2026-05-18,,3950,", "which says 2026-05-16 14:02"),
        ("Heron,2026-05-01,seven,,14600", "is no number"),
    ],
)
def test_what_a_bench_row_needs(logbook, row, why):
    (found,) = whys(put(logbook, f"motor,taken_at,test_voltage_v,kv_rpm_per_v,rpm\n{row}\n"))
    assert why in found
    assert not logbook.rows("motor")


def test_rpm_beside_a_kv_and_erpm_need_no_voltage(logbook):
    text = "motor,taken_at,kv_rpm_per_v,rpm,erpm\nHeron,2026-05-01,3950,14600,\nHeron,2026-05-02,,,14600\n"
    assert counts(put(logbook, text)) == {"added": 2}


# suspects


def test_suspects_are_stored_as_typed_marked_and_listed(logbook):
    loaded = put(logbook, BENCH.replace("3950", "39500"))
    assert counts(loaded) == {"added": 4}
    assert suspects(loaded) == [(3, "kv_rpm_per_v", "39500")]
    (suspect,) = loaded.answer.suspects
    assert (suspect.likely_cause, suspect.suggested) == ("a digit too many", 3950.0)
    assert suspect.chance is not None and 0.99 < suspect.chance <= 1
    assert runs(logbook, "Heron")[1]["kv_rpm_per_v"] == 39500
    assert runs(logbook, "Heron")[1]["waits"] == ["kv_rpm_per_v"] and "kept" not in runs(logbook, "Heron")[1]
    assert suspects(put(logbook, BENCH.replace("3950", "39500"))) == []


def test_the_value_of_a_suspect_is_what_was_typed(logbook):
    loaded = put(logbook, "motor,taken_at,kv_rpm_per_v,motor_temp_f\nHeron,2026-05-01,3950,210F\n")
    assert suspects(loaded) == [(2, "motor_temp_c", "210F")]


def test_sensors_against_the_total_and_poles_have_a_cause(logbook):
    text = "motor,taken_at,kv_rpm_per_v,poles_assumed,timing_deg,timing_a_deg,timing_b_deg,timing_c_deg\n"
    text += "Heron,2026-05-01 10:00,3950,2,42.1,42.4,41.9,24.1\nHeron,2026-05-01 10:04,1975,4,42.1,42.4,41.9,42.0\n"
    loaded = put(logbook, MOTORS, text)
    found = {each.column: (each.line, each.suggested, each.likely_cause) for each in loaded.answer.suspects}
    assert found == {
        "timing_c_deg": (2, 42.1, "two digits swapped"),
        "kv_rpm_per_v": (3, 3950.0, "the tester was set to 4 poles"),
        "poles_assumed": (3, 2.0, "the tester was set to 4 poles"),
    }


def test_earlier_runs_of_the_logbook_and_of_the_file_both_count(logbook):
    three = "motor,taken_at,no_load_current_a\n" + "".join(f"Heron,2026-05-01 10:0{i},4.1\n" for i in range(3))
    put(logbook, three)
    assert suspects(put(logbook, "motor,taken_at,no_load_current_a\nHeron,2026-05-02,5.1\n"))
    mixed = three.replace("Heron", "Whio") + "Whio,2026-05-01 11:00,1.4\n"
    assert suspects(put(logbook, mixed)) == [(5, "no_load_current_a", "1.4")]


def test_unlikely_figures_of_classes_and_motors(logbook):
    loaded = put(logbook, "class,turns\nx,100\n", "motor,turns\nHeron,150\n")
    assert suspects(loaded) == [(2, "turns", "100"), (2, "turns", "150")]
    assert motor(logbook, "Heron")["waits"] == ["turns"]


# unknown columns


def test_unknown_columns_are_named_once_and_kept(logbook):
    text = "motor,taken_at,kv_rpm_per_v,Humidity\nHeron,2026-05-01,3950,60 %\nHeron,2026-05-02,3950,\n"
    assert put(logbook, text).answer.files[0].unknown_columns == ["Humidity"]
    assert [row.get("extra") for row in runs(logbook, "Heron")] == [{"Humidity": "60 %"}, None]
    assert counts(put(logbook, text.replace("Humidity", "humidity"))) == {"same": 2}
    put(logbook, text.replace("Humidity", "humidity").replace("60", "61"), replace=True)
    assert runs(logbook, "Heron")[0]["extra"] == {"Humidity": "61 %"}


def test_ten_thousand_runs_are_not_looked_through_for_each_other(logbook):
    """A row costs the same in a long file: ten times the rows, about ten times the calls."""
    calls = []
    for count in (200, 2000):
        rows = "".join(f"Heron,2025-{1 + i // 28 % 12:02}-{1 + i % 28:02} 0{i % 10}:00,3950\n" for i in range(count))
        file = read_sheet_text("bench.csv", f"motor,taken_at,kv_rpm_per_v\n{rows}", DAY)
        calls.append(_calls(load_files, logbook, [file]))
    assert calls[1] < 13 * calls[0]


def _calls(work, *what) -> int:
    count = 0

    def counted(frame, event, arg):
        nonlocal count
        count += event in {"call", "c_call"}

    sys.setprofile(counted)
    try:
        work(*what, check=True)
    finally:
        sys.setprofile(None)
    return count


TRACK = "motor,started_at,pinion\nHeron,2026-05-01 10:00,22\n"


@pytest.mark.parametrize(
    ("columns", "row"),
    [
        ("event;date;gearing_limit;note", "Heron;2026-05-01;none;x"),
        ("written_at;motor;what", "2026-05-01 10:00;Heron;springs"),
        ("kind;teeth;module", "pinion;22;0.6"),
        ("motor;started_at;after_s;temp_c", "Heron;2026-05-01 10:00;60;55"),
        ("motor;taken_at;kv_rpm_per_v", "Heron;2026-05-01 10:00;3950"),
        ("motor;started_at;pinion", "Heron;2026-05-02 10:00;22"),
        ("motor;since;rotor", "Heron;2026-05-01 10:00;R5"),
        ("motor;note", "Whio;x"),
        ("class;note", "club;x"),
    ],
)
@pytest.mark.parametrize("ids", [("", "a"), ("a", ""), ("b", "a"), ("", "a", "")], ids="-".join)
def test_after_undo_a_row_takes_no_id_that_another_row_of_its_file_names(logbook, columns, row, ids):
    put(logbook, MOTORS, TRACK)
    text = "\n".join([f"id;{columns}", *(f"{each};{row}" for each in ids)])
    before = counts(put(logbook, text))
    told = sheets_of(logbook.snapshot())
    for _ in range(2):
        assert logbook.journal.undo() == "load of 0.csv"
        assert counts(put(logbook, text)) == before
        assert sheets_of(logbook.snapshot()) == told
