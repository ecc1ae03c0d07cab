"""The list of motors: its lines, their order, and the words on top."""

from dataclasses import replace

import pytest

from pitbench.desk.answers import FigureOf, OddRun
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.lists.motors import class_names, class_of, motor_lines, raced_of
from pitbench.records.models import SetupEntry
from pitbench.words.motors import motor_block, motors_words
from tests.unit.desk.bench_side import USUAL, Bench, two_motors
from tests.unit.desk.by_hand import FIGURES, NOW, add_motor, add_run, edit_motor, named, new_book
from tests.unit.desk.test_track_evidence import three


def lines_of(book, ranks=None):
    return motor_lines(book.snapshot(), ranks or {})


@pytest.fixture(scope="module")
def ranked():
    bench = two_motors()
    return bench.logbook, {"club 13.5T": rank(bench.logbook.snapshot(), None, "heat")}


def test_an_empty_logbook():
    assert lines_of(new_book()) == [] and class_names(new_book().snapshot()) == {}


def test_a_line_has_the_figures_of_its_ranking(ranked):
    book, ranks = ranked
    lines = lines_of(book, ranks)
    answer = ranks["club 13.5T"]
    assert [line.name for line in lines] == [motor.motor for motor in answer.motors]
    for line, motor in zip(lines, answer.motors, strict=True):
        assert line.kv == motor.figures["kv_rpm_per_v"] and line.current == motor.figures["no_load_current_a"]
        assert line.resistance == motor.figures["resistance_mohm"]
        assert (line.runs, line.class_name, line.timing) == (2, "club 13.5T", pytest.approx(42.0))
    assert {line.name: line.last_on for line in lines} == {"Heron": "2026-04-11T18:52", "Plover": "2026-04-11T18:58"}


def test_work_on_a_motor_is_said_until_it_was_on_the_bench_again():
    """What its figures stand on was read before: they are less sure, and nothing else on the screen says why."""
    book = new_book()
    heron = add_motor(book)
    add_run(book, "Heron", "2026-05-10 10:00", **FIGURES)
    oiled = {"motor_id": heron, "what": "bearings"}
    early = SetupEntry(**oiled, written_at="2026-05-10T09:00", now="oiled")
    late = SetupEntry(**oiled, written_at="2026-05-10T11:00", now="cleaned")
    book.save("work", [late, early])
    said = ("Work", "bearings: cleaned, 10 May 11:00; not on the bench since")
    assert said in motor_block(lines_of(book)[0], None, NOW)
    put_in_bin(book, late.id)
    assert lines_of(book)[0].work is None
    book.journal.undo()
    add_run(book, "Heron", "2026-05-10 12:00", **FIGURES)
    assert lines_of(book)[0].work is None


def test_what_the_motor_is_built_from_and_when_it_was_on_the_bench():
    book = new_book()
    heron = add_motor(book, stator="S4", rotor="R2", end_bell="E1", turns="13.5", poles="2", note="new bell")
    add_motor(book, "Plover")
    add_run(book, "Heron", "2026-05-10 10:00", **FIGURES)
    excluded = add_run(book, "Heron", "2026-05-11 10:00", **(FIGURES | {"timing_a_deg": "50"}))
    record = next(r for r in book.records("bench_run") if r.id == excluded["id"])
    book.save("out", [record.with_(excluded_why="loose lead")])
    line = next(line for line in lines_of(book) if line.id == heron)
    assert (line.parts, line.turns, line.poles, line.note) == ("S4 R2 E1", 13.5, 2, "new bell")
    assert (line.runs, line.last_on, line.timing) == (2, "2026-05-11T10:00", pytest.approx(42.1))
    assert (line.kv, line.current, line.resistance) == (None, None, None)
    other = next(line for line in lines_of(book) if line.name == "Plover")
    assert (other.parts, other.runs, other.last_on, other.timing) == ("", 0, None, None)
    edit_motor(book, heron, rotor="R3", since="2026-05-12")
    line = next(line for line in lines_of(book) if line.id == heron)
    assert (line.parts, line.timing, line.runs) == ("S4 R3 E1", None, 2)


def test_order_by_class_and_name_those_resting_last_whoever_leads(ranked):
    book = new_book()
    for name, class_name, in_use in (
        ("whio", "stock", "yes"),
        ("Avocet", "", "yes"),
        ("Siskin", "club", "no"),
        ("Heron", "Stock", "yes"),
        ("Plover", "club", "yes"),
        ("Dunlin", "Ünder", "yes"),
    ):
        add_motor(book, name, **{"class": class_name, "in_use": in_use})
    assert [line.name for line in lines_of(book)] == ["Plover", "Heron", "whio", "Dunlin", "Avocet", "Siskin"]
    _, ranks = ranked
    heron, plover = (next(m for m in ranks["club 13.5T"].motors if m.motor == name) for name in ("Heron", "Plover"))
    placed = replace(ranks["club 13.5T"], motors=[replace(plover, motor="whio", place=1), replace(heron, place=2)])
    assert [line.name for line in lines_of(book, {"stock": placed})][1:3] == ["Heron", "whio"]


def test_classes_of_motors_that_stand():
    book = new_book()
    heron, plover = add_motor(book, **{"class": "club"}), add_motor(book, "Plover")
    sheet = named(book, "class_sheet", "club")
    assert class_names(book.snapshot()) == {sheet["id"]: "club", None: None}
    assert class_of(book.snapshot(), heron) == "club" and class_of(book.snapshot(), plover) is None
    put_in_bin(book, heron)
    assert class_names(book.snapshot()) == {None: None}


def block(book, motor):
    return motor_block(motor, raced_of(book, motor.id), NOW)


def words(book, ranks=None):
    return motors_words(lines_of(book, ranks), ranks or {}, NOW)


def test_words_of_one_class(ranked):
    book, ranks = ranked
    answer = ranks["club 13.5T"]
    chance = f"{100 * answer.motors[0].chance_best:.0f}"
    assert words(book, ranks) == [
        f"2 motors, club 13.5T. {answer.leader} leads, not settled: {chance} in 100.",
    ]


def test_words_of_several_classes_and_of_motors_not_yet_on_the_bench(ranked):
    _, ranks = ranked
    book = new_book()
    add_motor(book, "Heron", **{"class": "club 13.5T"})
    assert words(book) == ["1 motor, club 13.5T.", "Not on the bench yet: Heron."]
    for name in ("Avocet", "Dunlin", "Knot", "Teal"):
        add_motor(book, name)
    motors = [replace(ranks["club 13.5T"].motors[0], chance_best=0.82)]
    answer = replace(ranks["club 13.5T"], leader="Heron", verdict="leaning", motors=motors)
    assert words(book, {"club 13.5T": answer, None: None}) == [
        "5 motors in 2 classes. Heron leads in club 13.5T, leaning: 82 in 100.",
        "Not on the bench yet: Heron, Avocet, Dunlin, Knot and 1 more.",
    ]


def test_words_when_all_motors_rest():
    book = new_book()
    add_motor(book, in_use="no")
    assert words(book) == ["1 motor, none in use."]
    other = new_book()
    add_motor(other)
    assert words(other)[0] == "1 motor, no class named."


def test_the_block_of_a_motor(ranked):
    book, ranks = ranked
    line = lines_of(book, ranks)[0]
    full = replace(line, name="Heron", turns=13.5, poles=2.0, resistance=FigureOf(11.23, 11.0, 11.5, 2))
    assert block(book, replace(full, note="new bell", last_on="2026-05-17T13:50", runs=1)) == [
        ("HERON", "club 13.5T, 13.5 turns, 2 poles, winding 11.2 mΩ at 20 °C"),
        ("Bench", "1 run, last today 13:50"),
        ("Note", "new bell"),
    ]
    assert "winding not measured" in block(book, replace(full, resistance=FigureOf(None, None, None, 0)))[0][1]
    resting = replace(full, resistance=None, in_use=False, last_on=None, class_name=None, turns=None)
    assert block(book, resting) == [
        ("HERON", "no class, 2 poles"),
        ("Resting", "not in use: takes no part in rankings"),
    ]


def test_a_resting_motor_with_a_measured_winding_is_not_called_unmeasured():
    bench = Bench()
    bench.motor("Heron", in_use=False, resistance_mohm=11.5)
    bench.run("Plover", "2026-04-11", **USUAL)
    ranks = {"club 13.5T": rank(bench.logbook.snapshot())}
    heron = next(line for line in lines_of(bench.logbook, ranks) if line.name == "Heron")
    assert "measured" not in block(bench.logbook, heron)[0][1]


def test_a_motor_that_was_raced_says_how_often_and_where_last():
    days = three(rounds=3)
    heron = next(line for line in lines_of(days.logbook) if line.name == "Heron")
    runs = [run for run in days.logbook.rows("track_run") if run["motor_id"] == heron.id]
    assert heron.track_runs == len(runs) > 1
    assert dict(block(days.logbook, heron))["Track"].startswith(f"{len(runs)} runs, last ")
    bare = Bench()
    bare.run("Plover", "2026-04-11", **USUAL)
    (plover,) = lines_of(bare.logbook)
    assert plover.track_runs == 0 and "Track" not in dict(block(bare.logbook, plover))


def test_a_motor_with_an_odd_run_is_marked_and_the_run_named(ranked):
    book, ranks = ranked
    odd = [OddRun("Plover", "2026-05-17T13:50", "kv_rpm_per_v", "apart", 39300.0, 2, 10.0)]
    lines = motor_lines(book.snapshot(), ranks, odd)
    assert {line.name: line.doubtful for line in lines} == {"Heron": False, "Plover": True}
    said = "Plover's two runs differ tenfold in KV: check the one of today 13:50."
    assert motors_words(lines, ranks, NOW, odd)[1:] == [said]
    (plover,) = (line for line in lines if line.doubtful)
    assert ("Check", "two runs differ tenfold in KV: check the one of today 13:50") in block(book, plover)
    lines = motor_lines(book.snapshot(), ranks, [replace(odd[0], motor="Heron", why="fit")])
    (heron,) = (line for line in lines if line.name == "Heron")  # one of many that fits badly: named, not marked
    assert not heron.doubtful and motors_words(lines, ranks, NOW, [heron.odd_run]) == motors_words(lines, ranks, NOW)
    said = "run of today 13:50 does not fit its others in KV"
    assert ("Check", said) in block(book, heron)
