"""Gearing: final drive ratio, rollout, road speed, centre distance, and the sets that owned pinions and spurs make.

The only place where teeth and tyre turn into rollout, and where a diametral pitch becomes a module. Lengths in mm,
speeds in rpm and m/s. Formulas of the gear train: any machine design textbook; of the pitch: ISO 54 (definition of the
module).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isclose, pi

MM_PER_INCH = 25.4
"""Exact (NIST SP 811, B.8)."""
SAME_PITCH = 0.003
"""Modules this near each other, relative, are one pitch written two ways: 0.53 is 48 DP, but 0.4 is not 64 DP. Ours."""
ROUNDING = 1e-9
"""A ratio that meets a limit exactly must not fail it by the rounding of its last digit."""


def final_drive_ratio(spur: int, pinion: int, internal_ratio: float = 1.0) -> float:
    """FDR, motor turns per wheel turn: spur ÷ pinion × internal ratio. ValueError unless all are above 0.

    >>> final_drive_ratio(78, 25, 1.9)
    5.928
    """
    _above_zero(internal_ratio, "internal ratio")
    if pinion < 1 or spur < 1:
        raise ValueError("a gear has one tooth or more")
    return spur / pinion * internal_ratio


def rollout(tyre_diameter_mm: float, fdr: float) -> float:
    """Distance in mm the car moves in one motor turn: π × tyre diameter ÷ FDR. ValueError unless both are above 0.

    >>> rollout(63.0, 5.928)
    33.387371
    """
    _above_zero(tyre_diameter_mm, "tyre diameter")
    _above_zero(fdr, "final drive ratio")
    return pi * tyre_diameter_mm / fdr


def module_of(diametral_pitch: float) -> float:
    """Module in mm of a diametral pitch in teeth per inch: 25.4 ÷ DP; its own inverse. ValueError unless above 0.

    >>> module_of(64.0), module_of(0.396875)
    (0.396875, 64.0)
    """
    _above_zero(diametral_pitch, "gear pitch")
    return MM_PER_INCH / diametral_pitch


def centre_distance(module_mm: float, pinion: int, spur: int) -> float:
    """Distance in mm from motor shaft to spur shaft: module × (pinion + spur) ÷ 2, gears without profile shift.

    >>> centre_distance(0.396875, 30, 93)
    24.4078125
    """
    return module_mm * (pinion + spur) / 2


def same_pitch(module_mm: float, other_mm: float) -> bool:
    """Whether two modules in mm mean one pitch, so that the gears mesh.

    >>> same_pitch(0.53, module_of(48)), same_pitch(0.4, module_of(64))
    (True, False)
    """
    return isclose(module_mm, other_mm, rel_tol=SAME_PITCH)


@dataclass(frozen=True)
class Drive:
    """What turns a pair of gears into rollout, and what the class allows (None: no limit)."""

    tyre_diameter_mm: float
    internal_ratio: float = 1.0
    max_rollout_mm: float | None = None
    min_fdr: float | None = None


@dataclass(frozen=True)
class GearSet:
    """One pinion with one spur. centre_mm is None where the pitch is unknown.

    over_rollout, under_fdr: by how much (mm, ratio) it breaks the class's limit, None where it does not.
    """

    pinion: int
    spur: int
    module_mm: float | None
    fdr: float
    rollout_mm: float
    centre_mm: float | None
    over_rollout: float | None
    under_fdr: float | None

    @property
    def legal(self) -> bool:
        """Whether it keeps to every limit given."""
        return self.over_rollout is None and self.under_fdr is None


def gear_set(pinion: int, spur: int, drive: Drive, module_mm: float | None = None) -> GearSet:
    """One set, whether owned or not. ValueError as in `final_drive_ratio` and `rollout`.

    >>> found = gear_set(25, 78, Drive(63.0, 1.9, max_rollout_mm=33.0))
    >>> found.rollout_mm, found.over_rollout, found.legal
    (33.387371, 0.387371, False)
    """
    fdr = final_drive_ratio(spur, pinion, drive.internal_ratio)
    length = rollout(drive.tyre_diameter_mm, fdr)
    return GearSet(
        pinion=pinion,
        spur=spur,
        module_mm=module_mm,
        fdr=fdr,
        rollout_mm=length,
        centre_mm=None if module_mm is None else centre_distance(module_mm, pinion, spur),
        over_rollout=_beyond(length, drive.max_rollout_mm),
        under_fdr=None if drive.min_fdr is None else _beyond(-fdr, -drive.min_fdr),
    )


@dataclass(frozen=True)
class Steps:
    """Change of rollout in mm for one tooth more or less on the pinion or the spur; None: no gear is that small."""

    pinion_up: float
    pinion_down: float | None
    spur_up: float
    spur_down: float | None


def one_tooth(pinion: int, spur: int, drive: Drive) -> Steps:
    """What one tooth does from here.

    >>> one_tooth(25, 78, Drive(63.0, 1.9))
    Steps(pinion_up=1.335495, pinion_down=-1.335495, spur_up=-0.422625, spur_down=0.433602)
    """
    here = gear_set(pinion, spur, drive).rollout_mm

    def change(pinion: int, spur: int) -> float | None:
        return gear_set(pinion, spur, drive).rollout_mm - here if pinion and spur else None

    up, longer_spur = gear_set(pinion + 1, spur, drive), gear_set(pinion, spur + 1, drive)
    return Steps(
        up.rollout_mm - here, change(pinion - 1, spur), longer_spur.rollout_mm - here, change(pinion, spur - 1)
    )


@dataclass(frozen=True)
class Gear:
    """A gear somebody owns; module_mm None: pitch not written down."""

    teeth: int
    module_mm: float | None = None


def all_sets(pinions: Iterable[Gear], spurs: Iterable[Gear], drive: Drive) -> list[GearSet]:
    """Every pinion with every spur of its pitch, each once, by rollout from the shortest, then by pinion.

    Gears of unknown pitch go together, and with no others.
    """
    own = _distinct(spurs)
    found = [
        gear_set(pinion.teeth, spur.teeth, drive, pinion.module_mm)
        for pinion in _distinct(pinions)
        for spur in own
        if _mesh(pinion, spur)
    ]
    return sorted(found, key=lambda each: (each.rollout_mm, each.pinion, each.module_mm or 0.0))


def nearest(sets: Sequence[GearSet], wanted_rollout_mm: float) -> GearSet | None:
    """The set whose rollout lies nearest to the wanted one; of two as near, the shorter, which runs cooler.

    None of none. Whoever wants a legal one passes legal ones.
    """
    return min(sets, key=lambda each: (abs(each.rollout_mm - wanted_rollout_mm), each.rollout_mm), default=None)


def _distinct(gears: Iterable[Gear]) -> list[Gear]:
    """Without a second gear of the same teeth and pitch."""
    kept: list[Gear] = []
    for gear in gears:
        if not any(gear.teeth == other.teeth and _mesh(gear, other) for other in kept):
            kept.append(gear)
    return kept


def _mesh(one: Gear, other: Gear) -> bool:
    if one.module_mm is None or other.module_mm is None:
        return one.module_mm is other.module_mm
    return same_pitch(one.module_mm, other.module_mm)


def _beyond(value: float, most: float | None) -> float | None:
    """How far a value lies above the most allowed, None where it does not."""
    if most is None or value <= most or isclose(value, most, rel_tol=ROUNDING):
        return None
    return value - most


def _above_zero(value: float, what: str) -> None:
    if not value > 0:
        raise ValueError(f"{what} must be above 0, not {value:g}")
