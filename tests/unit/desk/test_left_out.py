"""What would change if a run were left out, in words; the numbers are those of the ranking once it is left out."""

from dataclasses import replace

from pitbench.desk.comparing.ranked import without_run
from pitbench.desk.comparing.ranking import compare, rank
from pitbench.desk.entry.run_entry import leave_out
from pitbench.words.left_out import without_words
from pitbench.words.ranking import VERDICTS, chance_number
from tests.unit.desk.bench_side import USUAL, Bench, two_motors


def said_of(bench, run_id):
    snapshot = bench.logbook.snapshot()
    with_it = rank(snapshot, bench.sheet.name)
    return without_words(with_it, without_run(snapshot, bench.sheet.name, run_id))


def sure(answer):
    return f"{VERDICTS[answer.verdict]}, {chance_number(answer.motors[0].chance_best)} in 100 to be the best"


def test_what_is_said_is_what_the_ranking_says_once_the_run_is_left_out():
    bench = two_motors()
    odd = bench.run(
        "Heron",
        "2026-04-11T19:30",
        **(USUAL | {"kv_rpm_per_v": 3926.0, "no_load_current_a": 3.85, "resistance_mohm": 11.4}),
    )
    before = rank(bench.logbook.snapshot())
    said = said_of(bench, odd.id)
    leave_out(bench.logbook, odd.id, "wrong pack")
    after = rank(bench.logbook.snapshot())
    assert compare(bench.logbook.snapshot()).answer() == after
    leaders = [answer.motors[0].motor for answer in (after, before)]
    assert leaders[0] != leaders[1]
    assert said == f"Without it {leaders[0]} leads: {sure(after)}. With it {leaders[1]}: {sure(before)}."


def test_the_same_leader_is_named_once():
    bench = two_motors()
    run = bench.run("Heron", "2026-04-11T19:30", **(USUAL | {"kv_rpm_per_v": 3919.0, "resistance_mohm": 11.55}))
    said = said_of(bench, run.id)
    leader = rank(bench.logbook.snapshot()).leader
    assert said.startswith(f"Without it {leader} still leads: ") and ". With it: " in said and said.count(leader) == 1


def test_a_run_that_changes_nothing_anybody_would_read_is_told_in_one_sentence():
    bench = two_motors()
    run = bench.run("Heron", "2026-04-11T19:30", **(USUAL | {"kv_rpm_per_v": 3920.0, "no_load_current_a": 4.0}))
    with_it = rank(bench.logbook.snapshot())
    without = compare(bench.logbook.snapshot(), leave_out=[run.id]).answer()
    assert with_it != without and sure(with_it) == sure(without)  # else this shows nothing
    assert [m.motor for m in with_it.motors] == [m.motor for m in without.motors]
    assert said_of(bench, run.id) == "It would change nothing in the ranking."
    swapped = replace(without, motors=[without.motors[0], replace(without.motors[1], motor="Whio")])
    assert without_words(with_it, swapped) == (
        f"Without it others change places. {with_it.leader} leads as before: {sure(with_it)}."
    )


def test_a_run_the_ranking_does_not_use_changes_nothing():
    bench = two_motors()
    bench.motor("Resting", in_use=False)
    idle = bench.run("Resting", "2026-04-11T19:40", **USUAL)
    assert said_of(bench, idle.id) == "Nothing would change in the ranking: it does not use this run."


def test_the_only_run_of_a_motor_takes_it_out_of_the_ranking():
    bench = two_motors()
    run = bench.run("Siskin", "2026-04-11T19:30", **USUAL)
    assert "Without it Siskin is not ranked: no bench run yet. Then Plover still leads:" in said_of(bench, run.id)


def test_fewer_than_two_motors():
    bench = Bench()
    bench.run("Heron", "2026-04-11T18:00", **USUAL)
    only = bench.run("Plover", "2026-04-11T18:05", **USUAL)
    assert said_of(bench, only.id).endswith("Fewer than two motors are left to rank.")
    answer = rank(bench.logbook.snapshot())
    assert without_words(answer, answer).startswith("Nothing would change")
