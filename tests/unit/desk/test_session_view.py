"""The newest bench session in words: repeatability, the check motor, and what is wrong."""

from datetime import datetime
from math import log

import pytest

from pitbench.desk.bench.session_view import session_answer
from pitbench.desk.bench.tester import RECENT, readings_of, recent_bench
from pitbench.records.models import SetupEntry
from pitbench.words.bench import session_title, session_words, warnings
from tests.unit.desk.bench_side import USUAL, Bench
from tests.unit.desk.evenings import bench_with_check_motor, evening

NOW = datetime(2026, 5, 17, 21, 0)
FACTORS = {"2026-05-01": 1.0, "2026-05-05": 1.002, "2026-05-10": 0.999}


def view(bench):
    return session_answer(bench.logbook.snapshot())


def evenings():
    bench = bench_with_check_motor()
    for day, factor in FACTORS.items():
        evening(bench, day, factor)
    return bench


def test_a_session_in_line_with_those_before():
    bench = evenings()
    evening(bench, "2026-05-17", 1.001)
    answer = view(bench)
    assert session_title(answer, NOW) == "bench box, today 18:00: 6 runs of 3 motors"
    assert warnings(answer) == []
    kv, current = answer.figures[:2]
    assert session_words(answer, NOW)[0] == (
        f"Two runs without touching the clips differ by less than {kv.limit:.0f} rpm/V and {current.limit:.2f} A, "
        f"after clamping again by less than {kv.clamped_anew:.0f} rpm/V and "
        f"{current.clamped_anew:.2f} A, 19 times in 20."
    )
    assert session_words(answer, NOW)[1].startswith("Dunlin reads as in the 3 sessions before: KV +0.")
    assert (kv.name, kv.unit, kv.repeats) == ("kv_rpm_per_v", "rpm/V", 3)
    assert kv.low90 < kv.sigma < kv.high90 and kv.limit == pytest.approx(2.8 * kv.sigma)
    assert kv.clamping_low90 < kv.clamping < kv.clamping_high90
    assert kv.clamped_anew == pytest.approx(2.8 * (kv.sigma**2 + kv.clamping**2) ** 0.5)
    assert sum(kv.shares) == pytest.approx(100) and current.unit == "A"
    check = answer.checks[0]
    assert (check.motor, check.found.sessions, check.found.off) == ("Dunlin", 3, False)
    assert check.means_pct[-1] == pytest.approx(check.found.shift) and len(check.means_pct) == 4
    assert sum(check.means_pct[:-1]) == pytest.approx(0, abs=1e-9)


def test_a_session_that_is_off_is_said_in_words():
    bench = evenings()
    evening(bench, "2026-05-17", 0.97)
    answer = view(bench)
    assert warnings(answer)[0].startswith("This session is off: Dunlin reads KV 3.")
    assert "lower than in the 3 sessions before" in warnings(answer)[0]
    assert "compare motors within this session only" in warnings(answer)[0]
    assert not any("reads as in" in line for line in session_words(answer, NOW)[:1])


def test_scatter_is_told_at_the_level_of_the_newest_session():
    """The same evening on a tester that reads a tenth less of everything scatters a tenth less, in its unit."""
    usual, lower = evenings(), evenings()
    evening(usual, "2026-05-17")
    evening(lower, "2026-05-17", 0.9, noise=0.9)
    for before, after in zip(view(usual).figures[:2], view(lower).figures[:2], strict=True):
        assert after.sigma / before.sigma == pytest.approx(0.9, rel=1e-3)


def test_a_session_of_loose_leads_is_noisy():
    bench = evenings()
    evening(bench, "2026-05-17", noise=8.0)
    warning = next(line for line in warnings(view(bench)) if "scatters more than before" in line)
    assert warning.startswith("KV scatters more than before: repeats differ")


def test_a_session_without_the_check_motor():
    bench = evenings()
    evening(bench, "2026-05-17", motors=("Heron", "Plover"))
    answer = view(bench)
    assert answer.checks == []
    assert "Dunlin, the check motor, has no run in this session" in session_words(answer, NOW)[-1]


def test_the_first_session_and_a_logbook_without_a_check_motor():
    bench = bench_with_check_motor()
    evening(bench, "2026-05-17")
    assert "has no session before this one" in session_words(view(bench), NOW)[-1]
    assert "it takes two motors in two sessions to know" in session_words(view(bench), NOW)[0]
    assert view(bench).figures[0].clamping is None
    other = Bench()
    other.run("Heron", "2026-05-17T18:00", **USUAL)
    answer = view(other)
    assert session_words(answer, NOW)[0].startswith("No motor was run twice in this session")
    assert session_words(answer, NOW)[-1].startswith("No check motor yet")
    assert answer.figures[0].sigma is None and warnings(answer) == []
    assert session_answer(Bench().logbook.snapshot()) is None


def test_a_rebuilt_check_motor_and_one_at_another_mark_have_no_history():
    """What Dunlin read before it was opened, or at another timing mark, is another motor's history."""
    for change in ({"build_id": "opened"}, {"timing_mark_deg": 30.0}):
        bench = evenings()
        evening(bench, "2026-05-17", 0.97, **change)
        assert view(bench).checks == []


def test_which_runs_count_for_a_tester():
    """The newest session's tester and voltage, runs that count, twelve sessions."""
    bench = evenings()
    evening(bench, "2026-05-17")
    for i in range(15):
        evening(bench, f"2026-04-{i + 1:02d}", motors=("Dunlin",))
    bench.run("Heron", "2026-05-16T18:00", **(USUAL | {"tester": "other box"}))
    bench.run("Heron", "2026-05-17T18:30", **(USUAL | {"test_voltage_v": 7.4, "kv_rpm_per_v": 3850.0}))
    bench.run("Heron", "2026-05-17T18:32", **(USUAL | {"excluded_why": "loose lead"}))
    bench.run("Heron", "2026-05-17T18:40", **USUAL)
    found = recent_bench(bench.logbook.snapshot())
    assert len(found.sessions) == RECENT and found.sessions == sorted(found.sessions)
    assert len(found.whole) == 9
    assert sum(found.in_newest(run) for run in found.runs) == 7
    assert all(run.get("tester") == "bench box" and run["test_voltage_v"] == 3.7 for run in found.runs)
    assert readings_of(found, "resistance_mohm") is not None
    assert session_title(view(bench), NOW).endswith("9 runs of 3 motors")


def test_the_order_in_which_runs_came_changes_nothing():
    bench, other = evenings(), bench_with_check_motor()
    for day, factor in reversed(FACTORS.items()):
        evening(other, day, factor)
    assert view(bench) == view(other)


def test_the_step_that_work_made_is_no_scatter():
    """Current from 4.60 to 4.24 A by clean bearings between runs of one session: σ stays that of the runs on each side,
    pooled as NIST/SEMATECH e-Handbook 2.4.4.1 does, with the usual 1 % counting for three repeats more (ours)."""
    bench = Bench()
    for i, amps in enumerate((4.60, 4.58, 4.61, 4.24, 4.26, 4.23)):
        bench.run(
            "Heron", f"2026-05-17T20:{10 * i + (5 if i > 2 else 0):02d}"[:16], **(USUAL | {"no_load_current_a": amps})
        )
    with_step = {figure.name: figure for figure in view(bench).figures}["no_load_current_a"]
    work = SetupEntry(written_at="2026-05-17T20:30", what="bearings", now="cleaned", motor_id=bench.motors["Heron"].id)
    bench.logbook.save("change", [work])
    answer = view(bench)
    told = {figure.name: figure for figure in answer.figures}["no_load_current_a"]
    sides = [[4.60, 4.58, 4.61], [4.24, 4.26, 4.23]]
    squares = sum((100 * log(x) - sum(100 * log(y) for y in side) / 3) ** 2 for side in sides for x in side)
    level = sum(sum(side) for side in sides) / 6
    assert told.sigma == pytest.approx(((squares + 3 * 1.0**2) / (4 + 3)) ** 0.5 * level / 100, rel=0.01)
    assert with_step.limit > 0.3 > 0.15 > told.limit and told.repeats == 4
    assert "Since: Heron bearings cleaned today 20:30." in " ".join(session_words(answer, NOW))
