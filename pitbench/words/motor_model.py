"""The motor model in words: what a motor gives at work, beside another one, and what that is made of.

KV is said to be no-load, or under load, wherever it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.keys import with_keys
from pitbench.records.spoken import listed
from pitbench.records.stamps import friendly
from pitbench.records.units import Units
from pitbench.words.ranking import not_ranked_words

if TYPE_CHECKING:
    from pitbench.desk.lists.motor_model import At, LaidOut, Model, Models, NoModel, Split

    Pair = tuple[At, At]

HOW = {
    "KV": "a bench run with its speed",
    "no-load current": "a bench run with its current",
    "winding resistance": "a winding reading ({add-bench-run}), or a load log ({read-load-log}),",
}
LEAST_W = 0.5
"""Powers closer than this are the same."""


def model_words(laid: LaidOut, voltage: float, models: Models) -> list[str]:
    """What a motor gives at work, and its peaks."""
    best, most = laid.best, laid.strongest
    return [
        f"{laid.model.motor} at {voltage:.1f} V{_at_work(laid, models)}",
        f"Best efficiency {100 * best.efficiency:.0f} % at {best.current:.0f} A, {_rpm(best)}; most power "
        f"{most.power:.0f} W at {most.current:.0f} A, {_rpm(most)}.",
    ]


def _rpm(at: At) -> str:
    return f"{round(at.rpm, -2):.0f} rpm"


def _at_work(laid: LaidOut, models: Models) -> str:
    if models.at_work is None:
        return f": spinning free at {_rpm(laid.free)}."
    low, high = models.at_work
    seen = " as load logs saw" if models.work_seen else ""
    if laid.work is None:
        return f": too little to draw {low:.0f} to {high:.0f} A{seen}, as at work."
    slow, fast = laid.work
    return (
        f": at work, {low:.0f} to {high:.0f} A{seen}, {fast.power:.0f} to {slow.power:.0f} W at "
        f"{round(fast.rpm, -2):.0f} to {_rpm(slow)}."
    )


def beside_words(laid: LaidOut, other: Model, same_current: Pair | None, same_speed: Pair | None) -> str:
    """How much more another motor gives in the middle of what this one does at work; pairs: this one, the other."""
    if (laid.model.log is None) != (other.log is None):
        return f"{other.motor} is not to be set against it: one is told by a load log, the other by the bench."
    said = []
    if same_current is not None:
        said.append(f"{_more(same_current)} at {same_current[0].current:.0f} A")
    if same_speed is not None:
        said.append(f"{_more(same_speed)} at {_rpm(same_speed[0])}")
    if not said:
        return f"{other.motor} never does what {laid.model.motor} does at work."
    return f"{other.motor}: {', '.join(said)}; whether that is luck, Rankings say."


def _more(pair: Pair) -> str:
    more = pair[1].power - pair[0].power
    return "as much" if abs(more) < LEAST_W else f"{abs(more):.0f} W {'more' if more > 0 else 'less'}"


def made_of_words(model: Model, models: Models, units: Units, now: datetime) -> tuple[str, str]:
    """Which KV and which resistance it is laid out from."""
    ohm = 1000 * model.resistance
    if model.log is not None:
        return f"KV {model.constant:.0f} under load", f"{ohm:.1f} mΩ by log, {friendly(model.log, now)}"
    own = f"{ohm - models.leads_mohm:.1f} mΩ at {units.degrees(20)}, leads {models.leads_mohm:.0f} mΩ"
    return f"KV {model.kv:.0f} no-load, {model.constant:.0f} by back-EMF", own


def conditions_words(shown: Sequence[Model], models: Models, units: Units) -> list[str]:
    """At what KV was read, and how the loss without load was carried to the voltage."""
    conditions = [f"{models.test_voltage:.1f} V"]
    if models.motor_temp_c is not None:
        conditions.append(units.degrees(models.motor_temp_c))
    if models.timing_deg is not None:
        conditions.append(f"{models.timing_deg:.1f}° timing")
    benched = any(model.log is None for model in shown)
    said = [f"No-load KV at {listed(conditions)}."] if benched else []
    said += [*(_loss(model, model.split) for model in shown if model.split)]
    if any(model.log for model in shown):
        said.append("By log: motor, leads and speed control together, as warm as they were.")
    taken = [model for model in shown if model.split is None]
    if taken:
        said.append(
            f"Loss without load: {100 * taken[0].share:.0f} % of it at {round(taken[0].tested_rpm, -2):.0f} rpm is "
            "taken to grow with speed squared; runs at a second voltage would tell."
        )
    return said


def _loss(model: Model, split: Split) -> str:
    low, high = split.voltages
    return (
        f"Loss of {model.motor} without load, from {low:.1f} and {high:.1f} V: {1000 * split.drag:.2f} mN·m at any "
        f"speed, {1000 * split.per_rpm * 10_000:.2f} more every 10000 rpm."
    )


def no_model_words(found: NoModel | None, name: str, voltage: float) -> list[str]:
    """Why a motor cannot be laid out, what would do, and what is known of it all the same."""
    if found is None:
        return [f"{name} is not compared: out of use, or somebody else's. The ranking's figures are needed."]
    if found.why is not None:
        return [f"{name} cannot be laid out: {not_ranked_words(found.why)}."]
    known = []
    if found.kv:
        known.append(f"KV {found.kv:.0f} no-load, so about {found.kv * voltage:.0f} rpm free at {voltage:.1f} V")
    if found.current:
        known.append(f"{found.current:.2f} A spinning free on the bench")
    lacks = listed([*found.lacks])
    needed = listed([with_keys(HOW[each]) for each in found.lacks])
    return [
        f"{name}: no torque, power or efficiency without its {lacks}; {needed} would do.",
        f"What is known: {listed(known)}." if known else "Nothing of it is known yet.",
    ]
