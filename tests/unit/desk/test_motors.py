"""The list of motors: its lines, their order, and the words on top."""

from dataclasses import replace

import pytest

from pitbench.desk.answers import FigureOf, OddRun
from pitbench.desk.comparing.ranked import Ranked, ranked
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.lists.motors import ClassLine, class_names, class_of, motor_lines, raced_of, with_heads
from pitbench.records.models import SetupEntry
from pitbench.words.motors import motor_block, motors_words
from tests.unit.desk.bench_side import USUAL, Bench, two_motors
from tests.unit.desk.by_hand import FIGURES, NOW, add_motor, add_run, edit_motor, named, new_book
from tests.unit.desk.test_track_evidence import three


def lines_of(book, ranks=None):
    return motor_lines(book.snapshot(), ranks or {})


@pytest.fixture(scope="module")
def known():
    bench = two_motors()
    return bench.logbook, {"club 13.5T": ranked_as(rank(bench.logbook.snapshot(), None, "heat"))}


def ranked_as(answer, **more):
    return Ranked(answer, None, 0, **more)


def test_an_empty_logbook():
    assert lines_of(new_book()) == [] and class_names(new_book().snapshot()) == {}


def test_a_line_has_the_figures_of_its_ranking(known):
    book, ranks = known
    lines = lines_of(book, ranks)
    answer = ranks["club 13.5T"].answer
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


def test_kv_is_told_against_the_mean_of_the_class():
    """The tester's mood moves all alike: the difference is known better than the figure, and they add up to nothing."""
    bench = two_motors()
    found = {"club 13.5T": ranked(bench.logbook.snapshot(), "club 13.5T")}
    lines = lines_of(bench.logbook, found)
    ((head, *_),) = [[each for each in with_heads(lines, found) if isinstance(each, ClassLine)]]
    assert head.name == "club 13.5T"
    assert sum(line.against.mean for line in lines) == pytest.approx(0, abs=1e-6)
    for line in lines:
        assert line.against.mean == pytest.approx(line.kv.mean - head.kv, abs=1e-6)
        assert line.against.high90 - line.against.low90 < line.kv.high90 - line.kv.low90
        assert line.ranking and line.chance is not None
    assert [line.leads for line in lines].count(True) == 1
    assert head.current == pytest.approx(sum(line.current.mean for line in lines) / 2)


def test_every_class_has_a_head_and_those_not_in_use_one_of_their_own():
    book = new_book()
    for name, class_name, in_use in (("Heron", "stock", "yes"), ("Knot", "", "yes"), ("Ruff", "stock", "no")):
        add_motor(book, name, **{"class": class_name, "in_use": in_use})
    shown = with_heads(lines_of(book), {})
    assert [each.name for each in shown] == ["stock", "Heron", "", "Knot", None, "Ruff"]
    assert all(line.chance is None and not line.ranking for line in shown if not isinstance(line, ClassLine))


def test_order_by_class_and_name_those_resting_last_whoever_leads(known):
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
    _, ranks = known
    answer = ranks["club 13.5T"].answer
    heron, plover = (next(m for m in answer.motors if m.motor == name) for name in ("Heron", "Plover"))
    placed = replace(answer, motors=[replace(plover, motor="whio", place=1), replace(heron, place=2)])
    assert [line.name for line in lines_of(book, {"stock": ranked_as(placed)})][1:3] == ["Heron", "whio"]


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
    return motors_words(lines_of(book, ranks), ranks or {})


def test_words_of_one_class(known):
    book, ranks = known
    answer = ranks["club 13.5T"].answer
    chance = f"{100 * answer.motors[0].chance_best:.0f}"
    assert words(book, ranks) == [f"Club 13.5T is not settled: {answer.leader} {chance} in 100."]
    leaning = ranked_as(replace(answer, verdict="leaning"))
    assert words(book, {"club 13.5T": leaning}) == [
        f"{answer.leader} for the main in club 13.5T. Leaning: {chance} in 100."
    ]
    assert words(book) == ["Club 13.5T: 2 motors, chances come …"]
    alone = ranked_as(replace(answer, verdict=None, leader=None, motors=answer.motors[:1]))
    assert words(book, {"club 13.5T": alone}) == ["Club 13.5T: 2 motors, no two to compare yet."]


def test_words_of_several_classes_and_of_motors_not_yet_on_the_bench(known):
    _, ranks = known
    book = new_book()
    add_motor(book, "Heron", **{"class": "club 13.5T"})
    assert words(book) == ["Club 13.5T: 1 motor, chances come …", "Not on the bench yet: Heron."]
    for name in ("Avocet", "Dunlin", "Knot", "Teal"):
        add_motor(book, name)
    first = ranks["club 13.5T"].answer
    answer = replace(first, leader="Heron", verdict="leaning", motors=[replace(first.motors[0], chance_best=0.82)])
    assert words(book, {"club 13.5T": ranked_as(answer), None: None}) == [
        "Heron for the main in club 13.5T. Leaning: 82 in 100.",
        "No class named: 4 motors, chances come …",
        "Not on the bench yet: Heron, Avocet, Dunlin, Knot and 1 more.",
    ]
    for name, class_name in (("Ruff", "stock"), ("Crake", "open")):
        add_motor(book, name, **{"class": class_name})
    assert words(book)[2] == "2 more classes below."


def test_words_when_all_motors_rest():
    book = new_book()
    add_motor(book, in_use="no")
    assert words(book) == ["1 motor, none in use."]
    other = new_book()
    add_motor(other)
    assert words(other)[0] == "No class named: 1 motor, chances come …"


def test_the_block_of_a_motor(known):
    book, ranks = known
    line = lines_of(book, ranks)[0]
    full = replace(line, name="Heron", named="", turns=13.5, poles=2.0, resistance=FigureOf(11.23, 11.0, 11.5, 2))
    assert full.kv.runs == full.runs == 2
    assert block(book, replace(full, note="new bell", last_on="2026-05-17T13:50")) == [
        ("HERON", "13.5 turns, winding 11.2 mΩ at 20 °C"),
        ("Note", "new bell"),
    ]
    counted = "by 2 of its 7 bench runs: those with KV since it was built so"
    assert ("Ranked", counted) in block(book, replace(full, runs=7))
    assert block(book, replace(full, poles=4.0))[0][1] == "13.5 turns, 4 poles, winding 11.2 mΩ at 20 °C"
    assert "winding not measured" in block(book, replace(full, resistance=FigureOf(None, None, None, 0)))[0][1]
    resting = replace(full, resistance=None, in_use=False, last_on=None, class_name=None, turns=None)
    assert block(book, resting) == [
        ("HERON", ""),
        ("Resting", "not in use: takes no part in rankings"),
    ]


def test_a_resting_motor_with_a_measured_winding_is_not_called_unmeasured():
    bench = Bench()
    bench.motor("Heron", in_use=False, resistance_mohm=11.5)
    bench.run("Plover", "2026-04-11", **USUAL)
    ranks = {"club 13.5T": ranked(bench.logbook.snapshot(), "club 13.5T")}
    heron = next(line for line in lines_of(bench.logbook, ranks) if line.name == "Heron")
    assert "measured" not in block(bench.logbook, heron)[0][1]


def test_a_motor_that_was_raced_says_how_often_and_where_last():
    days = three(rounds=3)
    heron = next(line for line in lines_of(days.logbook) if line.name == "Heron")
    runs = [run for run in days.logbook.rows("track_run") if run["motor_id"] == heron.id]
    assert heron.track_runs == len(runs) > 1
    assert ", raced " in f", {block(days.logbook, heron)[0][1]}"
    bare = Bench()
    bare.run("Plover", "2026-04-11", **USUAL)
    (plover,) = lines_of(bare.logbook)
    assert plover.track_runs == 0 and "raced" not in block(bare.logbook, plover)[0][1]


def test_a_motor_with_an_odd_run_is_marked_and_the_run_named(known):
    book, ranks = known
    odd = [OddRun("Plover", "2026-05-17T13:50", "kv_rpm_per_v", "apart", 39300.0, 2, 10.0)]
    answer = ranks["club 13.5T"].answer
    lines = lines_of(book, {"club 13.5T": ranked_as(answer, odd_runs=odd)})
    assert {line.name: line.doubtful for line in lines} == {"Heron": False, "Plover": True}
    (plover,) = (line for line in lines if line.doubtful)
    assert ("Check", "two runs differ tenfold in KV: check the one of today 13:50") in block(book, plover)
    odd = [replace(odd[0], motor="Heron", why="fit")]
    lines = lines_of(book, {"club 13.5T": ranked_as(answer, odd_runs=odd)})
    (heron,) = (line for line in lines if line.name == "Heron")  # one of many that fits badly: named, not marked
    assert not heron.doubtful
    said = "run of today 13:50 does not fit its others in KV"
    assert ("Check", said) in block(book, heron)
