"""The bench in words: the newest session and what is wrong with it, the plan for tonight, a timing sweep."""

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.spoken import FIGURES, capital, counted_words, listed, number_word
from pitbench.records.stamps import friendly
from pitbench.words.motors import since_words
from pitbench.words.ranking import next_test_words

if TYPE_CHECKING:
    from pitbench.desk.bench.bench_plan import BenchPlan
    from pitbench.desk.bench.session_view import CheckLine, FigureScatter, SessionAnswer
    from pitbench.desk.bench.sweep import SweepAnswer

WHERE_TO_LOOK = "pack, leads, pole setting, how warm it was"


def session_title(answer: "SessionAnswer", now: datetime) -> str:
    """Whose session it is, and how much was run."""
    called = f", {answer.name}" if answer.name else ""
    counted = f"{counted_words(answer.runs, 'run')} of {counted_words(answer.motors, 'motor')}"
    return f"{answer.tester or 'Bench'}, {friendly(answer.began, now)}{called}: {counted}"


def session_words(answer: "SessionAnswer", now: datetime) -> list[str]:
    """How the tester repeats itself, what was worked on, and what its check motor says: a sentence each."""
    said = (_repeats(answer.figures), _since(answer, now), _in_line(answer.checks), _missing(answer))
    return [line for line in said if line]


def _since(answer: "SessionAnswer", now: datetime) -> str:
    told = [f"{name} {since_words(work, now)}" for name, work in answer.since]
    return f"Since: {', '.join(told)}. What work changed counts as no scatter." if told else ""


def warnings(answer: "SessionAnswer") -> list[str]:
    """What is wrong with the session; empty: nothing."""
    return [text for text in (*map(_off, answer.checks), *map(_noisy, answer.figures)) if text]


def _repeats(figures: list["FigureScatter"]) -> str:
    """What two readings of one motor differ by through luck alone, the clips left on and put on anew."""
    by_name = {figure.name: figure for figure in figures if figure.limit is not None}
    pair = [by_name[name] for name in ("kv_rpm_per_v", "no_load_current_a") if name in by_name]
    if not pair:
        return "No motor was run twice in this session: run one again, and the scatter of the tester shows."
    within = _less_than([(figure.limit, figure.unit) for figure in pair])
    anew = _less_than([(figure.clamped_anew, figure.unit) for figure in pair])
    after = f", after clamping again by less than {anew}" if anew else ""
    how = "" if anew else " How far after clamping again: it takes two motors in two sessions to know."
    return f"Two runs without touching the clips differ by less than {within}{after}, 19 times in 20.{how}"


def _less_than(limits: list[tuple[float | None, str]]) -> str:
    return listed([f"{_short(limit, unit)} {unit}" for limit, unit in limits if limit is not None])


def _short(value: float, unit: str) -> str:
    return f"{value:.0f}" if unit == "rpm/V" else f"{value:.2f}"


def _in_line(checks: list["CheckLine"]) -> str:
    """Check motors that read as before."""
    quiet = [check for check in checks if not check.found.off and not check.found.drifting]
    if not quiet:
        return ""
    first = quiet[0]
    parts = [f"{FIGURES[c.name]} {c.found.shift:+.1f} %" for c in quiet if c.motor == first.motor]
    return f"{first.motor} reads as in the {counted_words(first.found.sessions, 'session')} before: {listed(parts)}."


def _missing(answer: "SessionAnswer") -> str:
    if not answer.check_motors:
        mark = f"{key_for('edit-record')} on Motors marks one"
        return f"No check motor yet: {mark}. Never open it; run it first and last in every session."
    if not answer.run_now:
        name = answer.check_motors[0]
        return f"{name}, the check motor, has no run in this session: without one nothing ties it to the others."
    if not answer.checks:
        return f"{answer.run_now[0]}, the check motor, has no session before this one to be held against."
    return ""


def _off(check: "CheckLine") -> str:
    figure, sessions = FIGURES[check.name], counted_words(check.found.sessions, "session")
    if check.found.off:
        way = "higher" if check.found.shift > 0 else "lower"
        return (
            f"This session is off: {check.motor} reads {figure} {abs(check.found.shift):.1f} % {way} than in the "
            f"{sessions} before; up to {check.found.shift_limit:.1f} % would be usual. Look at {WHERE_TO_LOOK}; until "
            "then compare motors within this session only."
        )
    if check.found.drifting:
        way = "up" if check.found.drift > 0 else "down"
        return (
            f"The tester drifts, or {check.motor} does: its {figure} has gone {way} over the last sessions, "
            f"{check.found.shift:+.1f} % by now. Look at {WHERE_TO_LOOK}."
        )
    return ""


def _noisy(figure: "FigureScatter") -> str:
    if not figure.noisier or figure.sigma is None or not figure.sigma_before:
        return ""
    return (
        f"{capital(FIGURES[figure.name])} scatters more than before: repeats differ "
        f"{figure.sigma / figure.sigma_before:.1f} times as much. A loose lead, or a motor that had not cooled?"
    )


def plan_words(plan: "BenchPlan") -> list[str]:
    """How much it is, what it can tell, and how motors are handled: a sentence each."""
    if not plan.names:
        return ["No motor in use to plan for."]
    first = [next_test_words(plan.next_test)] if plan.next_test else []
    return [*first, *_counted(plan), *_told(plan), *_handling(plan)]


def _counted(plan: "BenchPlan") -> list[str]:
    """How much it is."""
    whom = plan.names[0] if len(plan.names) == 1 else f"each of {number_word(len(plan.names))} motors"
    further = [lot for lot in plan.rounds if len(lot) < len(plan.names)]
    more = f", then {counted_words(len(further), 'run')} more of {listed(further[0])}" if further else ""
    runs, few = number_word(len(plan.order)), number_word(plan.repeats).capitalize()
    lasts = f"{runs} in all, about {plan.minutes:.0f} min"
    if plan.minutes <= plan.have:
        return [f"{few} runs of {whom}{more}: {lasts}."]
    if plan.next_test:
        return [f"Beyond your {plan.have:.0f} min: {few.lower()} runs of {whom}{more}, {lasts}."]
    return [f"{few} runs of {whom}{more}: {lasts}, more than your {plan.have:.0f}."]


def _told(plan: "BenchPlan") -> list[str]:
    """What so many runs can tell, and what takes another evening."""
    if len(plan.names) < 2:
        return []
    whose = "" if plan.own else ", as testers usually repeat themselves"
    least = "more than 32" if plan.enough is None else number_word(plan.enough)
    short = "" if plan.enough is None or plan.enough <= plan.repeats or whose else ", other evenings included"
    return [f"A KV difference of {plan.margin_pct:.2f} % takes {least} runs of each, clamped anew{short}{whose}."]


def _handling(plan: "BenchPlan") -> list[str]:
    check = f"No check motor: {key_for('edit-record')} on Motors marks one; never open it, run it first and last."
    if plan.check_motor:
        check = f"{plan.check_motor}, the check motor, first, between and last, shows if the tester drifts."
    turns = ["Motors take turns: a tester that drifts then moves all alike."] if len(plan.names) > 1 else []
    unmeasured = listed(plan.unmeasured)
    cold = [f"Before its first run, cold: the winding resistance of {unmeasured}."] if unmeasured else []
    return [check, *turns, *cold, "Cool every motor alike before its run. Fix it down; hands off while it spins."]


def sweep_title(sweep: "SweepAnswer", now: datetime) -> str:
    """When it was made, of how many runs, and on which tester."""
    marks = len({point.mark_deg for point in sweep.points})
    said = [friendly(sweep.began, now), f"{counted_words(len(sweep.points), 'run')} at {marks} marks", sweep.tester]
    return "   ".join(filter(None, said))


def sweep_words(sweep: "SweepAnswer", motor: str, now: datetime) -> list[str]:
    """The best mark, and a caution: a sentence each."""
    caveat = "" if sweep.warmth_equal else "Warmth not equalised: a motor warms from run to run, which reads as timing."
    return [text for text in (f"{motor}, sweep of {friendly(sweep.began, now)}: {_best(sweep)}", caveat) if text]


def slope_words(sweep: "SweepAnswer") -> list[str]:
    """What one degree more brings and costs, and what that stands on; nothing where too little was read."""
    parts, kv, current = [], sweep.kv, sweep.current
    if kv is not None:
        parts.append(f"KV {kv.slope:+.0f}, {kv.slope_low90:+.0f} to {kv.slope_high90:+.0f}")
    if current is not None:
        parts.append(f"current {current.slope:+.3f}, {current.slope_low90:+.3f} to {current.slope_high90:+.3f}")
    if not parts:
        return []
    through = f"{number_word(len(sweep.points))} runs"
    return [f"One degree more: {'; '.join(parts)}.", f"Nine times in ten; a straight line through {through}."]


def _best(sweep: "SweepAnswer") -> str:
    mark, marks = sweep.best_mark_deg, [point.mark_deg for point in sweep.points]
    if mark is None:
        return "no speed per amp, since no run has both KV and current."
    beyond = {min(marks): " That is the lowest mark tried, the best may lie lower."}
    beyond[max(marks)] = " That is the highest mark tried, the best may lie higher."
    return f"best speed per amp at mark {shown(mark)}, without load.{beyond.get(mark, '')}"
