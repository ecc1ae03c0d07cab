"""The sets I own by rollout: legal or not, how far to the next, which is nearest to a wanted rollout.

Gathers gears, tyre and limits and asks `figures.gearing`; what is planned stands in `gear_plan`. Gears of different
pitch never mesh, and no set is made of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from pitbench.desk.lists.gear_plan import GearPlan
from pitbench.desk.typed import label_of, sentence
from pitbench.desk.units import INCH_MM, Units
from pitbench.desk.words import counted_words, listed
from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import Unreadable, shown
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.desk.builds import Source
    from pitbench.figures.gearing import Gear, GearSet

AROUND = 2
"""Without own gears: this many teeth up and down from the plan."""
EXACT_MM = 0.005
"""Less than this off a wanted rollout counts as exactly it."""
ROLLOUT = "max_rollout_mm"
"""The quantity a rollout is shown and read as."""


@dataclass(frozen=True)
class SetLine:
    """One set of the list, and how much longer the rollout of the next one is, in mm."""

    gears: "GearSet"
    to_next_mm: float | None = None

    @property
    def key(self) -> str:
        return f"{self.gears.pinion}/{self.gears.spur}/{self.gears.module_mm}"


@dataclass(frozen=True)
class Gearing:
    """The sets by rollout, the shortest first; `owned` false: no set of own gears, one-tooth steps round the plan.

    unmated: own gears without one of their pitch to mesh with, in words; written: how many gears are written down.
    """

    plan: GearPlan
    here: "GearSet"
    sets: tuple[SetLine, ...]
    owned: bool
    unmated: tuple[str, ...]
    written: int

    @property
    def key_here(self) -> str | None:
        """Key of the listed set that is the plan's."""
        same = (s.key for s in self.sets if (s.gears.pinion, s.gears.spur) == (self.here.pinion, self.here.spur))
        return next(same, None)


def own_gears(source: "Source") -> "dict[str, list[Gear]]":
    """The gears written down, pinions and spurs, by pitch and teeth."""
    from pitbench.figures.gearing import Gear

    own: dict[str, list[Gear]] = {"pinion": [], "spur": []}
    for row in sorted(source.rows("gear"), key=lambda row: (row["module"], row["teeth"])):
        own[row["kind"]].append(Gear(int(row["teeth"]), row["module"]))
    return own


def gearing(snapshot: "Source", plan: GearPlan) -> Gearing:
    """The answer of the gearing screen."""
    from pitbench.figures.gearing import all_sets, gear_set

    own = own_gears(snapshot)
    sets = all_sets(own["pinion"], own["spur"], plan.drive())
    return Gearing(
        plan=plan,
        here=gear_set(int(plan.pinion), int(plan.spur), plan.drive()),
        sets=_lines(sets or _around(plan)),
        owned=bool(sets),
        unmated=(*_alone("pinion", own["pinion"], own["spur"]), *_alone("spur", own["spur"], own["pinion"])),
        written=len(own["pinion"]) + len(own["spur"]),
    )


def _alone(kind: str, gears: "list[Gear]", others: "list[Gear]") -> list[str]:
    """Gears that none of the others mesh with, in words, those of one pitch together."""
    from pitbench.figures.gearing import same_pitch

    teeth: dict[float, list[str]] = {}
    for gear in gears:
        module = gear.module_mm or 0.0
        if not any(same_pitch(module, other.module_mm or 0.0) for other in others):
            teeth.setdefault(module, []).append(str(gear.teeth))
    return [f"{kind} {listed(each)} of {pitch_words(module)}" for module, each in teeth.items()]


def _around(plan: GearPlan) -> "list[GearSet]":
    """The plan, and one tooth after the other up and down, on the pinion and on the spur."""
    from pitbench.figures.gearing import gear_set

    teeth = {(int(plan.pinion) + step, int(plan.spur)) for step in range(-AROUND, AROUND + 1)}
    teeth |= {(int(plan.pinion), int(plan.spur) + step) for step in range(-AROUND, AROUND + 1)}
    found = [gear_set(pinion, spur, plan.drive()) for pinion, spur in teeth if pinion > 0 and spur > 0]
    return sorted(found, key=lambda each: (each.rollout_mm, each.pinion))


def _lines(sets: "Sequence[GearSet]") -> tuple[SetLine, ...]:
    steps = [longer.rollout_mm - each.rollout_mm for each, longer in pairwise(sets)]
    return tuple(SetLine(each, step) for each, step in zip(sets, [*steps, None], strict=True))


def find_set(answer: Gearing, wanted_mm: float) -> SetLine:
    """The set whose rollout lies nearest to the wanted one; without own gears any pinion on the plan's spur."""
    from pitbench.figures.gearing import gear_set, nearest

    plan = answer.plan
    if answer.owned:
        sets = [line.gears for line in answer.sets]
    else:
        low, high = (int(end) for end in QUANTITIES["pinion"].likely)
        sets = [gear_set(teeth, int(plan.spur), plan.drive()) for teeth in range(low, high + 1)]
    found = nearest(sets, wanted_mm)
    assert found is not None
    return SetLine(found)


def read_rollout(text: str, units: Units) -> float:
    """A typed rollout in mm; a Refusal in one sentence."""
    try:
        return units.read(ROLLOUT, text)
    except Unreadable as why:
        raise Refusal(sentence("rollout", text, str(why))) from None


# words


def pitch_words(module_mm: float | None) -> str:
    """A pitch in both ways of writing it.

    >>> pitch_words(0.396875), pitch_words(0.5), pitch_words(None)
    ('64 DP, module 0.397', '50.8 DP, module 0.5', 'pitch unknown')
    """
    if module_mm is None:
        return "pitch unknown"
    return f"{dp_text(module_mm)} DP, module {module_text(module_mm)}"


def dp_text(module_mm: float) -> str:
    """The diametral pitch of a module, whole where it is.

    >>> dp_text(0.396875), dp_text(0.53)
    ('64', '47.9')
    """
    return shown(round(INCH_MM / module_mm, 1))


def module_text(module_mm: float) -> str:
    """A module with no digit more than it needs.

    >>> module_text(0.529166666)
    '0.529'
    """
    return shown(round(module_mm, 3))


def rollout_words(value_mm: float, units: Units) -> str:
    """A rollout in a sentence: '44.5 mm'."""
    return f"{units.short(ROLLOUT, value_mm)} {units.unit(ROLLOUT)}"


def gearing_words(answer: Gearing, units: Units) -> list[str]:
    """The answer in sentences: how far the sets reach, what the class allows, what is missing."""
    sentences = [_reach(answer, units), _limits(answer, units), _assumed(answer, units)]
    if not answer.owned:
        sentences.append(unmated_words(answer))
    return [text for text in sentences if text]


def unmated_words(answer: Gearing) -> str:
    """Which own gears mesh with none of the others; empty if all do."""
    return f"Nothing of its pitch to mesh with: {'; '.join(answer.unmated)}." if answer.unmated else ""


def _reach(answer: Gearing, units: Units) -> str:
    if not answer.owned:
        start = f"{answer.here.pinion}/{answer.here.spur}"
        why = "Your gears make no set yet" if answer.written else "No gears of yours are written down yet"
        return f"{why}: + writes down pinions and spurs. Until then, tooth by tooth round {start}:"
    tyre = f"{units.short('tyre_diameter_mm', answer.plan.tyre_diameter_mm)} {units.unit('tyre_diameter_mm')}"
    first, last = answer.sets[0].gears, answer.sets[-1].gears
    if first is last:
        return f"Your one set gives {rollout_words(first.rollout_mm, units)} of rollout on {tyre} tyres."
    ends = f"{units.short(ROLLOUT, first.rollout_mm)} to {rollout_words(last.rollout_mm, units)}"
    return f"Your {counted_words(len(answer.sets), 'set')} reach from {ends} of rollout on {tyre} tyres."


def _limits(answer: Gearing, units: Units) -> str:
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


def _assumed(answer: Gearing, units: Units) -> str:
    plan = answer.plan
    said = listed([f"{label_of(name)} {_number_words(name, getattr(plan, name), units)}" for name in plan.assumed])
    if not said:
        return ""
    return f"Assumed, as no track run says it yet: {said}. e changes that."


def _number_words(name: str, value: float, units: Units) -> str:
    return f"{units.short(name, value)} {units.unit(name)}".strip()


def broken_words(gears: "GearSet", plan: GearPlan, units: Units) -> str:
    """By how much a set breaks what its class allows; empty for a legal one."""
    said = []
    if gears.over_rollout is not None and plan.max_rollout_mm is not None:
        most = rollout_words(plan.max_rollout_mm, units)
        over = f"{units.short(ROLLOUT, gears.over_rollout, 2)} {units.unit(ROLLOUT)}"
        said.append(f"rollout is {over} over the {most} allowed")
    if gears.under_fdr is not None and plan.min_fdr is not None:
        said.append(f"FDR is {gears.under_fdr:.3f} under the {shown(plan.min_fdr)} asked for")
    text = listed(said)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def tooth_words(plan: GearPlan, units: Units) -> str:
    """What one tooth does from the plan on."""
    from pitbench.figures.gearing import one_tooth

    steps = one_tooth(int(plan.pinion), int(plan.spur), plan.drive())

    def said(name: str, up: float, down: float | None) -> str:
        return f"{name} up {_signed(up, units)}" + ("" if down is None else f", down {_signed(down, units)}")

    pinion = said("pinion", steps.pinion_up, steps.pinion_down)
    spur = said("spur", steps.spur_up, steps.spur_down)
    return f"One tooth: {pinion}; {spur} {units.unit(ROLLOUT)}."


def _signed(value_mm: float, units: Units) -> str:
    return f"{'-' if value_mm < 0 else '+'}{units.short(ROLLOUT, abs(value_mm), 2)}"


def found_words(gears: "GearSet", wanted_mm: float, answer: Gearing, units: Units) -> str:
    """What was found for a wanted rollout, how far off it is, and the nearest legal one where it breaks the rules."""
    from pitbench.figures.gearing import nearest

    whose = "" if answer.owned else ", any pinion on this spur"
    said = f"Nearest to {rollout_words(wanted_mm, units)}{whose}: {_off_words(gears, wanted_mm, units)}."
    if gears.legal:
        return said
    legal = nearest([line.gears for line in answer.sets if line.gears.legal], wanted_mm)
    instead = f" Nearest legal: {_off_words(legal, wanted_mm, units)}." if legal else ""
    return f"{said} It breaks the rules.{instead}"


def _off_words(gears: "GearSet", wanted_mm: float, units: Units) -> str:
    off = gears.rollout_mm - wanted_mm
    apart = f"{units.short(ROLLOUT, abs(off), 2)} {units.unit(ROLLOUT)} {'long' if off > 0 else 'short'}"
    return f"{gears.pinion}/{gears.spur}, {'exactly' if abs(off) < EXACT_MM else apart}"
