"""Which class is asked about: by name, the motors without one, or the one last worked on; each is one question."""

import pytest

from pitbench.desk.classes import NO_CLASS, class_choices, first_class
from pitbench.desk.comparing.ranking import compare, rank
from pitbench.desk.sessions import timely
from pitbench.records.models import ClassSheet
from pitbench.records.refusal import Refusal
from tests.unit.desk.bench_side import USUAL, two_motors


def with_classless():
    """Heron and Plover of a class, Curlew and Ruff of none; the newest run is one of the class."""
    bench = two_motors()
    for name in ("Curlew", "Ruff"):
        bench.motor(name, class_id=None)
        bench.run(name, "2026-04-01", **USUAL)
    return bench


def test_motors_without_a_class_are_asked_for_like_a_class():
    bench = with_classless()
    snapshot = bench.logbook.snapshot()
    assert class_choices(snapshot) == ["club 13.5T", NO_CLASS]
    assert first_class(snapshot) == "club 13.5T"
    found = rank(snapshot, NO_CLASS)
    assert found.class_ is None and {motor.motor for motor in found.motors} == {"Curlew", "Ruff"}
    assert rank(snapshot) == rank(snapshot, "club 13.5T") == compare(snapshot, first_class(snapshot)).answer()
    bench.run("Ruff", "2026-05-01", **USUAL)
    snapshot = bench.logbook.snapshot()
    assert first_class(snapshot) == NO_CLASS and rank(snapshot) == rank(snapshot, NO_CLASS)


def test_the_motors_without_a_class_are_refused_where_there_is_none_such():
    bench = two_motors()
    with pytest.raises(Refusal, match=r"^Every motor in this logbook has a class; club 13\.5T would be right\.$"):
        rank(bench.logbook.snapshot(), NO_CLASS)


def test_a_class_in_the_bin_names_nothing():
    bench = with_classless()
    bench.logbook.save("another", [other := ClassSheet(name="open")])
    bench.motor("Knot", class_id=other.id)
    bench.logbook.journal.bin("class", [("class_sheet", other.id)])
    snapshot = bench.logbook.snapshot()
    assert class_choices(snapshot) == ["club 13.5T", NO_CLASS]
    assert [motor.motor for motor in rank(snapshot, NO_CLASS).not_ranked] == ["Knot"]


def test_of_runs_at_one_time_the_newest_is_the_same_whether_they_are_sorted_already_or_not():
    bench = with_classless()
    for name in ("Ruff", "Heron", "Ruff"):
        bench.run(name, "2026-05-01T18:00", **USUAL)
    bench.run("Heron", "2026-05-01T18:00", **(USUAL | {"place": 2}))
    bench.run("Ruff", "2026-05-01T18:00", **(USUAL | {"place": 3}))
    snapshot = bench.logbook.snapshot()
    assert first_class(snapshot) == first_class(snapshot, timely(snapshot.rows("bench_run"))) == NO_CLASS
