"""To the bin and back, left out and taken in again."""

from datetime import timedelta

import pytest

from pitbench.desk.entry.run_entry import bring_back, leave_out, put_in_bin
from pitbench.records.refusal import Refusal
from tests.unit.desk.by_hand import KV_AND_CURRENT, NOW, add_motor, add_run, everything, new_book


@pytest.fixture
def book():
    book = new_book()
    add_motor(book)
    return book


def test_a_run_goes_to_the_bin_and_comes_back(book):
    run = add_run(book, **KV_AND_CURRENT)
    before = everything(book)
    assert put_in_bin(book, run["id"]) == "bench run of Heron to the bin" and book.rows("bench_run") == []
    assert bring_back(book, run["id"]) == "bench run of Heron brought back"
    assert everything(book) == before


def test_a_run_is_left_out_with_its_reason_and_taken_in_again(book):
    run = add_run(book, **KV_AND_CURRENT)
    before = everything(book)
    assert leave_out(book, run["id"], " loose\nlead ") == "bench run of Heron left out"
    assert book.row("bench_run", run["id"])["excluded_why"] == "loose lead"
    assert leave_out(book, run["id"], None) == "bench run of Heron taken in again"
    assert everything(book) == before


@pytest.mark.parametrize(("why", "length"), [("", 0), (" \x00", 0), ("x" * 2001, 2001)])
def test_a_reason_of_no_or_too_many_characters_is_refused(book, why, length):
    run = add_run(book, **KV_AND_CURRENT)
    with pytest.raises(Refusal, match=f"a reason of 1 to 2000 characters, this one has {length}"):
        leave_out(book, run["id"], why)
    assert "excluded_why" not in book.row("bench_run", run["id"])


def test_a_motor_brings_the_runs_that_went_with_it():
    minutes = iter(NOW + timedelta(minutes=n) for n in range(20))
    book = new_book(clock=lambda: next(minutes))
    add_motor(book)
    early, run = add_run(book, **KV_AND_CURRENT), add_run(book, **KV_AND_CURRENT)
    motor_id = run["motor_id"]
    put_in_bin(book, early["id"])
    put_in_bin(book, motor_id)
    with pytest.raises(Refusal, match="Its motor is in the bin too: bring the motor back first"):
        bring_back(book, run["id"])
    assert bring_back(book, motor_id) == "motor Heron with 1 run brought back"
    assert [row["id"] for row in book.rows("bench_run")] == [run["id"]]


def test_two_motors_never_have_one_name(book):
    heron = book.rows("motor")[0]["id"]
    put_in_bin(book, heron)
    add_motor(book, "heron")
    with pytest.raises(Refusal, match="There is another motor heron by now: give that one a new name first"):
        bring_back(book, heron)
