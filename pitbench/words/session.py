"""The newest bench session in words: how well the tester repeats itself, what is wrong, what is missing."""

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk.answers import FIGURES
from pitbench.records.spoken import counted_words, listed
from pitbench.records.stamps import friendly

if TYPE_CHECKING:
    from pitbench.desk.bench.session_view import CheckLine, FigureScatter, SessionAnswer

WHERE_TO_LOOK = "pack, leads, pole setting, how warm it was"


def title(answer: "SessionAnswer", now: datetime) -> str:
    """Whose session it is, and how much was run."""
    called = f", {answer.name}" if answer.name else ""
    counted = f"{counted_words(answer.runs, 'run')} of {counted_words(answer.motors, 'motor')}"
    return f"{answer.tester or 'Bench'}, {friendly(answer.began, now)}{called}: {counted}"


def session_words(answer: "SessionAnswer") -> list[str]:
    """How the tester repeats itself, and what its check motor says: a sentence each."""
    return [line for line in (_repeats(answer.figures), _in_line(answer.checks), _missing(answer)) if line]


def warnings(answer: "SessionAnswer") -> list[str]:
    """What is wrong with the session; empty: nothing."""
    return [text for text in (*map(_off, answer.checks), *map(_noisy, answer.figures)) if text]


def _repeats(figures: list["FigureScatter"]) -> str:
    """What two readings of one motor differ by through luck alone."""
    by_name = {figure.name: figure for figure in figures if figure.limit is not None}
    kv, current = by_name.get("kv_rpm_per_v"), by_name.get("no_load_current_a")
    parts = [f"KV by up to {kv.limit:.0f} rpm/V"] if kv and kv.limit is not None else []
    parts += [f"current by up to {current.limit:.2f} A"] if current and current.limit is not None else []
    if not parts:
        return "No motor was run twice in this session: run one again, and the scatter of the tester shows."
    return f"Two runs of one motor differ by luck alone: {listed(parts)}, nineteen times in twenty."


def _in_line(checks: list["CheckLine"]) -> str:
    """Check motors that read as before."""
    quiet = [check for check in checks if not check.off and not check.drifting]
    if not quiet:
        return ""
    first = quiet[0]
    parts = [f"{FIGURES[c.name]} {c.shift_pct:+.1f} %" for c in quiet if c.motor == first.motor]
    return f"{first.motor} reads as in the {counted_words(first.sessions, 'session')} before: {listed(parts)}."


def _missing(answer: "SessionAnswer") -> str:
    if not answer.check_motors:
        return "No check motor yet: mark one that is never opened and run it first and last in every session."
    if not answer.run_now:
        name = answer.check_motors[0]
        return f"{name}, the check motor, has no run in this session: without one nothing ties it to the others."
    if not answer.checks:
        return f"{answer.run_now[0]}, the check motor, has no session before this one to be held against."
    return ""


def _off(check: "CheckLine") -> str:
    figure, sessions = FIGURES[check.name], counted_words(check.sessions, "session")
    if check.off:
        way = "higher" if check.shift_pct > 0 else "lower"
        return (
            f"This session is off: {check.motor} reads {figure} {abs(check.shift_pct):.1f} % {way} than in the "
            f"{sessions} before; up to {check.shift_limit_pct:.1f} % would be usual. Look at {WHERE_TO_LOOK}; until "
            "then compare motors within this session only."
        )
    if check.drifting:
        way = "up" if check.drift_pct > 0 else "down"
        return (
            f"The tester drifts, or {check.motor} does: its {figure} has gone {way} over the last sessions, "
            f"{check.shift_pct:+.1f} % by now. Look at {WHERE_TO_LOOK}."
        )
    return ""


def _noisy(figure: "FigureScatter") -> str:
    if not figure.noisier or figure.sigma is None or not figure.sigma_before:
        return ""
    return (
        f"{FIGURES[figure.name][0].upper()}{FIGURES[figure.name][1:]} scatters more than before: repeats differ "
        f"{figure.sigma / figure.sigma_before:.1f} times as much. A loose lead, or a motor that had not cooled?"
    )
