"""What docs/figures.md says is believed beforehand is what the engine believes: its numbers, read from its text."""

import re
from pathlib import Path

import numpy as np
import pytest

from pitbench.figures import (
    criteria,
    delays,
    forecast,
    heat_cells,
    heat_fit,
    laps,
    link,
    link_weight,
    load_power,
    losses,
    misfit,
    next_swap,
    pace,
    posterior,
    shares,
    unseen,
    warmth,
)
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE

DOCS = (Path(__file__).parents[3] / "docs" / "figures.md").read_text(encoding="utf-8")
ROWS = {
    "KV": (KV,),
    "no-load current": (CURRENT,),
    "winding resistance": (RESISTANCE,),
    "sensor spread": ("sensor_spread_deg",),
    "pole imbalance, Hall level spread": ("pole_imbalance_pct", "hall_level_spread_pct"),
}
COLUMNS = {
    "one reading, σ": "noise",
    "motors differ by": "motor_sd",
    "sessions differ by": "session_sd",
    "clampings differ by": "clamping_sd",
    "work on a motor moves it by": "state_sd",
}


def numbers(pattern):
    """The numbers in the one place where the text, its lines joined, is as the pattern says."""
    (found,) = re.findall(pattern, " ".join(DOCS.split()))
    return tuple(map(float, found)) if isinstance(found, tuple) else float(found)


@pytest.mark.parametrize("row", ROWS)
def test_the_spreads_believed_beforehand(row):
    table = DOCS[DOCS.index("| figure | one reading, σ |") :]
    head, line = table.split("\n")[0], next(line for line in table.split("\n") if line.startswith(f"| {row} |"))
    cells = dict(zip(*([cell.strip() for cell in each.split("|")[1:-1]] for each in (head, line)), strict=True))
    for column, field in COLUMNS.items():
        stated = float(re.match(r"[\d.]+", cells[column]).group())
        assert [getattr(MEASURED[name], field) for name in ROWS[row]] == pytest.approx([stated] * len(ROWS[row]))


def test_slopes_of_timing_and_warmth():
    kv = numbers(r"KV changes by ([\d.]+) ± ([\d.]+) %, no-load current by")
    current = numbers(r"no-load current by ([\d.]+) ± ([\d.]+) % per degree")
    assert {KV: kv, CURRENT: current} == criteria.TIMING_SLOPE
    stated = numbers(r"from \+([\d.]+) ± ([\d.]+) % of KV per K of measured temperature")
    assert stated == (warmth.KV_SLOPE_PCT_PER_K, warmth.KV_SLOPE_SD_PCT_PER_K)
    assert numbers(r"stands in, ([\d.]+) ± ([\d.]+) % a") == criteria.RUN_ORDER_SLOPE


def test_working_point_unseen_part_and_loss_share():
    free, capped = (tuple(100 * share for share in load_power.SHARE[kind]) for kind in ("free", "capped"))
    assert numbers(r"Working point\*\*: (\d+) to (\d+) % of the mean stall current") == pytest.approx(free)
    assert numbers(r"or (\d+) to (\d+) % where gearing is capped") == pytest.approx(capped)
    assert numbers(r"What the bench cannot see\*\*: ([\d.]+) % of power") == criteria.UNSEEN_PCT
    share = numbers(r"voltage tested, ([\d.]+) ± ([\d.]+) of the no-load loss")
    assert share == (losses.SPEED_SQUARED_SHARE, losses.SPEED_SQUARED_SHARE_SD)


def test_what_pace_believes():
    stated = numbers(
        r"motors differ by ([\d.]+) %; a day drifts by ([\d.]+) % in four hours and bends by ([\d.]+) %; "
        r"([\d.]+) % of a lap per percent of rollout"
    )
    assert stated == (pace.MOTOR_SD, pace.TREND_SD, pace.BEND_SD, pace.ROLLOUT_SD)
    one_run = pace.TrackRuns(1, [0], [0], [12.0], [laps.Reading(20.0, laps.LAPS, 1.0)], [43.0])
    problem = pace.laid_out(one_run)
    assert problem.curve_size * problem.noise == pytest.approx([float("inf"), *stated[1:3]])
    assert problem.size * problem.noise == pytest.approx([stated[0], stated[3]])
    assert numbers(r"\(([\d.]+) % from run to run, ([\d.]+) % from lap to lap\)") == (laps.RUN_SD, laps.LAP_SD)


def test_how_heavy_the_tails_are():
    assert numbers(r"\(scaled inverse χ² with (\d) degrees of freedom\); the others") == posterior.PRIOR_FREEDOM
    assert numbers(r"half-Student distributions with (\d) degrees of freedom") == posterior.SPREAD_FREEDOM
    assert numbers(r"fit counts less, min\(1, \(([\d.]+)/\|r\|\)⁴\)") == misfit.OUTLIER_AT


def test_when_the_bench_is_tied_to_the_track():
    stated = numbers(r"\*\*Enough\*\* is (\d+) runs of (\d+) motors beside others in (\d+) events")
    assert stated == (link.LEAST_RUNS, link.LEAST_MOTORS, link.LEAST_EVENTS)
    assert numbers(r"else in (\d+) by chance with a fixed") == link.ARRANGEMENTS
    assert numbers(r"Known is p up to ([\d.]+)\.") == link.KNOWN
    believed = numbers(
        r"([\d.]+) % in the median, sd ([\d.]+) in log; ([\d.]+) % of a lap per percent of power, sd (\d)"
    )
    assert believed == (criteria.UNSEEN_PCT, unseen.UNSEEN_LOG_SD, unseen.SLOPE, unseen.SLOPE_LOG_SD)
    assert numbers(r"variance ÷ \(bench \+ pace variance\)\. At most (\d)\.") == link_weight.MOST


def test_when_cans_are_read_and_what_may_have_changed():
    habit = numbers(
        r"normal about it \(sd ([\d.]+), which counts as two stated ones and is learned\), habits about (\d+) s "
        r"\(sd ([\d.]+)\), and that of unstated delays about that of the class's stated ones \(sd ([\d.]+);"
    )
    assert habit == (delays.OWN_LOG_SD, delays.USUAL_S, delays.HABIT_LOG_SD, delays.APART_LOG_SD)
    assert delays.OWN_COUNTS == 2
    late = numbers(r"One reading said to be at 3 min makes an unstated one about (\d+) s, two (\d+) s")
    found = [float(np.median(delays.learn_delays([180.0] * count).after_s)) for count in (1, 2)]
    assert late == pytest.approx(found, abs=0.5)
    assert "half as wide again where others are stated" in DOCS and heat_fit.UNLIKE == 1.5
    prior = numbers(
        r"weighs nothing ([\d.]+), this motor since then, this event since then, and that run alone ([\d.]+)"
    )
    assert numbers(r"after the next two only while a change has ([\d.]+) \(ours\)") == forecast.LIKELIER
    assert prior == tuple(heat_cells.CHANGES.values())[:2] and sum(heat_cells.CHANGES.values()) == pytest.approx(1)


def test_how_the_spread_between_builds_is_shared_out():
    table = DOCS[DOCS.index("| figure | stator | rotor | end bell | remainder |") :].split("\n\n")[0]
    lines = {cells[0]: tuple(map(float, cells[1:])) for cells in map(_cells, table.split("\n")[2:])}
    named = {"KV at equal timing": KV, "no-load current": CURRENT, "winding resistance": RESISTANCE}
    named |= {name: f"{name.lower().replace(' ', '_')}_{unit}" for name, unit in UNITS_OF_PARTS.items()}
    assert {named[name]: share for name, share in lines.items()} == criteria.SHARES
    doubts = numbers(r"by a factor e\^([\d.]+) up or down at one σ, that of the remainder by e\^([\d.]+)")
    assert doubts == (shares.DOUBT, shares.REMAINDER_DOUBT)
    assert numbers(r"Below ([\d.]+) % of power expected nothing is worth") == next_swap.WORTH_PCT


UNITS_OF_PARTS = {"sensor spread": "deg", "pole imbalance": "pct", "Hall level spread": "pct"}


def _cells(line):
    return [cell.strip() for cell in line.split("|")[1:-1]]
