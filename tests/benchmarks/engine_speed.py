"""How long a ranking takes, beside statsmodels' MixedLM on the same readings and the same crossed components.

`python -m tests.benchmarks.engine_speed` prints one table: what was measured, its floor, the figure, the ratio. A run
of the suite does not time anything. The first ranking of a process also makes its normals, which are then kept; it is
shown apart. All else is the best of several, so that other work on the machine counts as little as can be. The whole
question starts from the rows of a logbook and ends with the answer; the engine is the part of it that draws and ranks.
"""

import time
import warnings
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from pitbench.desk.bench.session_view import session_answer
from pitbench.desk.comparing.ranking import rank as whole
from pitbench.figures.comparison import Drawn, draw
from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import MEASURED
from pitbench.figures.load_power import Load
from pitbench.figures.ranking import rank
from pitbench.figures.readings import Comparison, Readings
from pitbench.store.logbook import Snapshot

FIRST = datetime(2026, 1, 10, 9, 0)
PARTS = ("stator_id", "rotor_id", "end_bell_id")
LEVEL = {"kv_rpm_per_v": 3920.0, "no_load_current_a": 4.0, "resistance_mohm": 11.6}


def comparison(motors: int, runs: int, sessions: int, seed: int = 0) -> Comparison:
    """Every motor run equally often in turn over the sessions, all six figures read in every run, as arrays."""
    rng = np.random.default_rng(seed)
    motor, run = np.repeat(np.arange(motors), runs), np.tile(np.arange(runs), motors)
    session, number = run % sessions, run // sessions
    n = motor.size
    conditions = RunConditions(
        motor=motor.tolist(),
        session=session.tolist(),
        run_number=number.tolist(),
        motor_temp=(26.0 + number % 5 + rng.normal(0, 0.5, n)).tolist(),
        ambient=[22.0] * n,
        timing=(40.0 + rng.normal(0, 1.0, motors)[motor]).tolist(),
        timing_mark=[None] * n,
    )
    readings = {}
    for name, figure in MEASURED.items():
        off = rng.normal(0, figure.motor_sd / 2, motors)[motor] + rng.normal(0, figure.session_sd, sessions)[session]
        off = off + rng.normal(0, figure.noise, n)
        value = LEVEL[name] * np.exp(off / 100) if figure.relative else np.abs(5.0 + off)
        readings[name] = Readings(motor, session, value, np.ones(n), np.arange(n))
    return Comparison(motors, conditions, readings, Load("unknown", 7.6, 0.02, 3.7), turns=13.5)


def snapshot(given: Comparison) -> Snapshot:
    """The rows a logbook would hold of these runs: a session a day, half a minute between two runs."""
    runs = given.runs
    motors = {f"m{m}": {"id": f"m{m}", "name": f"Motor {m}", "check_motor": m == 0} for m in range(given.n_motors)}
    builds = {
        f"b{m}": {"id": f"b{m}", "motor_id": f"m{m}", **{kind: f"{kind} {m}" for kind in PARTS}}
        for m in range(given.n_motors)
    }
    found: dict[str, dict[str, Any]] = {}
    for i, (motor, session) in enumerate(zip(runs.motor, runs.session, strict=True)):
        taken = FIRST + timedelta(days=session, seconds=30 * (i % 2000))
        timing = runs.timing[i]
        found[f"r{i}"] = {
            "id": f"r{i}",
            "motor_id": f"m{motor}",
            "build_id": f"b{motor}",
            "taken_at": taken.isoformat(),
            "tester": "bench box",
            "session": f"day {session}",
            "test_voltage_v": 3.7,
            "ambient_c": runs.ambient[i],
            "motor_temp_c": runs.motor_temp[i],
            **{name: float(given.of(name).value[i]) for name in MEASURED if name != "sensor_spread_deg"},
            **dict.fromkeys(("timing_a_deg", "timing_b_deg", "timing_c_deg"), timing),
        }
    return Snapshot(1, {"motor": motors, "build": builds, "bench_run": found})


def timed(work: Callable[[], object]) -> float:
    """One run, ms."""
    start = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - start)


def best(works: dict[str, tuple[Callable[[], object], int]], rounds: int = 8) -> dict[str, float]:
    """Shortest of several runs of each work, ms; in rounds, so that a busy moment of the machine strikes all alike."""
    found = dict.fromkeys(works, float("inf"))
    for _ in range(rounds):
        for name, (work, times) in works.items():
            found[name] = min(found[name], *(timed(work) for _ in range(times)))
    return found


def mixed_lm(given: Comparison) -> Callable[[], object]:
    """REML fits of the same six figures with crossed motors and sessions, and the same covariates."""
    import pandas as pd
    from statsmodels.regression.mixed_linear_model import MixedLM

    runs = given.runs
    warm, timing = (np.array(column, dtype=float) for column in (runs.motor_temp, runs.timing))
    covariates = {"kv_rpm_per_v": (warm, timing), "no_load_current_a": (timing,)}
    frame = pd.DataFrame({"motor": runs.motor, "session": runs.session})
    parts = {"motor": "0 + C(motor)", "session": "0 + C(session)"}

    def fits() -> None:
        for name, figure in MEASURED.items():
            value = given.of(name).value
            frame["y"] = 100 * np.log(value) if figure.relative else value
            columns = covariates.get(name, ())
            for i, column in enumerate(columns):
                frame[f"x{i}"] = column - column.mean()
            formula = " + ".join(["y ~ 1", *(f"x{i}" for i in range(len(columns)))])
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                MixedLM.from_formula(formula, frame, groups=np.ones(len(frame)), re_formula="0", vc_formula=parts).fit(
                    reml=True
                )

    return fits


def main() -> None:
    """Print the table."""
    large, small = comparison(50, 10, 5), comparison(2, 2, 1)
    hundred, many = comparison(10, 10, 5), comparison(10, 1000, 5)

    shown: dict[int, Drawn] = {}

    def ranked(given: Comparison) -> Callable[[], object]:
        """Draw and rank; the last comparison is kept meanwhile, as the app keeps what it shows."""

        def work() -> None:
            drawn = draw(given)
            rank(drawn)
            shown[id(given)] = drawn

        return work

    rows = {name: snapshot(given) for name, given in (("large", large), ("small", small), ("many", many))}
    first = timed(ranked(large))
    drawn = draw(large)
    rank(drawn)
    took = best(
        {
            "large": (ranked(large), 5),
            "small": (ranked(small), 10),
            "hundred": (ranked(hundred), 5),
            "many": (ranked(many), 3),
            "whole_large": (lambda: whole(rows["large"]), 5),
            "whole_small": (lambda: whole(rows["small"]), 10),
            "whole_many": (lambda: whole(rows["many"]), 2),
            "session": (lambda: session_answer(rows["many"]), 2),
            "anew": (lambda: rank(drawn, {"kv_rpm_per_v": 1.0}), 5),
        }
    )
    took |= best({"mixed_lm": (mixed_lm(large), 1)}, rounds=3)
    frame = 1000 / 60
    table = [
        (
            "50 motors x 10 runs x 6 figures: MixedLM, the ranking",
            took["mixed_lm"],
            took["large"],
            "at most a tenth",
        ),
        ("the same: its limit, the ranking", 60.0, took["large"], "at most 60 ms"),
        ("the same, the first ranking of the process", 60.0, first, ""),
        ("2 motors x 2 runs x 6 figures: its limit, the ranking", 15.0, took["small"], "under 15 ms"),
        ("from the rows to the answer, 50 motors x 10 runs: its limit, all of it", 60.0, took["whole_large"], ""),
        ("from the rows to the answer, 2 motors x 2 runs: its limit, all of it", 15.0, took["whole_small"], ""),
        ("from the rows to the answer, 10,000 runs: the engine, all of it", took["many"], took["whole_many"], ""),
        ("10,000 runs: the engine, the session view", took["many"], took["session"], ""),
        ("10 motors: 100 runs, 10,000 runs", took["hundred"], took["many"], "under twice"),
        (
            "50 motors, a weight changed: a frame, the ranking",
            frame,
            took["anew"],
            "within one frame of 60 a second",
        ),
    ]
    print("| what | floor, ms | figure, ms | figure ÷ floor | wanted |", "|---|---|---|---|---|", sep="\n")
    for what, floor, figure, wanted in table:
        print(f"| {what} | {floor:.1f} | {figure:.1f} | {figure / floor:.2f} | {wanted} |")


if __name__ == "__main__":
    main()
