"""The sets I own by rollout: legal or not, how far to the next, which is nearest to a wanted rollout.

Gathers gears, tyre and limits and asks `figures.gearing`; what is planned stands in `gear_plan`. Gears of different
pitch never mesh, and no set is made of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pitbench.desk.gears import own_gears
from pitbench.desk.lists.gear_plan import GearPlan
from pitbench.figures.gearing import Gear, GearSet, Steps, all_sets, gear_set, nearest, one_tooth, same_pitch
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Source
from pitbench.records.numbers import Unreadable
from pitbench.records.refusal import Refusal
from pitbench.records.typed import sentence
from pitbench.records.units import Units

AROUND = 2
"""Without own gears: this many teeth up and down from the plan."""
Alone = tuple[str, float, list[str]]


@dataclass(frozen=True)
class SetLine:
    """One set of the list, and how much longer the rollout of the next one is, in mm."""

    gears: GearSet
    to_next_mm: float | None = None

    @property
    def key(self) -> str:
        return f"{self.gears.pinion}/{self.gears.spur}/{self.gears.module_mm}"


@dataclass(frozen=True)
class Found:
    """The set nearest to a wanted rollout, and the nearest legal own one."""

    wanted_mm: float
    gears: GearSet
    legal: GearSet | None


@dataclass(frozen=True)
class Gearing:
    """The sets by rollout, the shortest first; `owned` false: no set of own gears, one-tooth steps round the plan.

    unmated: own gears without one of their pitch to mesh with: kind, module, their teeth; one_tooth: what one does from
    the plan on; written: how many gears are written down.
    """

    plan: GearPlan
    here: GearSet
    sets: tuple[SetLine, ...]
    owned: bool
    unmated: tuple[Alone, ...]
    one_tooth: Steps
    written: int

    @property
    def key_here(self) -> str | None:
        """Key of the listed set that is the plan's."""
        same = (s.key for s in self.sets if (s.gears.pinion, s.gears.spur) == (self.here.pinion, self.here.spur))
        return next(same, None)


def gearing(snapshot: Source, plan: GearPlan) -> Gearing:
    """The answer of the gearing screen."""
    own = own_gears(snapshot)
    sets = all_sets(own["pinion"], own["spur"], plan.drive())
    return Gearing(
        plan=plan,
        here=gear_set(int(plan.pinion), int(plan.spur), plan.drive()),
        sets=_lines(sets or _around(plan)),
        owned=bool(sets),
        unmated=(*_alone("pinion", own["pinion"], own["spur"]), *_alone("spur", own["spur"], own["pinion"])),
        one_tooth=one_tooth(int(plan.pinion), int(plan.spur), plan.drive()),
        written=len(own["pinion"]) + len(own["spur"]),
    )


def _alone(kind: str, gears: list[Gear], others: list[Gear]) -> list[Alone]:
    """Gears that none of the others mesh with, those of one pitch together."""
    teeth: dict[float, list[str]] = {}
    for gear in gears:
        module = gear.module_mm or 0.0
        if not any(same_pitch(module, other.module_mm or 0.0) for other in others):
            teeth.setdefault(module, []).append(str(gear.teeth))
    return [(kind, module, each) for module, each in teeth.items()]


def _around(plan: GearPlan) -> list[GearSet]:
    """The plan, and one tooth after the other up and down, on the pinion and on the spur."""
    teeth = {(int(plan.pinion) + step, int(plan.spur)) for step in range(-AROUND, AROUND + 1)}
    teeth |= {(int(plan.pinion), int(plan.spur) + step) for step in range(-AROUND, AROUND + 1)}
    found = [gear_set(pinion, spur, plan.drive()) for pinion, spur in teeth if pinion > 0 and spur > 0]
    return sorted(found, key=lambda each: (each.rollout_mm, each.pinion))


def _lines(sets: Sequence[GearSet]) -> tuple[SetLine, ...]:
    steps = [longer.rollout_mm - each.rollout_mm for each, longer in pairwise(sets)]
    return tuple(SetLine(each, step) for each, step in zip(sets, [*steps, None], strict=True))


def find_set(answer: Gearing, wanted_mm: float) -> Found:
    """The set whose rollout lies nearest to the wanted one; without own gears any pinion on the plan's spur."""
    plan = answer.plan
    if answer.owned:
        sets = [line.gears for line in answer.sets]
    else:
        low, high = (int(end) for end in QUANTITIES["pinion"].likely)
        sets = [gear_set(teeth, int(plan.spur), plan.drive()) for teeth in range(low, high + 1)]
    found = nearest(sets, wanted_mm)
    assert found is not None
    legal = nearest([line.gears for line in answer.sets if line.gears.legal], wanted_mm)
    return Found(wanted_mm, found, legal)


def read_rollout(text: str, units: Units) -> float:
    """A typed rollout in mm; a Refusal in one sentence."""
    try:
        return units.read("max_rollout_mm", text)
    except Unreadable as why:
        raise Refusal(sentence("rollout", text, str(why))) from None
