"""What will it finish at, how far may I gear up: one planned run of one motor, and the forecast of it.

What a plan leaves open is taken from the motor's last track run; what that cannot tell is a Refusal that names it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from math import isfinite, isnan
from typing import TYPE_CHECKING, Any

from pitbench.desk import track_figures
from pitbench.desk.answered import counting
from pitbench.desk.answers import ForecastAnswer, ForecastBasis, Temperatures
from pitbench.desk.builds import in_order
from pitbench.desk.event_names import dated_name, events_meant
from pitbench.desk.forecasting.heat import Heat, event_of, heat_of
from pitbench.desk.gears import RANGES
from pitbench.desk.named import name_of, named
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row, Source
from pitbench.records.names import nearest
from pitbench.records.numbers import Unreadable, checked, shown
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import capital, listed

if TYPE_CHECKING:
    from pitbench.figures.forecast import Plan
    from pitbench.figures.spread import Spread


@dataclass(frozen=True)
class Planned:
    """One run to come. event: id of the event, or the day of runs without one; start_c None: at ambient."""

    motor_id: str
    pinion: float
    spur: float
    length_s: float
    ambient_c: float
    internal_ratio: float
    tyre_diameter_mm: float
    timing_mark_deg: float | None = None
    esc_timing_deg: float = 0.0
    start_c: float | None = None
    event: str | None = None

    @property
    def rollout_mm(self) -> float:
        """Rollout of the planned gears."""
        rollout = track_figures.rollout_of({f.name: getattr(self, f.name) for f in fields(self)})
        assert rollout is not None
        return rollout

    @property
    def timing_deg(self) -> float | None:
        """Timing mark plus the speed control's timing."""
        return None if self.timing_mark_deg is None else self.timing_mark_deg + self.esc_timing_deg


OPTIONS = {
    "pinion": "--pinion",
    "spur": "--spur",
    "length_s": "--minutes",
    "ambient_c": "--ambient",
    "tyre_diameter_mm": "--tyre-mm",
}
"""What must be known, and how the command line says it."""


def planned(source: Source, motor_id: str, heat: Heat, given: Mapping[str, Any]) -> Planned:
    """A plan from what is given by field name; the rest is that of the motor's last track run. Refusal: what is missing
    or impossible."""
    runs = heat.of_motor(motor_id)
    last: Row = runs[-1] if runs else {}
    known: dict[str, Any] = {
        name: last[name] for name in ("pinion", "spur", "tyre_diameter_mm", "timing_mark_deg") if name in last
    }
    known["esc_timing_deg"] = last.get("esc_timing_deg", 0.0)
    ratios = track_figures.internal_ratios(heat.runs)
    car: Row = last or (heat.runs[-1] if heat.runs else {})  # it goes into the car that ran last
    known["internal_ratio"] = car.get("internal_ratio", ratios.get(car.get("car_id"), 1.0))
    known["length_s"] = track_figures.length_of(last) if last else None
    at = heat.runs.index(last) if last else None
    known["ambient_c"] = None if at is None else _told(heat.columns.ambient_c[at])
    known["event"] = newest_event(source)
    wanted = {**known, **{name: value for name, value in given.items() if value is not None}}
    _complete(source, motor_id, bool(runs), wanted)
    return Planned(motor_id, **wanted)


def _told(value: float) -> float | None:
    return None if isnan(value) else value


def _complete(source: Source, motor_id: str, raced: bool, wanted: Mapping[str, Any]) -> None:
    missing = [option for name, option in OPTIONS.items() if wanted.get(name) is None]
    if missing:
        name = name_of(source, "motor", motor_id) or "This motor"
        why = f"{name}'s last track run does not tell" if raced else f"{name} has no track run yet that tells"
        raise Refusal(f"{why} {' and '.join(missing)}, to be given then.")
    for name, value in wanted.items():
        quantity = QUANTITIES.get(RANGES.get(name, name))
        if quantity is not None and value is not None:
            try:
                checked(value, quantity)
            except Unreadable as why:
                label = capital(quantity.label)
                raise Refusal(f"{label} {_typed(value)}{f' {quantity.unit}' if quantity.unit else ''} {why}.") from None


def _typed(value: float) -> str:
    return shown(value) if isfinite(value) else str(value)


def newest_event(source: Source) -> str | None:
    """What the newest track run shares its event effect with, its event or its day; None without any run."""
    runs = [*counting(source.rows("track_run"))]
    return event_of(max(runs, key=in_order)) if runs else None


def forecast(heat: Heat, name: str, plan: Planned, ceiling_c: float) -> ForecastAnswer:
    """The forecast of one plan. Refusal: a ceiling no warmer than the air."""
    from pitbench.figures import forecast as figures

    _check_ceiling(ceiling_c, plan.ambient_c)
    fit, asked = heat.fit_for(plan.rollout_mm), asked_of(heat, plan)
    found = figures.forecast(fit, asked, ceiling_c)
    return ForecastAnswer(
        motor=name,
        finish_temp_c=temperatures(found.finish),
        ceiling_c=ceiling_c,
        chance_over_ceiling=found.chance_over,
        longest_rollout_mm=figures.longest_rollout(fit, asked, ceiling_c),
        basis=ForecastBasis(int(fit.used.sum()), fit.of_motor(asked.motor), fit.of_event(asked.event)),
        flags=list(found.flags),
    )


def _check_ceiling(ceiling_c: float, ambient_c: float) -> None:
    try:
        checked(ceiling_c, QUANTITIES["ceiling_c"])
    except Unreadable as why:
        raise Refusal(f"Temperature limit {_typed(ceiling_c)} {why}.") from None
    if ceiling_c <= ambient_c:
        raise Refusal(
            f"A temperature limit of {shown(ceiling_c)} °C is not above the ambient of {shown(ambient_c)} °C, "
            "one well above it would be right."
        )


def asked_of(heat: Heat, plan: Planned) -> "Plan":
    """A plan as the figures take it."""
    from pitbench.figures.forecast import Plan as Asked

    return Asked(
        motor=heat.motors.get(plan.motor_id),
        event=heat.event_label(plan.event),
        rollout_mm=plan.rollout_mm,
        length_s=plan.length_s,
        ambient_c=plan.ambient_c,
        timing_deg=plan.timing_deg,
        start_c=plan.start_c,
    )


def temperatures(found: "Spread") -> Temperatures:
    """Points of a finish temperature."""
    return Temperatures(found.median, found.low50, found.high50, found.low90, found.high90)


def forecast_of(
    source: Source, motor: str, event: str | None, ceiling_c: float, given: Mapping[str, Any]
) -> ForecastAnswer:
    """The forecast that `pitbench forecast` prints; motor and event by name."""
    row = motor_of(source, motor)
    if event is not None:
        given = {**given, "event": event_id_of(source, event)}
    heat = heat_of(source, row.get("class_id"))
    return forecast(heat, row["name"], planned(source, row["id"], heat, given), ceiling_c)


def motor_of(source: Source, name: str) -> Row:
    """The motor of this name; Refusal with the nearest one."""
    found = named(source, "motor", name)
    if found is None:
        raise _nobody("motor", name, source.rows("motor"))
    return found


def event_id_of(source: Source, text: str) -> str:
    """The one event a text means; Refusal where it means none or several."""
    events = source.rows("event")
    meant = events_meant(text, events)
    if len(meant) > 1:
        raise Refusal(f"{text} is {' or '.join(dated_name(each) for each in meant)}; one of them would be right.")
    if not meant:
        raise _nobody("event", text, events)
    return str(meant[0]["id"])


def _nobody(what: str, name: str, rows: list[Row]) -> Refusal:
    known = list(dict.fromkeys(row["name"] for row in rows))
    near = nearest(name, known)
    one = f"one of {listed(known[:4])}" if len(known) > 1 else listed(known)
    some = f"{one} would be right." if known else "none has been written down."
    return Refusal(f"No {what} is called {name[:80]}; {f'did you mean {near}?' if near else some}")
