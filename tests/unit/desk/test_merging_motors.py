"""Motors of one name in two logbooks: whose they are and whether they are one, only records or the user can say."""

import pytest

from pitbench.__main__ import main
from pitbench.desk.builds import parts_text
from pitbench.desk.checking import loose_ends
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.exchange.merging import merge
from pitbench.desk.exchange.merging_pairs import Told
from pitbench.desk.workshop import Workshop
from pitbench.records.models import BenchRun, Motor, Part
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook

FIGURES = {"kv_rpm_per_v": 3950, "no_load_current_a": 3.1, "test_voltage_v": 3.7}


def put(book, key, day, name="Red", parts=None, **more):
    """A motor with a run, built of its own parts or of named ones."""
    motor = Motor(id=key, name=name, **more)
    book.save("motor", [motor])
    shop = Workshop(book.snapshot())
    build = shop.first_build(motor.row(), parts or {})
    run = BenchRun(motor_id=key, build_id=build["id"], taken_at=f"2026-05-0{day}T18:00", **FIGURES)
    book.save("build and run", [*shop.to_save.values(), run])


@pytest.fixture
def two():
    mine, kims = Logbook.in_memory(), Logbook.in_memory()
    put(mine, "m1", 1)
    put(mine, "m2", 1, "Whio")
    put(kims, "x1", 2)
    put(kims, "x2", 2, "Blue", {"rotor": "R1"})
    return mine, kims


def names(book):
    return sorted(row["name"] for row in book.rows("motor"))


def test_without_a_record_in_common_nobody_pours_them_together(two, tmp_path, capsys):
    mine, kims = two
    with pytest.raises(Refusal, match="Red stands in both logbooks without a record in common; --same Red if") as told:
        merge(mine, kims.snapshot(), "merge")
    assert told.value.status == 2 and names(mine) == ["Red", "Whio"]
    for name, book in (("a.json", mine), ("b.json", kims)):
        with Logbook.open(tmp_path / name, create=True) as file:
            file.save("all", [one for kind in ("motor", "part", "build", "bench_run") for one in book.records(kind)])
    words = ["--logbook", str(tmp_path / "a.json"), "merge", str(tmp_path / "b.json")]
    assert main(words) == 2
    assert "--apart Red to keep both would be right." in capsys.readouterr().err
    assert main([*words, "--apart", "red", "--owner", "Kim"]) == 0
    with Logbook.open(tmp_path / "a.json", write=False) as file:
        assert names(file) == ["Blue", "Red", "Red (Kim)", "Whio"]
        assert {row["name"] for row in file.rows("motor") if row.get("owner") == "Kim"} == {"Blue", "Red (Kim)"}
    assert main([*words, "--apart", "red", "--owner", "Kim"]) == 0
    assert "Nothing new in b.json." in capsys.readouterr().out


def test_a_run_in_common_says_that_they_are_one():
    one, other = Logbook.in_memory(), Logbook.in_memory()
    put(one, "m1", 1)
    put(other, "x1", 1)
    merge(one, other.snapshot(), "merge")
    assert names(one) == ["Red"] and len(one.rows("bench_run")) == 1


def test_the_same_time_alone_is_no_run_in_common():
    one, other = Logbook.in_memory(), Logbook.in_memory()
    put(one, "m1", 1)
    put(other, "x1", 1)
    run = other.records("bench_run")[0]
    other.save("another figure", [run.with_(kv_rpm_per_v=3700)])
    with pytest.raises(Refusal, match="without a record in common"):
        merge(one, other.snapshot(), "merge")


def test_said_to_be_one_they_stay_one_in_either_direction(two):
    mine, kims = two
    merge(mine, kims.snapshot(), "merge", Told(same=["Red"]))
    assert names(mine) == ["Blue", "Red", "Whio"] and len(mine.rows("bench_run")) == 4
    merge(kims, mine.snapshot(), "merge")
    assert names(kims) == names(mine) and len(kims.rows("bench_run")) == 4
    for a, b in ((mine, kims), (kims, mine)):
        assert not merge(a, b.snapshot(), "again").saved
        assert list(loose_ends(a.snapshot())) == []


def test_kept_apart_they_and_their_parts_stay_two_in_either_direction(two):
    mine, kims = two
    mine.save("a rotor of the same name", [Part(kind="rotor", name="R1")])
    merge(mine, kims.snapshot(), "merge", Told(apart=["Red"], owner="Kim"))
    assert names(mine) == ["Blue", "Red", "Red (Kim)", "Whio"]
    parts = {row["name"] for row in mine.rows("part")}
    assert parts >= {"Red stator", "Red (Kim) stator", "R1", "R1 (Kim)"}
    snapshot = mine.snapshot()
    assert parts_text(snapshot, next(b for b in mine.rows("build") if b["motor_id"] == "x1")) == ""
    merge(kims, mine.snapshot(), "back")
    assert names(kims) == names(mine) and {row["name"] for row in kims.rows("part")} == parts
    for a, b in ((mine, kims), (kims, mine)):
        assert not merge(a, b.snapshot(), "again").saved
        assert list(loose_ends(a.snapshot())) == []


def test_somebodys_motors_are_listed_and_not_ranked_among_mine(two):
    mine, kims = two
    merge(mine, kims.snapshot(), "merge", Told(apart=["Red"], owner="Kim"))
    ranked = {motor.motor for motor in rank(mine.snapshot()).motors}
    assert ranked == {"Red", "Whio"}
    merge(kims, mine.snapshot(), "back", Told(owner="Ann"))
    assert {motor.motor for motor in rank(kims.snapshot()).motors} == {"Red (Kim)", "Blue"}, "Kim's stay Kim's own"


def test_whose_a_motor_is_goes_along_as_an_edit_of_a_motor_both_know():
    one, other = Logbook.in_memory(), Logbook.in_memory()
    for book in (one, other):
        book.save("as copied", [Motor(id="m1", name="Red")])
    other.save("sold", [Motor(id="m1", name="Red", owner="Kim")])
    merge(one, other.snapshot(), "merge")
    assert one.rows("motor")[0]["owner"] == "Kim"


@pytest.mark.parametrize(
    ("told", "says"),
    [
        (Told(same=["Grey"]), "Grey is no motor of both logbooks"),
        (Told(apart=["Whio"]), "Whio is no motor of both logbooks"),
        (Told(same=["Red"], apart=["red"]), "stands behind --same and behind --apart"),
    ],
)
def test_what_cannot_be_meant_is_refused(two, told, says):
    mine, kims = two
    with pytest.raises(Refusal, match=says):
        merge(mine, kims.snapshot(), "merge", told)
