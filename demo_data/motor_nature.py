"""The true nature of the invented motors: what each part is like, and what the three-constant motor model makes of it.

M. Drela, First-Order DC Electric Motor Model, 2007, spinning free at the tester's voltage:

    V = ke·w + R·I0         voltage over back-EMF and winding
    ke·I0 = Tc + kd·w       torque over Coulomb drag and the losses that grow with speed

so a weaker rotor turns faster, rough bearings draw more, a bad contact slows the motor. Every part has a nature of its
own, and what it may cause follows from how a motor is made: only the stator has the winding, only the rotor the
magnets, only the end bell the sensors; how the three fit together is left to each build. Magnitudes and spreads are
common practice, no source. Bench sheets and track sheets both start here, so that the two belong together.
"""

import math
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SEED = 20341082  # the best on the bench is not the best at load; one swap helped, one did not
VOLTAGE = 3.7  # one cell, V
POLES = 2

# A plain 13.5T motor. ke and R follow the turns: ke in proportion, R with their square (same copper in the slots).
KE = 0.002398  # V·s/rad
COULOMB = 0.0038  # N·m
SPEED_LOSS = 3.8e-6  # N·m·s/rad, iron and windage
RESISTANCE = 0.01175  # ohm at 20 °C
FLUX_PER_K = -0.0007  # per kelvin of the can's reading
COPPER_PER_K = 0.00393  # IEC 60028


@dataclass(frozen=True)
class MotorPlan:
    name: str
    class_name: str
    turns: float
    stator: str
    rotor: str
    end_bell: str
    mark: int
    check: bool = False
    note: str = ""

    @property
    def first_build(self) -> "Build":
        return Build(self.stator, self.rotor, self.end_bell)


MOTORS = (
    MotorPlan("Lapwing", "club 13.5T", 13.5, "S4", "R5", "E1", 35),
    MotorPlan("Whio", "club 13.5T", 13.5, "S1", "R6", "E2", 35),
    MotorPlan("Plover", "club 13.5T", 13.5, "S3", "R3", "E5", 35, note="bought used"),
    MotorPlan("Siskin", "club 13.5T", 13.5, "S2", "R7", "E4", 35),
    MotorPlan("Dunlin", "club 13.5T", 13.5, "S5", "R1", "E3", 35, check=True, note="never raced, never opened"),
    MotorPlan("Turnstone", "club 13.5T", 13.5, "S6", "R8", "E6", 35, note="new in May"),
    MotorPlan("Redshank", "club 21.5T", 21.5, "S11", "R11", "E11", 40),
    MotorPlan("Linnet", "club 21.5T", 21.5, "S12", "R12", "E12", 40),
)


class Build(NamedTuple):
    """What a motor is made from."""

    stator: str
    rotor: str
    end_bell: str


class Swap(NamedTuple):
    """A part that went into a motor. Without an outcome the runs of that evening say what came of it."""

    motor: str
    since: str
    kind: str
    part: str
    why: str
    outcome: str = ""


SWAPS = (
    Swap("Lapwing", "2026-05-03T14:25", "rotor", "R2", "R5 had lost flux"),
    Swap("Siskin", "2026-05-09T19:05", "rotor", "R3", "is it the rotor?"),
    Swap("Plover", "2026-05-09T19:05", "rotor", "R7", "Siskin has R3"),
    Swap("Turnstone", "2026-05-09T19:40", "end_bell", "E4", "draws most"),
    Swap("Siskin", "2026-05-09T19:40", "end_bell", "E6", "Turnstone has E4"),
    Swap("Turnstone", "2026-05-09T20:12", "end_bell", "E6", "put back", outcome="as it was"),
    Swap("Siskin", "2026-05-09T20:12", "end_bell", "E4", "put back", outcome="as it was"),
)
WORN_ROTOR, WORN_FLUX = "R5", 0.991  # overheated once: fast and weak


@dataclass(frozen=True)
class Nature:
    """What a build is like: factors on a plain motor; uneven in percent, sensors and their mean in degrees."""

    winding: float
    flux: float
    drag: float
    iron: float
    imbalance: float
    levels: float
    scale_error: float
    sensors: Floats


class Parts:
    """The true nature of every part, drawn once in a fixed order."""

    def __init__(self, draw: np.random.RandomState) -> None:
        numbers = (*range(1, 9), 11, 12)
        self.winding = {f"S{n}": 1 + 0.022 * draw.randn() for n in numbers}
        self.flux = {f"R{n}": 1 + 0.004 * draw.randn() for n in numbers}
        self.imbalance = {f"R{n}": draw.uniform(1.0, 3.0) for n in numbers}
        self.drag = {f"E{n}": 1 + 0.063 * draw.randn() for n in numbers}
        self.scale_error = {f"E{n}": 7 + 0.25 * draw.randn() for n in numbers}
        self.sensors = {f"E{n}": 0.25 * draw.randn(3) for n in numbers}
        self.levels = {f"E{n}": draw.uniform(2.0, 5.0) for n in numbers}
        self.flux[WORN_ROTOR] *= WORN_FLUX
        self.teeth = {f"S{n}": 1 + 0.003 * draw.randn() for n in numbers}
        self.iron = {f"S{n}": 1 + 0.045 * draw.randn() for n in numbers}
        self.eddies = {f"R{n}": 1 + 0.035 * draw.randn() for n in numbers}
        self.marks = {f"R{n}": 0.06 * draw.randn(3) for n in numbers}
        self.poles = {f"R{n}": 0.8 * draw.randn() for n in numbers}

    def of(self, build: Build) -> Nature:
        """Its parts together, with what comes of fitting just these three: the same each time."""
        stator, rotor, end_bell = build
        fit = np.random.RandomState([SEED, *(int(part[1:]) for part in build)])
        return Nature(
            winding=self.winding[stator] * (1 + 0.005 * fit.randn()),
            flux=self.flux[rotor] * self.teeth[stator] * (1 + 0.002 * fit.randn()),
            drag=self.drag[end_bell] * (1 + 0.06 * fit.randn()),
            iron=self.iron[stator] * self.eddies[rotor],
            imbalance=self.imbalance[rotor] + 0.2 * fit.randn(),
            levels=self.levels[end_bell] + self.poles[rotor] + 0.4 * fit.randn(),
            scale_error=self.scale_error[end_bell],
            sensors=self.sensors[end_bell] + self.marks[rotor] + 0.08 * fit.randn(3),
        )


def build_at(plan: MotorPlan, clock: datetime) -> Build:
    """What the motor was made from at that time."""
    build = plan.first_build
    for swap in SWAPS:
        if swap.motor == plan.name and datetime.fromisoformat(swap.since) <= clock:
            build = build._replace(**{swap.kind: swap.part})
    return build


def spin_free(nature: Nature, turns: float, timing: float, temp: float, extra_ohm: float) -> tuple[float, float]:
    """KV (rpm/V) and no-load current (A) of a motor that has settled at the tester's voltage."""
    flux = nature.flux * (1 + FLUX_PER_K * (temp - 25))
    ke = KE * turns / 13.5 * flux * (1 - 0.005 * (timing - 42))
    ohm = winding_ohm(nature, turns, temp) + extra_ohm
    coulomb = COULOMB * nature.drag
    speed_loss = SPEED_LOSS * nature.iron * flux**2
    speed = (VOLTAGE - ohm * coulomb / ke) / (ke + ohm * speed_loss / ke)
    current = (coulomb + speed_loss * speed) / ke * (1 + 0.015 * (timing - 42))
    return speed * 60 / (2 * math.pi) / VOLTAGE, current


def winding_ohm(nature: Nature, turns: float, temp: float) -> float:
    return RESISTANCE * (turns / 13.5) ** 2 * nature.winding * (1 + COPPER_PER_K * (temp - 20))
