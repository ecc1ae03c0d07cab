"""Whatever a logbook holds, every change gets an answer that can be printed."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import plain
from pitbench.desk.changes.judged import changes_of, judged
from pitbench.records.models import Build, Car, Event, SetupEntry
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.changes import brought_words, in_short, offered
from tests.unit.desk.any_records import records
from tests.unit.desk.bench_side import USUAL
from tests.unit.desk.race_days import RaceDays

NAMES = ("Heron", "Plover")
WHAT = ("bearings", "rotor", "end bell", "pinion", "timing mark", "rear spring", "tyres")
MINUTE = st.integers(0, 40)
ACT = st.one_of(
    st.tuples(st.sampled_from(["bench", "race", "build"]), MINUTE, st.sampled_from(NAMES)),
    st.tuples(st.sampled_from(WHAT), MINUTE, st.sampled_from((*NAMES, ""))),
)


def written(acts):
    """The acts on one day, each at its own time; several at one time are likely."""
    days = RaceDays(*NAMES)
    car, event = Car(name="grey car"), Event(name="Saltmouth", date="2026-05-16")
    days.events["Saltmouth"] = event
    days.logbook.save("day", [car, event])
    for nth, (what, minute, name) in enumerate(acts):
        at = f"2026-05-16T{10 + minute // 10:02d}:{5 * (minute % 10):02d}"
        if what == "bench":
            days.run(name, at, **(USUAL | {"no_load_current_a": 3.8 + 0.05 * (nth % 5)}))
        elif what == "race":
            fields = {"car_id": car.id, "pinion": 30 + nth % 2, "finish_reading_c": 60.0 + nth, "ambient_c": 22.0}
            days.race(name, at, 15.0 + 0.05 * (nth % 3), **fields)
        elif what == "build":
            parts = {f"{kind}_id": f"{name} {kind}" for kind in ("stator", "rotor")}
            days.builds[name] = Build(motor_id=days.motors[name].id, since=at, end_bell_id=f"E{nth}", **parts)
            days.logbook.save("swap", [days.builds[name]])
        else:
            owner = {"motor_id": days.motors[name].id} if name else {}
            rest = {"event_id": event.id, "car_id": car.id} if minute % 2 else {}
            days.logbook.save("change", [SetupEntry(written_at=at, what=what, was="a", now="b", **owner, **rest)])
    return days.logbook


@settings(max_examples=25, deadline=None)
@given(st.lists(ACT, max_size=16))
def test_every_change_gets_an_answer(acts):
    logbook = written(acts)
    found = judged(logbook.snapshot())
    assert len(found) == len(logbook.rows("setup_entry"))
    json.dumps(plain(changes_of(found)), allow_nan=False)
    for each in found:
        assert brought_words(each, Units()) and all("nan" not in text for text in (in_short(each), offered(each)))
        bench = each.change.bench
        if bench and not (bench.before and bench.after):
            assert bench.chance_helped is None
        for side in (bench, each.change.track):
            assert side is None or side.chance_helped is None or 0 <= side.chance_helped <= 1


@settings(max_examples=15, deadline=None)
@given(records())
def test_whatever_was_written_down(found):
    logbook = Logbook.in_memory()
    logbook.save("all of it", found)
    json.dumps(plain(changes_of(judged(logbook.snapshot()))), allow_nan=False)
