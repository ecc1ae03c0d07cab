"""Any histories of two laptops, merged now and then in either direction, against a bookkeeper who saw every edit.

The bookkeeper numbers the edits of each cell and knows which laptop has seen which. What must come out follows from
that alone: common practice of three-way merging, no source. Nothing of how pitbench remembers edits is used.
"""

import os
from datetime import datetime, timedelta
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.checking import loose_ends
from pitbench.desk.exchange.merging import MERGED, merge
from pitbench.records.kinds import model_of
from pitbench.records.models import BenchRun, Build, Motor, Part, SetupEntry, TrackRun
from pitbench.store.logbook import Logbook

EXAMPLES = int(os.environ.get("PITBENCH_MERGES", "60"))
AT = "2026-05-03T18:00"
BASE = [
    Motor(id="m1", name="Heron"),
    Motor(id="m2", name="Whio", turns=13.5),
    Build(id="b1", motor_id="m1"),
    Build(id="b2", motor_id="m2"),
    BenchRun(
        id="r1", motor_id="m1", build_id="b1", taken_at=AT, kv_rpm_per_v=3950, kept=("rpm",), extra={"air": "dry"}
    ),
    BenchRun(id="r2", motor_id="m2", build_id="b2", taken_at=AT, no_load_current_a=3.1),
    TrackRun(id="t1", motor_id="m1", build_id="b1", started_at=AT, lap_times_s=(20.1, 20.3)),
    SetupEntry(id="s1", written_at=AT, what="pinion", motor_id="m1"),
]
VALUES = {
    "note": [None, "fresh brushes", "old brushes", "dusty"],
    "excluded_why": [None, "slipped", "cold"],
    "kv_rpm_per_v": [None, 3950.0, 3960.0, 3970.0],
    "turns": [None, 13.5, 17.5],
    "check_motor": [None, True],
    "lap_times_s": [None, [20.1, 20.3], [20.4]],
    "outcome": [None, "better", "worse"],
    "kept.rpm": [None, True],
    "kept.kv_rpm_per_v": [None, True],
    "extra.air": [None, "dry", "damp"],
}
HAS = {
    "motor": ["note", "turns", "check_motor"],
    "bench_run": ["note", "excluded_why", "kv_rpm_per_v", "kept.rpm", "kept.kv_rpm_per_v", "extra.air"],
    "track_run": ["note", "excluded_why", "lap_times_s"],
    "setup_entry": ["outcome"],
}
SIDES = ("here", "there")
EDIT = st.tuples(
    st.sampled_from(SIDES),
    st.sampled_from(["edit", "edit", "edit", "edit", "bin", "back", "new run", "new part", "undo"]),
    st.integers(0, 9),
    st.integers(0, 9),
    st.integers(0, 3),
)
ROUND = st.tuples(st.lists(EDIT, max_size=6), st.sampled_from(["here", "there", "both", "crossed"]))


def value_of(row, cell):
    name, _, entry = cell.partition(".")
    if cell == "bin":
        return "binned_at" in row or None
    if name == "kept":
        return entry in row.get("kept", []) or None
    return row.get(name, {}).get(entry) if entry else row.get(name)


def row_with(row, cell, value):
    name, _, entry = cell.partition(".")
    if name == "kept":
        value = [one for one in [*row.get("kept", []), entry] if one != entry] + [entry] * bool(value)
    elif entry:
        value = {**row.get(name, {}), entry: value} if value else {}
    return {key: one for key, one in {**row, name: value}.items() if one is not None}


class Edit(NamedTuple):
    """An edit of a cell and the numbers of all that were known when it was made, its own too."""

    number: int
    when: str
    value: object
    line: frozenset


class Bookkeeper:
    """Of each cell on each side the edit in force, as a history of branches keeps it."""

    def __init__(self):
        self.now = {side: {} for side in SIDES}
        self.edits = {}

    def learn(self, side, row, kind, when):
        for cell in [*HAS[kind], "bin"]:
            at = kind, row["id"], cell
            self.now[side][at] = self.edit(at, when, value_of(row, cell), frozenset())

    def set(self, side, at, when, value):
        self.now[side][at] = self.edit((at, side, when), when, value, self.now[side][at].line)

    def edit(self, key, when, value, before):
        """The same one for the same key: both laptops put the same two together."""
        number = len(self.edits)
        return self.edits.setdefault(key, Edit(number, when, value, before | {number}))

    def merge(self, into, other):
        """Take over what the other knows; the clashes, and the records both edited."""
        clashes, edited = 0, {side: set() for side in SIDES}
        for at, theirs in self.now[other].items():
            mine = self.now[into].get(at, theirs)
            if mine.number in theirs.line or theirs.number in mine.line:
                base = mine if mine.number in theirs.line else theirs
            else:
                shared = [each for each in self.edits.values() if each.number in mine.line & theirs.line]
                base = max(shared, key=lambda each: len(each.line))
            changed = [edit.value != base.value for edit in (mine, theirs)]
            for side, has in zip((into, other), changed, strict=True):
                edited[side] |= {at[:2]} if has else set()
            clashes += all(changed) and mine.value != theirs.value and at[2] != "bin"
            if base in (mine, theirs):
                self.now[into][at] = theirs if base == mine else mine
            else:
                newer = max(mine, theirs, key=lambda edit: edit.when)
                stands = newer if changed[0] == changed[1] else theirs if changed[1] else mine
                both = frozenset({mine.number, theirs.number})
                self.now[into][at] = self.edit(both, stands.when, stands.value, mine.line | theirs.line)
        return clashes, edited[into] & edited[other]


class Team:
    """Two laptops that began with copies of one logbook; every action has a second of its own."""

    def __init__(self):
        self.clock, self.made = datetime(2026, 6, 1), 0
        self.books = {side: Logbook.in_memory(lambda: self.clock) for side in SIDES}
        self.keeper = Bookkeeper()
        for side, book in self.books.items():
            book.save("as copied", BASE)
            for kind in HAS:
                for row in book.rows(kind):
                    self.keeper.learn(side, row, kind, "")

    def tick(self):
        self.clock += timedelta(seconds=1)
        return self.clock.isoformat()

    def act(self, side, how, which, what, value):
        book, when = self.books[side], self.tick()
        if how.startswith("new"):
            self.made += 1
            getattr(self, how.replace(" ", "_"))(book, side, when)
            return
        if how == "undo":
            self.undo(book, side, when)
            return
        rows = [(kind, row) for kind in HAS for row in book.rows(kind, binned=how == "back")]
        rows = [each for each in rows if how == "edit" or each[0] in ("bench_run", "track_run", "setup_entry")]
        if not rows:
            return
        kind, row = rows[which % len(rows)]
        if how == "edit":
            cell = HAS[kind][what % len(HAS[kind])]
            new = VALUES[cell][value % len(VALUES[cell])]
            if value_of(row, cell) != new:
                book.save("edit", [model_of(kind).of(row_with(row, cell, new))])
                self.keeper.set(side, (kind, row["id"], cell), when, new)
        else:
            (book.journal.bin if how == "bin" else book.journal.bring_back)(how, [(kind, row["id"])])
            self.keeper.set(side, (kind, row["id"], "bin"), when, True if how == "bin" else None)

    def undo(self, book, side, when):
        """Only an edit is taken back here; that of a merge has a test of its own."""
        change = next((each for each in book.journal.listed() if not each.taken_back), None)
        if change is None or change.words not in ("edit", "bin", "back"):
            return
        before = {(kind, row["id"]): row for kind in HAS for row in both(book, kind)}
        book.journal.undo()
        for kind in HAS:
            for row in both(book, kind):
                for cell in [*HAS[kind], "bin"]:
                    if value_of(row, cell) != value_of(before[kind, row["id"]], cell):
                        self.keeper.set(side, (kind, row["id"], cell), when, value_of(row, cell))

    def new_run(self, book, side, when):
        run = BenchRun(id=f"n{self.made}", motor_id="m1", build_id="b1", taken_at=when, kv_rpm_per_v=3900)
        book.save("new run", [run])
        self.keeper.learn(side, book.row("bench_run", run.id), "bench_run", when)

    def new_part(self, book, side, when):
        part = Part(id=f"p{self.made}", kind="rotor", name=f"R{self.made}")
        build = Build(id=f"pb{self.made}", motor_id="m2", since=when, rotor_id=part.id, fitted=self.made % 2 == 0)
        book.save("new part", [part, build])

    def crossed(self):
        """Both merge what the other had before, so each names the clashes."""
        had, before = self.books["here"].snapshot(), dict(self.keeper.now["here"])
        self.merge("here")
        after, self.keeper.now["here"] = self.keeper.now["here"], before
        self.merge("there", had)
        self.keeper.now["here"] = after

    def merge(self, into, snapshot=None):
        """One direction; what is named must be what clashed."""
        other = next(side for side in SIDES if side != into)
        self.tick()
        clashes, edited = self.keeper.merge(into, other)
        found = merge(self.books[into], snapshot or self.books[other].snapshot(), "merge")
        assert len(found.doubts) == clashes, found.doubts
        assert len(found.both) == len(edited), (found.both, edited)
        self.must_agree(into)

    def must_agree(self, side):
        for (kind, key, cell), edit in self.keeper.now[side].items():
            has = value_of(self.books[side].row(kind, key), cell)
            assert has == edit.value, (side, kind, key, cell, has, edit.value)


def both(book, kind):
    return [*book.rows(kind), *book.rows(kind, binned=True)]


def content(book):
    return {kind: {row["id"]: {**row, "edited_at": ""} for row in both(book, kind)} for kind in MERGED}


def settle(team):
    """Merge to and fro until nothing can be new, and once more."""
    team.merge("here")
    team.merge("there")
    here, there = (content(book) for book in team.books.values())
    assert here == there
    for side in (*SIDES, *SIDES):
        steps = len(team.books[side].journal.listed())
        team.merge(side)
        assert content(team.books[side]) == here and len(team.books[side].journal.listed()) == steps
    for book in team.books.values():
        assert list(loose_ends(book.snapshot())) == []


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(ROUND, max_size=5))
def test_nothing_one_side_changed_is_lost_and_each_clash_is_named_once(rounds):
    team = Team()
    for edits, direction in rounds:
        for edit in edits:
            team.act(*edit)
        if direction == "crossed":
            team.crossed()
        for into in SIDES if direction == "both" else {direction} & {*SIDES}:
            team.merge(into)
    settle(team)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(EDIT, max_size=10), st.lists(EDIT, max_size=4))
def test_the_order_of_merging_makes_no_difference(edits, later):
    ends = []
    for first, second in (SIDES, SIDES[::-1]):
        team = Team()
        for edit in edits:
            team.act(*edit)
        team.merge(first)
        team.merge(second)
        ends.append(content(team.books["here"]))
        for edit in later:
            team.act(*edit)
        settle(team)
    assert ends[0] == ends[1]


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(EDIT, max_size=10))
def test_a_merge_taken_back_can_be_done_again(edits):
    team = Team()
    for edit in edits:
        team.act(*edit)
    one, other = team.books.values()
    before, steps = content(one), len(one.journal.listed())
    found = merge(one, other.snapshot(), "merge")
    merged = content(one)
    if len(one.journal.listed()) > steps:
        one.journal.undo()
        live = {
            kind: {key: row for key, row in rows.items() if key in before[kind]} for kind, rows in content(one).items()
        }
        assert live == before
        again = merge(one, other.snapshot(), "merge")
        assert (again.doubts, again.both, content(one)) == (found.doubts, found.both, merged)
        one.journal.undo()
        assert one.journal.redo() == "merge" and content(one) == merged
        assert merge(one, other.snapshot(), "once more").saved is False
