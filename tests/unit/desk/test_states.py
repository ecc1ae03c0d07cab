"""Motor work starts a new state: it informs the newest, and what nobody worked on pays nothing. States: ours."""

from datetime import datetime

import pytest

from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.setup_entry import new_change, save_change
from tests.unit.desk.bench_side import USUAL, Bench

NOW = datetime(2026, 4, 12, 12, 0)


def worked_on(what="bearings", now="cleaned", at="2026-04-12T09:40", after=3):
    """Heron and Plover on one evening; then Heron worked on, and run again the day after with 8 % less current."""
    bench = Bench()
    for i in range(3):
        for name in ("Heron", "Plover"):
            bench.run(name, f"2026-04-11T18:{10 + 4 * i + 2 * (name == 'Heron')}", **USUAL)
    for i in range(after):
        for name, current in (("Heron", 3.68), ("Plover", 4.0)):
            taken = f"2026-04-12T10:{10 + 4 * i + 2 * (name == 'Heron')}"
            bench.run(name, taken, **(USUAL | {"no_load_current_a": current}))
    if what:
        change = new_change(bench.logbook.snapshot(), NOW, what)
        change.texts |= {"written_at": at.replace("T", " "), "motor": "Heron", "now": now}
        save_change(bench.logbook, change, NOW)
    return bench


def currents(bench):
    answer = rank(bench.logbook.snapshot())
    return {motor.motor: motor.figures["no_load_current_a"] for motor in answer.motors}


def test_the_motor_is_compared_as_it_is_now():
    before, after = currents(worked_on(what=None)), currents(worked_on())
    assert after["Heron"].mean == pytest.approx(3.68, rel=0.012)
    assert before["Heron"].mean == pytest.approx(3.84, rel=0.02)  # without the entry: the mean of both days


def test_what_nobody_worked_on_pays_nothing():
    """The same runs with and without work on the other motor: Plover's interval is no wider by a tenth."""
    alone, beside = currents(worked_on(what=None))["Plover"], currents(worked_on())["Plover"]
    assert beside.high90 - beside.low90 <= 1.1 * (alone.high90 - alone.low90)
    assert rank(worked_on(what="wheel bearings").logbook.snapshot()) == rank(worked_on(what=None).logbook.snapshot())


def test_work_with_nothing_read_since_makes_the_current_less_certain():
    known, open_ = currents(worked_on(what=None, after=0))["Heron"], currents(worked_on(after=0))["Heron"]
    assert open_.high90 - open_.low90 > 1.5 * (known.high90 - known.low90)
