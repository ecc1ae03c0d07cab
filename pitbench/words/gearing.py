"""The own sets in words: how far they reach, what the class allows, what one tooth does, what was found.

Words only what the answer holds.
"""

from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.spoken import capital, counted_words, listed, pitch_words
from pitbench.records.typed import label_of
from pitbench.records.units import Units

if TYPE_CHECKING:
    from pitbench.desk.lists.gear_plan import GearPlan
    from pitbench.desk.lists.gear_sets import Found, Gearing
    from pitbench.figures.gearing import GearSet

ROLLOUT = "max_rollout_mm"
"""The quantity a rollout is shown as."""
EXACT_MM = 0.005
"""Less than this off a wanted rollout counts as exactly it."""


def rollout_words(value_mm: float, units: Units) -> str:
    """A rollout in a sentence: '44.5 mm'."""
    return f"{units.short(ROLLOUT, value_mm)} {units.unit(ROLLOUT)}"


def gearing_words(answer: "Gearing", units: Units) -> list[str]:
    """The answer in sentences: how far the sets reach, what the class allows, what is missing."""
    sentences = [_reach(answer, units), _limits(answer, units), _assumed(answer, units)]
    if not answer.owned:
        sentences.append(unmated_words(answer))
    return [text for text in sentences if text]


def unmated_words(answer: "Gearing") -> str:
    """Which own gears mesh with none of the others; empty if all do."""
    alone = [f"{kind} {listed(teeth)} of {pitch_words(module)}" for kind, module, teeth in answer.unmated]
    return f"Nothing of its pitch to mesh with: {'; '.join(alone)}." if alone else ""


def _reach(answer: "Gearing", units: Units) -> str:
    if not answer.owned:
        start = f"{answer.here.pinion}/{answer.here.spur}"
        why = "Your gears make no set yet" if answer.written else "No gears of yours are written down yet"
        return f"{why}: {key_for('add-gears')} writes down pinions and spurs. Until then, tooth by tooth round {start}:"
    tyre = f"{units.short('tyre_diameter_mm', answer.plan.tyre_diameter_mm)} {units.unit('tyre_diameter_mm')}"
    first, last = answer.sets[0].gears, answer.sets[-1].gears
    if first is last:
        return f"Your one set gives {rollout_words(first.rollout_mm, units)} of rollout on {tyre} tyres."
    ends = f"{units.short(ROLLOUT, first.rollout_mm)} to {rollout_words(last.rollout_mm, units)}"
    return f"Your {counted_words(len(answer.sets), 'set')} reach from {ends} of rollout on {tyre} tyres."


def _limits(answer: "Gearing", units: Units) -> str:
    plan = answer.plan
    limits = [] if plan.max_rollout_mm is None else [f"at most {rollout_words(plan.max_rollout_mm, units)} of rollout"]
    limits += [] if plan.min_fdr is None else [f"an FDR of at least {shown(plan.min_fdr)}"]
    if not limits:
        named = f"The class sheet of {plan.class_name}" if plan.class_name else "No class sheet"
        return f"{named} sets {'no' if plan.class_name else 'a'} limit to gearing."
    said = f"Rules of {plan.class_name}: {listed(limits)}."
    if not answer.owned:
        return said
    legal = [line.gears for line in answer.sets if line.gears.legal]
    if not legal:
        return f"{said} None of your sets keeps to that."
    best = legal[-1]
    return f"{said} Your longest legal set is {best.pinion}/{best.spur}, {rollout_words(best.rollout_mm, units)}."


def _assumed(answer: "Gearing", units: Units) -> str:
    plan = answer.plan
    said = listed([f"{label_of(name)} {_number_words(name, getattr(plan, name), units)}" for name in plan.assumed])
    if not said:
        return ""
    return f"Assumed, as no track run says it yet: {said}. {key_for('edit-record')} changes that."


def _number_words(name: str, value: float, units: Units) -> str:
    return f"{units.short(name, value)} {units.unit(name)}".strip()


def broken_words(gears: "GearSet", plan: "GearPlan", units: Units) -> str:
    """By how much a set breaks what its class allows; empty for a legal one."""
    said = []
    if gears.over_rollout is not None and plan.max_rollout_mm is not None:
        most = rollout_words(plan.max_rollout_mm, units)
        over = f"{units.short(ROLLOUT, gears.over_rollout, 2)} {units.unit(ROLLOUT)}"
        said.append(f"rollout is {over} over the {most} allowed")
    if gears.under_fdr is not None and plan.min_fdr is not None:
        said.append(f"FDR is {gears.under_fdr:.3f} under the {shown(plan.min_fdr)} asked for")
    return f"{capital(listed(said))}." if said else ""


def tooth_words(answer: "Gearing", units: Units) -> str:
    """What one tooth does from the plan on."""
    steps = answer.one_tooth

    def said(name: str, up: float, down: float | None) -> str:
        return f"{name} up {_signed(up, units)}" + ("" if down is None else f", down {_signed(down, units)}")

    pinion = said("pinion", steps.pinion_up, steps.pinion_down)
    spur = said("spur", steps.spur_up, steps.spur_down)
    return f"One tooth: {pinion}; {spur} {units.unit(ROLLOUT)}."


def _signed(value_mm: float, units: Units) -> str:
    return f"{'-' if value_mm < 0 else '+'}{units.short(ROLLOUT, abs(value_mm), 2)}"


def found_words(found: "Found", answer: "Gearing", units: Units) -> str:
    """What was found for a wanted rollout, how far off it is, and the nearest legal one where it breaks the rules."""
    wanted_mm = found.wanted_mm
    whose = "" if answer.owned else ", any pinion on this spur"
    said = f"Nearest to {rollout_words(wanted_mm, units)}{whose}: {_off_words(found.gears, wanted_mm, units)}."
    if found.gears.legal:
        return said
    instead = f" Nearest legal: {_off_words(found.legal, wanted_mm, units)}." if found.legal else ""
    return f"{said} It breaks the rules.{instead}"


def _off_words(gears: "GearSet", wanted_mm: float, units: Units) -> str:
    off = gears.rollout_mm - wanted_mm
    apart = f"{units.short(ROLLOUT, abs(off), 2)} {units.unit(ROLLOUT)} {'long' if off > 0 else 'short'}"
    return f"{gears.pinion}/{gears.spur}, {'exactly' if abs(off) < EXACT_MM else apart}"
