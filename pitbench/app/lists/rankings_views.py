"""What Rankings shows besides its table: bars of the score, the plot of KV against current, the order by weight."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.app.widgets.intervals import LEGEND, Interval, ends, interval_bars
from pitbench.app.widgets.letters import LetterRow, letter_rows, letters, who_is_who
from pitbench.app.widgets.paint import Line, Role, fitted, line, wrapped
from pitbench.desk.answers import RankAnswer, RankedMotor, Spread
from pitbench.desk.comparing.weights import Trial
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row
from pitbench.records.spoken import GEARING, capital
from pitbench.words.motors import since_words
from pitbench.words.ranking import score_name, weighed

if TYPE_CHECKING:
    from pitbench.app.widgets.plot import Point


def bars(answer: RankAnswer, width: int) -> list[Line]:
    """The score of every motor with its spread."""
    intervals = [
        Interval(m.motor, m.score_low90, m.score_low50, m.score_pct, m.score_high50, m.score_high90)
        for m in answer.motors
    ]
    margin = answer.figures["load_power_w"].margin
    drawn = interval_bars(f"{score_name(answer).upper()}, %", intervals, width)
    legend = [f"{LEGEND}   1 margin is {margin:g} %"]
    if len(legend[0]) + 4 > width:
        legend = [LEGEND, f"1 margin is {margin:g} %"]
    return [*drawn, *(line((f"   {text}", "quiet")) for text in legend)]


def other_views(answer: RankAnswer, several_classes: bool) -> list[Line]:
    """What caps the gearing, and which keys show more: in place of bars that do not fit."""
    notes = [
        f"{capital(GEARING[answer.gearing_limit])}.",
        f"{key_for('next-plot')} shows bars of {'the score' if weighed(answer) else 'power at load'}, "
        f"KV against current{', the order by weight' if weighed(answer) else ''}.",
    ]
    if several_classes:
        notes.append(f"{key_for('next-part')} shows the card for the main, then bench and track, then the next class.")
    return [line((f"   {note}", "quiet")) for note in notes]


def since_rows(answer: RankAnswer, work: Mapping[str, Row], now: datetime, width: int) -> list[Line]:
    """Which of the motors are ranked as they are since a piece of work on them; nothing where none is."""
    told = [f"{m.motor} {since_words(work[m.motor], now)}" for m in answer.motors if m.motor in work]
    words = f"As they are since: {', '.join(told)}." if told else ""
    return [line((f"   {row}", "quiet")) for row in wrapped(words, width - 4)] if words else []


def points(answer: RankAnswer, marked: str | None, kv_of: Mapping[str, Spread]) -> list[Point]:
    """KV, as it lies from the class, against current, of the motors that have both; arms for the marked one, else for
    the leader."""
    from pitbench.app.widgets.plot import Point

    read = [(m, ends(m.figures["no_load_current_a"]), ends(kv_of.get(m.motor))) for m in answer.motors]
    known = [(motor, current, kv) for motor, current, kv in read if current and kv]
    arms = _marked(answer, marked).motor
    of_each = zip(known, letters([motor.motor for motor, *_ in known]), strict=True)
    return [
        Point(motor.motor, letter, current, kv, "accent" if motor.place == 1 else "text", motor.motor == arms)
        for (motor, current, kv), letter in of_each
    ]


def _marked(answer: RankAnswer, marked: str | None) -> RankedMotor:
    return next((motor for motor in answer.motors if motor.motor == marked), answer.motors[0])


def marked_point(answer: RankAnswer, marked: str | None, kv_of: Mapping[str, Spread], width: int) -> Line:
    """The motor with the arms in numbers; without units where the width is short."""
    motor = _marked(answer, marked)
    told = [
        f"{name} {mean:{form}} ±{(high - low) / 2:{form.removeprefix('+')}} {unit}"
        for name, figure, form, unit in (
            ("KV", kv_of.get(motor.motor), "+.0f", "rpm/V"),
            ("current", motor.figures["no_load_current_a"], ".2f", "A"),
        )
        if (known := ends(figure)) is not None
        for mean, low, high in [known]
    ]
    whole = f"   {'   '.join(told)}   arms: nine times in ten"
    room = width - 3 - len(motor.motor)
    short = fitted("   ".join(["", *(each.rsplit(" ", 1)[0] for each in told)]), room)
    return line((" ▸ ", "accent"), (motor.motor, "strong"), whole if len(whole) <= room else short)


def weight_rows(trials: list[Trial], width: int) -> tuple[Line, list[Line]]:
    """The head, and every trial with the motors as letters on one scale."""
    letter_of = _letters(trials)
    rows = [
        LetterRow(
            trial.label,
            "!" if trial.leader != trials[0].leader else "",
            [(letter_of[name], score) for name, score in trial.scores],
        )
        for trial in trials
    ]
    return letter_rows("SCORE, %", "order", rows, width)


def marked_trial(trials: list[Trial], label: str | None, width: int) -> list[Line]:
    """Who has which letter, and the marked row in words."""
    role: Role = "text"
    who = who_is_who([(letter, name, role) for name, letter in _letters(trials).items()], width)
    marked = next((trial for trial in trials if trial.label == label), trials[0])
    scores = ", ".join(f"{name} {score:+z.1f}" for name, score in marked.scores)
    words = wrapped(f"{marked.label}: {scores} %", max(20, width - 4))
    return [*who, (), *(line(f"   {row}") for row in words)]


def _letters(trials: list[Trial]) -> dict[str, str]:
    names = [name for name, _ in trials[0].scores]
    return dict(zip(names, letters(names), strict=True))
