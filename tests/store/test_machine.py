"""Any mix of saving, binning, undo, redo and restarting against a model that keeps whole states in a list."""

import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, invariant, precondition, rule

from pitbench.records.models import Motor
from pitbench.store.logbook import Logbook


class Machine(RuleBasedStateMachine):
    """The model: motors as {id: (name, turns, why in the bin)}, done as [(before, after)], undone likewise."""

    motors = Bundle("motors")

    def __init__(self):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "logbook.json"
        self.now = datetime(2026, 5, 10, 18, 0)
        self.book = self.opened()
        self.state, self.done, self.undone = {}, [], []

    def opened(self):
        return Logbook.open(self.path, create=True, clock=self.later)

    def later(self):
        """A clock by which each look at it is a second after the one before, on every machine."""
        self.now += timedelta(seconds=1)
        return self.now

    def teardown(self):
        self.book.close()
        self.folder.cleanup()

    def act(self, after):
        if after != self.state:
            self.done.append((self.state, after))
            self.undone.clear()
            self.state = after

    @rule(target=motors, count=st.integers(1, 3), turns=st.none() | st.integers(1, 30))
    def add(self, count, turns):
        new = [Motor(name=f"motor {n}", turns=turns) for n in range(count)]
        self.book.save("add", new)
        self.act({**self.state, **{motor.id: (motor.name, motor.turns, None) for motor in new}})
        return new[0].id

    @rule(motor=motors, turns=st.none() | st.integers(1, 30))
    def edit(self, motor, turns):
        self.book.save("edit", [Motor(id=motor, name="edited", turns=turns)])
        self.act({**self.state, motor: ("edited", turns, None)})

    @rule(motor=motors)
    def bin(self, motor):
        self.book.journal.bin("bin", [("motor", motor)])
        name, turns, _ = self.state[motor]
        self.act({**self.state, motor: (name, turns, "deleted")})

    @rule(motor=consumes(motors))
    def bring_back(self, motor):
        self.book.journal.bring_back("back", [("motor", motor)])
        name, turns, _ = self.state[motor]
        self.act({**self.state, motor: (name, turns, None)})

    @rule()
    def undo(self):
        assert (self.book.journal.undo() is not None) == bool(self.done)
        if self.done:
            before, after = self.done.pop()
            self.undone.append((before, after))
            added = {key: (*after[key][:2], "undone") for key in after.keys() - before.keys()}
            self.state = {**before, **added}
            self.restate()

    @rule()
    def redo(self):
        assert (self.book.journal.redo() is not None) == bool(self.undone)
        if self.undone:
            before, after = self.undone.pop()
            self.done.append((before, after))
            self.state = after
            self.restate()

    def restate(self):
        """A record that an undo put into the bin is part of every state from then on."""
        binned = {key: value for key, value in self.rows().items() if key not in self.state}
        assert all(why == "undone" for _, _, why in binned.values())
        self.state = {**self.state, **binned}

    @rule()
    def restart(self):
        self.book.close()
        self.book = self.opened()

    @precondition(lambda self: self.path.exists())
    @rule()
    def read_beside(self):
        assert Logbook.open(self.path, write=False).snapshot().rows("motor") == self.book.rows("motor")

    def rows(self):
        rows = self.book.rows("motor") + self.book.rows("motor", binned=True)
        return {row["id"]: (row["name"], row.get("turns"), row.get("binned_why")) for row in rows}

    @invariant()
    def same(self):
        assert self.rows() == self.state
        assert {motor.id for motor in self.book.records("motor")} == {k for k, v in self.state.items() if not v[2]}


TestMachine = Machine.TestCase
TestMachine.settings = settings(max_examples=40, stateful_step_count=30, deadline=None)
