"""Any swaps, runs, edits of a run's time, steps back and forth: every run keeps its build, on paper and merged too.

The oracle is a table of slots kept beside the logbook: three motors, three kinds, what lies in each at every moment.
It knows nothing of builds. Common sense of a workbench, no source.
"""

import copy
from collections import defaultdict
from datetime import datetime, timedelta
from functools import partial

from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.builds import BuildHistory, made_at, parts_of
from pitbench.desk.checking import loose_ends
from pitbench.desk.entry import bench_entry
from pitbench.desk.entry.setup_entry import edit_change, save_change
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.desk.exchange.merging import merge
from pitbench.desk.parts.swapping import Shelf, save_swap, swap_texts
from pitbench.desk.workshop import Workshop
from pitbench.records.kinds import KINDS, model_of
from pitbench.records.models import BenchRun, Motor, TrackRun
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import stamp_of
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook

BEGAN = datetime(2026, 5, 17, 10, 0)
MOTORS, PARTS = ("Heron", "Plover", "Whio"), ("stator", "rotor", "end_bell")
GAP = "missing"
RUNS = ("bench_run", "track_run")

MOTOR, KIND = st.integers(0, 2), st.integers(0, 2)
NAME = st.integers(0, 5)
"""Of the parts of a kind: 0 to 2 began in the motors, 3 and 4 are new, 5 takes one out."""
PASSED = st.sampled_from([0, 20, 60, 400])
ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("swap"), MOTOR, KIND, NAME, PASSED),
        st.tuples(st.just("swap"), MOTOR, KIND, NAME, PASSED),
        st.tuples(st.just("bench"), MOTOR, KIND, NAME, PASSED),
        st.tuples(st.just("track"), MOTOR, KIND, NAME, PASSED),
        st.tuples(st.just("tried"), MOTOR, KIND, st.integers(0, 4), PASSED),
        st.tuples(st.just("move"), st.integers(0, 9), KIND, st.integers(-60, 900), PASSED),
        st.tuples(st.just("time"), st.integers(0, 9), KIND, st.integers(-60, 900), PASSED),
        st.tuples(st.sampled_from(["undo", "redo"]), MOTOR, KIND, NAME, PASSED),
    ),
    max_size=14,
)


def part_name(kind: int, nth: int) -> str:
    """Those that began in a motor go by its name: nobody has named them."""
    spoken = PARTS[kind].replace("_", " ")
    return GAP if nth == 5 else f"{MOTORS[nth]} {spoken}" if nth < 3 else f"{spoken} {nth}"


class Bench:
    """A logbook, and beside it the slots of the motors at every moment, and what each run was made with."""

    def __init__(self) -> None:
        self.now = BEGAN
        self.book = Logbook.in_memory(lambda: self.now)
        self.motors = [Motor(id=f"m{nth}", name=name) for nth, name in enumerate(MOTORS)]
        shop = Workshop(self.book)
        for motor in self.motors:
            shop.first_build(motor.row(), {})
        self.book.save("motors", [*self.motors, *shop.to_save.values()])
        self.past: list[tuple[str, int, list[str]]] = []
        for motor in range(3):
            self.past.append(("", motor, [part_name(kind, motor) for kind in range(3)]))
        self.made_with: dict[str, list[str]] = {}
        self.trials: dict[str, tuple[int, str] | None] = {}
        """The kind and the name of the part that was tried; None once its time was put right: all are as then."""
        self.done: list[tuple] = []
        self.undone: list[tuple] = []

    @property
    def slots(self) -> list[list[str]]:
        return [self.at("9999", motor) for motor in range(3)]

    def at(self, stamp: str, motor: int) -> list[str]:
        return next(slots for since, of, slots in reversed(self.past) if of == motor and since <= stamp)

    def state(self) -> tuple:
        return copy.deepcopy((self.past, self.made_with, self.trials))

    def act(self, how: str, one: int, kind: int, nth: int, passed: int) -> None:
        self.now += timedelta(seconds=passed)
        before, steps = self.state(), len(self.book.journal.listed())
        if how in ("undo", "redo"):
            self.step(how)
            return
        getattr(self, how)(one, kind, nth)
        if len(self.book.journal.listed()) > steps:
            self.done.append(before)
            self.undone.clear()
        else:
            assert self.state() == before

    def step(self, how: str) -> None:
        source, target = (self.done, self.undone) if how == "undo" else (self.undone, self.done)
        if not source:
            return
        assert getattr(self.book.journal, how)() is not None
        target.append(self.state())
        self.past, self.made_with, self.trials = source.pop()

    def swap(self, motor: int, kind: int, nth: int) -> None:
        name, slots = part_name(kind, nth), copy.deepcopy(self.slots)
        old = slots[motor][kind]
        texts = swap_texts(self.book.snapshot(), f"m{motor}", PARTS[kind], None) | {"part": name}
        try:
            save_swap(self.book, texts, self.now)
        except Refusal as refusal:
            assert old == name and "already" in str(refusal)
            return
        assert old != name
        for other in slots:
            if name != GAP and other[kind] == name:
                other[kind] = old
        slots[motor][kind] = name
        since = max(
            row["since"] for row in self.book.rows("build") if row["motor_id"] == f"m{motor}" and "since" in row
        )
        changed = [other for other in range(3) if slots[other] != self.slots[other]]
        self.past += [(since, other, slots[other]) for other in changed]

    def bench(self, motor: int, kind: int, nth: int) -> None:
        """At the time its form says."""
        entry = bench_entry.new_entry(self.book.snapshot(), self.now, f"m{motor}")
        self.run(BenchRun, motor, taken_at=entry.texts["taken_at"].replace(" ", "T"), kv_rpm_per_v=3950)
        assert self.made_with[self.last] == self.slots[motor]

    def track(self, motor: int, kind: int, nth: int) -> None:
        self.run(TrackRun, motor, started_at=stamp_of(self.now))

    def tried(self, motor: int, kind: int, nth: int) -> None:
        shop, at, name = Workshop(self.book), stamp_of(self.now), part_name(kind, nth)
        if self.at(at, motor)[kind] == name:
            return  # what is in there already is not tried
        build = shop.tested(self.motors[motor].row(), at, {PARTS[kind]: name})
        self.run(
            BenchRun, motor, shop, taken_at=at, kv_rpm_per_v=3950, build_id=build["id"], parts_named=(PARTS[kind],)
        )
        self.made_with[self.last][kind] = name
        self.trials[self.last] = kind, name

    def run(self, model, motor: int, shop: Workshop | None = None, **fields) -> None:
        at = fields.get("taken_at") or fields["started_at"]
        kind = "bench_run" if model is BenchRun else "track_run"
        place = sum(made_at(run) == at and run["motor_id"] == f"m{motor}" for run in self.rows(kind))
        made_on = {"build_id": bench_entry.tested_build(self.book.snapshot(), f"m{motor}", at, None)}
        run = model(**{"motor_id": f"m{motor}", "place": place} | made_on | fields)
        self.book.save("run", [*(shop.to_save.values() if shop else ()), run])
        self.last = run.id
        self.made_with[run.id] = list(self.at(at, motor))

    def rows(self, kind: str) -> list:
        return [*self.book.rows(kind), *self.book.rows(kind, binned=True)]

    def time(self, which: int, kind: int, seconds: int) -> None:
        """The time of a bench run put right in its form."""
        runs = sorted(self.book.rows("bench_run"), key=lambda run: run["id"])
        if not runs:
            return
        run = runs[which % len(runs)]
        entry = bench_entry.edit_entry(self.book.snapshot(), run["id"])
        at = entry.texts["taken_at"] = self.before_now(seconds)
        bench_entry.save_run(self.book, entry, self.now, ())
        if run["id"] not in self.trials:
            self.made_with[run["id"]] = list(self.at(at, int(run["motor_id"][1])))
        elif at != run["taken_at"]:
            self.trials[run["id"]] = None

    def before_now(self, seconds: int) -> str:
        return stamp_of(BEGAN + min(timedelta(seconds=seconds), self.now - BEGAN - timedelta(minutes=1)))

    def move(self, which: int, kind: int, seconds: int) -> None:
        """The time of a swap put right in the setup log."""
        entries = sorted(self.book.rows("setup_entry"), key=lambda entry: entry["id"])
        if not entries:
            return
        entry = entries[which % len(entries)]
        change = edit_change(self.book.snapshot(), entry["id"])
        at = change.texts["written_at"] = self.before_now(seconds)
        try:
            save_change(self.book, change, self.now)
        except Refusal as refusal:
            assert "is past what else was done" in str(refusal)
            return
        told = entry["written_at"]
        self.past = [(at if since == told else since, motor, slots) for since, motor, slots in self.past]
        for run in [*self.book.rows("bench_run"), *self.book.rows("track_run")]:
            tried = self.trials.get(run["id"], ())
            if tried is not None:
                self.made_with[run["id"]] = list(self.at(made_at(run), int(run["motor_id"][1])))
            if tried:
                self.made_with[run["id"]][tried[0]] = tried[1]


def made_with(book: Logbook) -> dict[str, list[str]]:
    """The names of the parts of the build each run was made on."""
    name = {row["id"]: row["name"] for row in book.rows("part")}
    builds = {row["id"]: parts_of(row) for row in book.rows("build")}
    return {
        run["id"]: [name[part] if part else GAP for part in builds[run["build_id"]]]
        for kind in RUNS
        for run in book.rows(kind)
    }


def by_time(book: Logbook) -> dict[tuple, list[list[str]]]:
    """The same by motor and time, in the order of place, which is alike in every logbook."""
    name = {row["id"]: row["name"] for row in book.rows("motor")}
    has, found = made_with(book), defaultdict(list)
    for kind in RUNS:
        for run in sorted(book.rows(kind), key=lambda run: run.get("place", 0)):
            found[kind, name[run["motor_id"]], made_at(run)].append(has[run["id"]])
    return found


def on_paper(book: Logbook, now: datetime) -> Logbook:
    """Its sheets, loaded into an empty logbook."""
    new = Logbook.in_memory(lambda: now)
    read = partial(read_sheet_text, day=Day(now))
    files = [read(f"{name}.csv", text) for name, text in sheets_of(book.snapshot()).items()]
    report = load_files(new, files)
    assert not [fault for each in report.reports for fault in each.faults]
    return new


@settings(max_examples=100)
@given(ACTS)
def test_every_run_knows_what_it_was_made_with(acts):
    bench = Bench()
    for act in acts:
        bench.act(*act)
        assert made_with(bench.book) == bench.made_with
        shelf = Shelf(bench.book.snapshot())
        assert [[shelf.in_motor(motor.row(), kind) for kind in PARTS] for motor in bench.motors] == bench.slots
        assert list(loose_ends(bench.book.snapshot())) == []
    assert by_time(on_paper(bench.book, bench.now)) == by_time(bench.book)


@settings(max_examples=100)
@given(ACTS, ACTS, ACTS)
def test_two_laptops_swap_on_and_are_merged(before, here, there):
    one = Bench()
    for act in before:
        one.act(*act)
    other = Bench()
    other.now = one.now
    other.book = Logbook.in_memory(lambda: other.now)
    other.book.save("as copied", [model_of(kind).of(row) for kind in KINDS for row in one.book.rows(kind)])
    other.past, other.made_with, other.trials = one.state()
    other.now += timedelta(hours=2)  # so that no swap is at the very same time on both
    for bench, acts in ((one, here), (other, there)):
        for act in acts:
            bench.act(*(act if act[0] not in ("time", "move") else ("bench", act[1] % 3, *act[2:])))
    one.now = other.now = max(one.now, other.now)
    both = other.made_with | one.made_with
    merge(one.book, other.book.snapshot(), "merge")
    merge(other.book, one.book.snapshot(), "back")
    assert made_with(one.book) == made_with(other.book)
    found = made_with(one.book)
    kept = {key for key in both if key in found}
    assert {key: found[key] for key in kept} == {key: both[key] for key in kept}


PAST = st.lists(
    st.tuples(MOTOR, KIND, NAME, st.integers(0, 60), st.sampled_from(["swap", "swap", "run"])), min_size=2, max_size=10
)


@settings(max_examples=100)
@given(PAST)
def test_swaps_told_late_move_the_runs_made_since_and_no_others(acts):
    bench = Bench()
    for motor, kind, nth, minute, how in acts:
        at = stamp_of(BEGAN - timedelta(minutes=minute))
        if how == "run":
            bench.run(BenchRun, motor, taken_at=at, kv_rpm_per_v=3950)
            continue
        before, rows = made_with(bench.book), {run["id"]: run for run in bench.book.rows("bench_run")}
        text = {"part": part_name(kind, nth), "written_at": at.replace("T", " ")}
        entries = len(bench.book.rows("setup_entry"))
        try:
            save_swap(bench.book, swap_texts(bench.book.snapshot(), f"m{motor}", PARTS[kind], None) | text, bench.now)
        except Refusal:
            assert made_with(bench.book) == before and len(bench.book.rows("setup_entry")) == entries
            continue
        after = made_with(bench.book)
        moved = {key for key in before if before[key] != after[key]}
        assert all(made_at(rows[key]) >= at for key in moved)
        others = [(before[key][k], after[key][k]) for key in moved for k in range(3) if k != kind]
        assert all(has in (had, GAP) for had, has in others)  # a part that another motor had taken by then
    history = BuildHistory(bench.book.rows("build"))
    for run in bench.book.rows("bench_run"):
        assert run["build_id"] == history.in_force(run["motor_id"], run["taken_at"])["id"]
    assert not any(history.sharers(build) for build in bench.book.rows("build"))
    assert by_time(on_paper(bench.book, bench.now)) == by_time(bench.book)
