"""What every change brought: by bench and track, before and after, told together where nothing parts them."""

import pytest

from pitbench.desk.answers import plain
from pitbench.desk.changes.judged import asked, changes_of, judged
from pitbench.records.kinds import model_of
from pitbench.records.models import Build, Car, SetupEntry
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import FIGURES
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.changes import brought_words, offered
from tests.unit.desk.bench_side import USUAL, Bench
from tests.unit.desk.race_days import RaceDays


def changed(bench, at, what, motor="", **fields):
    """An entry of the setup log."""
    owner = {"motor_id": bench.motors[motor].id} if motor else {}
    entry = SetupEntry(written_at=at, what=what, **owner, **fields)
    bench.logbook.save("change", [entry])
    return entry


def cleaned(*, after=3, current=4.24, evening="2026-05-16"):
    """Heron and Plover, three runs each; Heron's bearings cleaned; three runs each more on the same evening."""
    bench = Bench()
    for i in range(6):
        if i >= 3 + after:
            break
        for name, minute in (("Plover", 0), ("Heron", 4)):
            amps = (current if i > 2 else 4.60) if name == "Heron" else 4.0
            at = f"{evening}T{9 + (i > 2):02d}:{10 * (i % 3) + minute:02d}"
            bench.run(name, at, **(USUAL | {"no_load_current_a": amps + 0.01 * (i % 3)}))
    changed(bench, f"{evening}T09:40", "bearings", "Heron", now="cleaned")
    return bench


def only(bench):
    [found] = judged(bench.logbook.snapshot())
    return found


def test_cleaning_is_told_from_the_runs_on_both_sides():
    found = only(cleaned())
    bench = found.change.bench
    current = bench.figures["no_load_current_a"]
    assert (bench.before, bench.after) == (3, 3)
    assert current.low90 < -0.36 < current.high90 < 0 and current.mean == pytest.approx(-0.36, abs=0.05)
    assert bench.chance_helped > 0.8 and found.power_pct.mean > 0.3
    [said] = brought_words(found, Units())
    assert said.startswith("Bench, 3 runs before and 3 after: current 0.3") and "that it helped" in said
    assert offered(found).startswith("better, power at load +")


def test_nothing_on_one_side_is_no_telling_and_says_what_would():
    found = only(cleaned(after=0))
    assert found.change.bench.chance_helped is None and found.change.bench.figures["kv_rpm_per_v"].mean is None
    assert brought_words(found, Units()) == ["Bench, 3 runs before and none after: no telling; 2 runs now would tell."]
    assert offered(found) == ""


def test_a_change_that_changed_nothing_is_not_said_to_have_helped():
    found = only(cleaned(current=4.60))
    assert 0.2 < found.change.bench.chance_helped < 0.8
    assert "a coin toss whether it helped" in brought_words(found, Units())[0]


def test_the_answer_has_every_key():
    change = plain(changes_of(judged(cleaned().logbook.snapshot())))["changes"][0]
    assert list(change) == ["written_at", "event", "motor", "what", "was", "now", "bench", "track", "together_with"]
    assert list(change["bench"]) == ["before", "after", "figures", "chance_helped"]
    assert set(change["bench"]["figures"]) == set(FIGURES) - {"track_pace_s", "finish_temp_c"}
    assert change["track"] is None and change["together_with"] == [] and change["was"] is None


def test_work_with_no_run_between_is_told_together():
    bench = cleaned()
    changed(bench, "2026-05-16T09:45", "shims", "Heron", now="0.2 mm")
    changed(bench, "2026-05-16T11:30", "rotor", "Heron", now="out and in")
    first, second, third = judged(bench.logbook.snapshot())
    assert (first.bench_with, second.bench_with, third.bench_with) == (["shims"], ["bearings"], [])
    assert first.change.bench == second.change.bench and third.change.bench.after == 0
    assert "together with shims" in brought_words(first, Units())[0]


def test_a_swap_is_judged_by_the_two_builds():
    bench = cleaned(after=0)
    motor = bench.motors["Heron"]
    parts = {f"{kind}_id": f"Heron {kind}" for kind in ("stator", "rotor")}
    build = Build(motor_id=motor.id, since="2026-05-16T10:00", end_bell_id="E9", **parts)
    bench.logbook.save("swap", [build])
    changed(bench, "2026-05-16T10:00", "end bell", "Heron", was="E1", now="E9")
    for i in range(3):
        bench.run("Heron", f"2026-05-16T10:1{i}", build_id=build.id, **(USUAL | {"no_load_current_a": 4.24}))
    _, swap = judged(bench.logbook.snapshot())
    assert swap.bench_with == ["bearings"]  # nothing was run between them
    assert (swap.change.bench.before, swap.change.bench.after) == (3, 3)
    assert swap.change.bench.figures["no_load_current_a"].high90 < 0


def test_the_order_of_the_records_is_of_no_account():
    rows = cleaned().logbook.snapshot()

    def told(turned):
        logbook = Logbook.in_memory()
        for kind in ("class_sheet", "motor", "build", "bench_run", "setup_entry"):
            own = [model_of(kind)(**row) for row in rows.rows(kind)]
            logbook.save("all", own[::-1] if turned else own)
        return judged(logbook.snapshot())

    assert told(True) == told(False) == judged(rows)


# the track


def raced(step_s=0.15, what="rear spring", **fields):
    """One race day of three motors in one car, the lap longer or shorter by a step from one o'clock on."""
    days = RaceDays("Heron", "Plover", "Willet")
    car = Car(name="grey car")
    days.logbook.save("car", [car])
    laps = {"Heron": 15.0, "Plover": 15.05, "Willet": 14.95}
    for nth in range(8):
        for place, (name, lap) in enumerate(laps.items()):
            hour = 9 + nth
            late = step_s if hour >= 13 else 0.0
            days.race(
                name, f"2026-05-16T{hour:02d}:{10 * place:02d}", lap - late, car_id=car.id, **(fields if late else {})
            )
    event = days.events["Saltmouth"].id
    changed(days, "2026-05-16T12:40", what, car_id=car.id, event_id=event)
    return days


def test_a_spring_that_made_the_car_faster():
    found = only(raced())
    track = found.change.track
    assert (track.before, track.after) == (12, 12) and found.change.bench is None
    assert track.track_pace_s.low90 < -0.15 < track.track_pace_s.high90 < 0 and track.chance_helped > 0.95
    assert offered(found).startswith("better, 0.1") and "s a lap faster" in brought_words(found, Units())[0]
    assert found.change.event == "Saltmouth"


def test_a_gear_change_is_judged_at_its_own_rollout():
    """The pinion brings the step: rollout grows with it, and what rollout explains is the change's own doing."""
    geared = only(raced(what="pinion", pinion=32)).change.track.track_pace_s
    assert geared.mean == pytest.approx(-0.15, abs=0.03) and geared.high90 < 0


def test_changes_of_one_car_with_no_run_between_are_told_together():
    days = raced()
    first = days.logbook.snapshot().rows("setup_entry")[0]
    changed(days, "2026-05-16T12:45", "tyres", car_id=first["car_id"], event_id=first["event_id"])
    one, other = judged(days.logbook.snapshot())
    assert one.track_with == ["tyres"] and other.track_with == ["rear spring"]
    assert one.change.track == other.change.track and one.change.together_with == ["tyres"]


def test_a_change_before_the_first_run_tells_nothing():
    days = raced()
    first = days.logbook.snapshot().rows("setup_entry")[0]
    changed(days, "2026-05-16T08:00", "ride height", car_id=first["car_id"], event_id=first["event_id"])
    early = judged(days.logbook.snapshot())[0]
    assert early.change.track.before == 0 and early.change.track.track_pace_s.mean is None
    assert "no telling" in brought_words(early, Units())[0]


def test_hotter_after_more_timing():
    days = RaceDays("Heron", "Plover", "Willet")
    for nth in range(6):
        for place, name in enumerate(("Heron", "Plover", "Willet")):
            late = name == "Heron" and nth >= 3
            fields = {"timing_mark_deg": 36 if late else 35, "ambient_c": 24.0, "run_time_s": 300.0}
            fields |= {"finish_reading_c": 78.0 if late else 68.0, "finish_reading_after_s": 60.0}
            days.race(name, f"2026-05-16T{9 + nth:02d}:{10 * place:02d}", 15.0, **fields)
    changed(days, "2026-05-16T11:30", "timing mark", "Heron", was="35", now="36")
    track = only(days).change.track
    assert (track.before, track.after) == (3, 3)
    assert track.finish_temp_c.mean == pytest.approx(10, abs=2) and track.finish_temp_c.low90 > 0


# what is asked


def test_only_those_of_a_motor_or_an_event():
    days = raced()
    changed(days, "2026-05-17T09:00", "bearings", "Willet", now="new")
    snapshot = days.logbook.snapshot()
    assert [each.change.what for each in asked(snapshot, motor="willet")] == ["bearings"]
    assert [each.change.what for each in asked(snapshot, event="saltmouth")] == ["rear spring"]
    with pytest.raises(Refusal, match="No motor is called Wilet; did you mean Willet"):
        asked(snapshot, motor="Wilet")
    with pytest.raises(Refusal, match="No event is called"):
        asked(snapshot, event="Nowhere")


def test_without_an_entry_there_is_nothing_to_judge():
    assert judged(Bench().logbook.snapshot()) == []
