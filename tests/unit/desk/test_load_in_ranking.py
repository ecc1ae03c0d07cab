"""Load logs in the ranking: which of them count, what the motor is then said to have, where the working point lies."""

import pytest

from pitbench.desk.comparing.ranking import rank
from pitbench.records.models import Build, LoadLog, TrackRun
from tests.unit.desk.bench_side import USUAL, Bench

TOLD = {
    "kv_rpm_per_v": 3960.0,
    "kv_se": 6.0,
    "resistance_mohm": 32.0,
    "resistance_se": 0.2,
    "correlation": 0.5,
    "current_low_a": 18.0,
    "current_high_a": 36.0,
}


def bench_of(*unmeasured):
    bench = Bench(gearing_limit="none")
    for hour, name in enumerate(("Heron", "Plover", "Siskin")):
        left = {"resistance_mohm", "resistance_temp_c"} if name in unmeasured else set()
        figures = {key: value for key, value in USUAL.items() if key not in left}
        for minute in (10, 30):
            bench.run(name, f"2026-04-11T1{hour}:{minute}", **figures)
    return bench


def log(bench, name, at="2026-04-12T10:00", car="one", **figures):
    run = TrackRun(motor_id=bench.motors[name].id, build_id=bench.builds[name].id, started_at=at, car_id=car)
    given = {"motor_id": run.motor_id, "track_run_id": run.id, "logged_at": at, "file": "log.csv", "digest": at + name}
    bench.logbook.save("log", [run, LoadLog(figures=TOLD | figures, **given)])


def asked(bench):
    answer = rank(bench.logbook.snapshot())
    return answer, {motor.motor: motor for motor in answer.motors}


def test_the_working_point_is_where_logs_saw_it():
    bench = bench_of()
    assert asked(bench)[0].basis.current_a != (18.0, 36.0)
    log(bench, "Heron")
    assert asked(bench)[0].basis.current_a == (18.0, 36.0)


def test_resistance_seen_in_a_log_alone_is_said_and_never_shown_as_measured():
    bench = bench_of("Plover")
    assert "no_resistance" in asked(bench)[1]["Plover"].flags
    log(bench, "Heron")
    log(bench, "Plover", "2026-04-12T11:00")
    plover = asked(bench)[1]["Plover"]
    assert "resistance_from_log" in plover.flags and "no_resistance" not in plover.flags
    assert plover.figures["resistance_mohm"].runs == 0
    assert "resistance_from_log" not in asked(bench)[1]["Heron"].flags


def test_less_resistance_in_the_same_car_is_more_power():
    bench = bench_of("Plover", "Siskin")
    for hour in (10, 11, 12):
        log(bench, "Heron", f"2026-04-12T{hour}:00")
        log(bench, "Plover", f"2026-04-12T{hour}:20", resistance_mohm=31.0)
        log(bench, "Siskin", f"2026-04-12T{hour}:40", resistance_mohm=33.0)
    motors = asked(bench)[1]
    assert motors["Plover"].score_pct > motors["Siskin"].score_pct
    assert motors["Plover"].chance_best > motors["Siskin"].chance_best


def test_a_log_of_an_earlier_build_does_not_count():
    bench = bench_of()
    log(bench, "Heron")
    kept = bench.builds["Heron"]
    later = Build(
        motor_id=kept.motor_id,
        stator_id="another",
        rotor_id=kept.rotor_id,
        end_bell_id=kept.end_bell_id,
        since="2026-04-13T10:00",
    )
    bench.logbook.save("swap", [later])
    for minute in (10, 30):
        bench.run("Heron", f"2026-04-13T12:{minute}", **(USUAL | {"build_id": later.id}))
    assert asked(bench)[0].basis.current_a != (18.0, 36.0)


@pytest.mark.parametrize("missing", ["resistance_mohm", "kv_rpm_per_v"])
def test_a_log_that_did_not_tell_gives_its_currents_alone(missing):
    bench = bench_of("Plover")
    log(bench, "Plover")
    found = bench.logbook.records("load_log")[0]
    figures = {name: value for name, value in found.figures.items() if name != missing}
    bench.logbook.save("log", [found.model_copy(update={"figures": figures})])
    answer, motors = asked(bench)
    assert answer.basis.current_a == (18.0, 36.0)
    assert "no_resistance" in motors["Plover"].flags
