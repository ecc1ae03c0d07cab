"""Bench sessions worked out on reading."""

from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.sessions import in_time, newest, run_numbers, sessions, timely

RUNS = st.lists(
    st.fixed_dictionaries(
        {"taken_at": st.sampled_from(["2026-04-11", "2026-04-11T10:00", "2026-04-11T10:00:00", "2026-04-11T10:00:30"])},
        optional={"place": st.integers(0, 2), "kv_rpm_per_v": st.sampled_from([3900.0, 3950.0])},
    )
)


def run(key, taken_at, motor="Heron", **fields):
    return {"id": key, "taken_at": taken_at, "motor_id": motor, **fields}


def test_a_session_is_tester_name_and_date():
    found = sessions(
        [
            run("a", "2026-04-11T09:00", tester="box", session="Evening"),
            run("b", "2026-04-11T23:00", tester="Box", session="evening"),
            run("c", "2026-04-12T09:00", tester="box", session="evening"),
            run("d", "2026-04-11T09:00", tester="other", session="evening"),
        ]
    )
    assert found["a"] == found["b"]
    assert len({found["a"], found["c"], found["d"]}) == 3


def test_without_a_name_runs_less_than_two_hours_apart_belong_together():
    found = sessions(
        [
            run("c", "2026-04-11T12:30"),
            run("a", "2026-04-11T09:00"),
            run("b", "2026-04-11T10:45"),
            run("d", "2026-04-11T14:30"),
            run("e", "2026-04-11T10:00", tester="other"),
        ]
    )
    assert found["a"] == found["b"] == found["c"]
    assert len({found["a"], found["d"], found["e"]}) == 3


def test_runs_of_a_motor_are_numbered_within_the_session():
    runs = [
        run("b", "2026-04-11T10:00", place=1),
        run("a", "2026-04-11T10:00"),
        run("c", "2026-04-11T10:10", "Plover"),
        run("d", "2026-04-11T10:20"),
        run("e", "2026-04-12T10:20"),
    ]
    assert run_numbers(runs, sessions(runs)) == {"a": 0, "b": 1, "d": 2, "c": 0, "e": 0}


@given(runs=RUNS)
def test_runs_in_time_are_as_sorted_one_by_one(runs):
    assert [id(run) for run in timely(runs)] == [id(run) for run in sorted(runs, key=in_time)]
    assert newest(timely(runs)) is max(runs, key=in_time, default=None)
