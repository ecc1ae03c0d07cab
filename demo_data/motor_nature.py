"""The true nature of the invented motors: what each part is like, and what the three-constant motor model makes of it.

M. Drela, First-Order DC Electric Motor Model, 2007, spinning free at the tester's voltage:

    V = ke·w + R·I0         voltage over back-EMF and winding
    ke·I0 = Tc + kd·w       torque over Coulomb drag and the losses that grow with speed

so a weaker rotor turns faster, rough bearings draw more, a bad contact slows the motor. Magnitudes and spreads are
common practice, no source. Bench sheets and track sheets both start here, so that the two belong together.
"""

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np

SEED = 20260910  # a weekend whose best on the bench is not the best at load
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
SWAPS = (("Lapwing", "2026-05-03T14:25", "rotor", "R2", "R5 had lost flux"),)
WORN_ROTOR, WORN_FLUX = "R5", 0.991  # overheated once: fast and weak


class Parts:
    """The true nature of every part, drawn once in a fixed order."""

    def __init__(self, draw: np.random.RandomState) -> None:
        numbers = (*range(1, 9), 11, 12)
        self.winding = {f"S{n}": 1 + 0.022 * draw.randn() for n in numbers}
        self.flux = {f"R{n}": 1 + 0.004 * draw.randn() for n in numbers}
        self.imbalance = {f"R{n}": draw.uniform(1.0, 3.0) for n in numbers}
        self.drag = {f"E{n}": 1 + 0.07 * draw.randn() for n in numbers}
        self.scale_error = {f"E{n}": 7 + 0.25 * draw.randn() for n in numbers}
        self.sensors = {f"E{n}": 0.25 * draw.randn(3) for n in numbers}
        self.levels = {f"E{n}": draw.uniform(2.0, 5.0) for n in numbers}
        self.flux[WORN_ROTOR] *= WORN_FLUX


def fitted_rotor(plan: MotorPlan, clock: datetime) -> str:
    rotor = plan.rotor
    for motor, since, kind, part, _ in SWAPS:
        if motor == plan.name and kind == "rotor" and datetime.fromisoformat(since) <= clock:
            rotor = part
    return rotor


def spin_free(
    parts: Parts, plan: MotorPlan, rotor: str, timing: float, temp: float, extra_ohm: float
) -> tuple[float, float]:
    """KV (rpm/V) and no-load current (A) of a motor that has settled at the tester's voltage."""
    flux = parts.flux[rotor] * (1 + FLUX_PER_K * (temp - 25))
    ke = KE * plan.turns / 13.5 * flux * (1 - 0.005 * (timing - 42))
    ohm = winding_ohm(parts, plan, temp) + extra_ohm
    coulomb = COULOMB * parts.drag[plan.end_bell]
    speed_loss = SPEED_LOSS * flux**2
    speed = (VOLTAGE - ohm * coulomb / ke) / (ke + ohm * speed_loss / ke)
    current = (coulomb + speed_loss * speed) / ke * (1 + 0.015 * (timing - 42))
    return speed * 60 / (2 * math.pi) / VOLTAGE, current


def winding_ohm(parts: Parts, plan: MotorPlan, temp: float) -> float:
    turns = (plan.turns / 13.5) ** 2
    return RESISTANCE * turns * parts.winding[plan.stator] * (1 + COPPER_PER_K * (temp - 20))
