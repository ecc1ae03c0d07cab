"""Two copies of one logbook, each worked on by itself, merged: nothing that stands is lost, nothing hangs loose."""

import json
from collections import Counter
from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.checking import loose_ends
from pitbench.desk.exchange.merging import MERGED, merge
from pitbench.records.kinds import KINDS, model_of
from pitbench.records.models import BenchRun, Build, Motor
from pitbench.store.logbook import Logbook
from tests.faults.fuzz import logbooks

TREE = json.loads(logbooks()[1])
BASE = [model_of(kind).of(row) for kind in KINDS for row in TREE.get(kind, {}).values()]
TIMES = ("taken_at", "started_at", "written_at")
ACTS = st.lists(
    st.tuples(
        st.sampled_from(["here", "there"]),
        st.sampled_from(["note", "name", "bin", "bin", "back", "new", "undo", "redo"]),
        st.sampled_from([kind for kind in MERGED if TREE.get(kind)]),
        st.integers(0, 9),
        st.sampled_from([0, 60]),
    ),
    max_size=12,
)


class Team:
    """Two laptops whose clocks go alike."""

    def __init__(self):
        self.seconds = 0
        self.here, self.there = self.book(), self.book()

    def book(self):
        logbook = Logbook.in_memory(lambda: datetime(2026, 6, 1, 10, self.seconds // 60, self.seconds % 60))
        logbook.save("as copied", BASE)
        return logbook

    def act(self, where, how, kind, nth, passed):
        self.seconds += passed
        logbook = getattr(self, where)
        rows = logbook.rows(kind, binned=how == "back")
        if how in ("undo", "redo"):
            getattr(logbook.journal, how)()
        elif rows:
            self.change(logbook, how, kind, rows[nth % len(rows)], f"{nth} {where}")

    def change(self, logbook, how, kind, row, text):
        model = model_of(kind)
        named_so = any(text == other.get("name") for other in logbook.rows(kind))
        if how == "bin":
            logbook.journal.bin("bin", [(kind, row["id"])])
        elif how == "back":
            taken = any(other.get("name") == row.get("name", "") for other in logbook.rows(kind))
            if not taken and not list(hanging(logbook, kind, row)):
                logbook.journal.bring_back("back", [(kind, row["id"])])
        elif how in ("note", "name") and how in model.model_fields and not (how == "name" and named_so):
            logbook.save("edit", [model.of({**row, how: text})])
        elif how == "new" and (at := next((name for name in TIMES if name in row), None)):
            made = {**row, "id": f"{row['id'][:20]}{text}", at: f"2026-05-2{text[0]}T10:00"}
            logbook.save("new", [model.of(made)])


def hanging(logbook, kind, row):
    """Records that a run needs and that are not there to be seen."""
    for name, target in (("motor_id", "motor"), ("build_id", "build"), ("track_run_id", "track_run")):
        if kind in ("bench_run", "track_run", "cooling", "load_log") and name in row:
            other = logbook.row(target, row[name])
            if other is None or ("binned_at" in other and target != "build"):
                yield f"{kind} {row['id']}: {name}"


def all_hanging(logbook):
    kinds = ("bench_run", "track_run", "cooling", "load_log")
    return [each for kind in kinds for row in logbook.rows(kind) for each in hanging(logbook, kind, row)]


def content(logbook):
    rows = {kind: logbook.rows(kind) for kind in MERGED}
    return {kind: {row["id"]: {**row, "edited_at": ""} for row in found} for kind, found in rows.items()}


@settings(max_examples=120)
@given(ACTS)
def test_any_two_copies(acts):
    team = Team()
    for act in acts:
        team.act(*act)
    one, other = team.here, team.there
    hung, before, steps = all_hanging(one) + all_hanging(other), content(one), len(one.journal.listed())
    team.seconds += 60
    merge(one, other.snapshot(), "merge")
    merged = content(one)
    assert list(loose_ends(one.snapshot())) == [] or hung
    assert all_hanging(one) == [] or hung
    for kind in ("motor", "class_sheet", "car"):
        assert max(Counter(row["name"].casefold() for row in one.rows(kind)).values(), default=1) == 1
    again = merge(one, other.snapshot(), "again")
    assert not again.saved and not again.both and content(one) == merged
    merge(other, one.snapshot(), "back")
    assert content(other) == merged
    assert not merge(one, other.snapshot(), "there again").saved and content(one) == merged
    if len(one.journal.listed()) > steps:
        assert one.journal.undo() == "merge"
    assert content(one) == before


def test_a_motor_deleted_here_and_run_there_stays_and_that_is_said():
    team = Team()
    motor, build = Motor(id="m", name="Heron"), Build(id="b", motor_id="m")
    for logbook in (team.here, team.there):
        logbook.save("Heron", [motor, build])
    team.seconds = 60
    team.there.save("run", [BenchRun(id="r", motor_id="m", build_id="b", taken_at="2026-05-31T10:00")])
    team.seconds = 120
    team.here.journal.bin("deleted", [("motor", "m")])
    team.here.save("another of this name", [Motor(id="x", name="Heron")])
    found = merge(team.here, team.there.snapshot(), "merge")
    assert {row["name"] for row in team.here.rows("motor")} >= {"Heron", "Heron (deleted)"}
    assert found.doubts == ["Motor Heron (deleted) was deleted in one and used in the other; it stays."]
    assert not merge(team.here, team.there.snapshot(), "again").doubts


@pytest.mark.parametrize("later", ["here", "there"])
def test_the_one_deleted_and_not_used_since_is_gone(later):
    team = Team()
    team.seconds = 60
    run = team.here.rows("bench_run")[0]["id"]
    getattr(team, later).journal.bin("deleted", [("bench_run", run)])
    merge(team.here, team.there.snapshot(), "merge")
    assert "binned_at" in team.here.row("bench_run", run)
