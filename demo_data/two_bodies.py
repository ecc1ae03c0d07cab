"""A motor in a car as two warm bodies, stepped through a run and the rest after it.

The winding takes the copper loss, which grows as it warms; the can takes the iron loss and gives heat to air that moves
with the car; at rest the winding goes on warming the can. A lap is a straight and an infield, each with its own current
and speed. Magnitudes are common practice, no source; nothing here is the law that pitbench fits.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

# J/K of the two, W/K between them, W/K to still air, what a fan and 1 m/s of driving add.
HEAT_WINDING, HEAT_CAN, LINK = 30.0, 52.0, 1.1
STILL, FAN, MOVING = 0.15, 0.16, 0.075
STRAIGHT = 0.35  # share of a lap
AMPS, METRES_PER_S = (52.0, 23.0), (11.0, 5.5)  # straight and infield, a 13.5T motor at USUAL_MM
USUAL_MM = 44.0
IRON_W = 9.0
STEP_S = 0.5


@dataclass(frozen=True)
class Load:
    """What a run asks of the motor, as factors on the usual: current, iron loss, air past the can; fan on the motor."""

    current: float
    iron: float
    breeze: float
    fan: bool


@dataclass
class TwoBodies:
    """Temperatures of winding and can, °C."""

    winding: float
    can: float

    def _step(self, seconds: float, copper_w: float, iron_w: float, to_air: float, air: float) -> None:
        across = LINK * (self.winding - self.can)
        self.winding += seconds * (copper_w - across) / HEAT_WINDING
        self.can += seconds * (across + iron_w - to_air * (self.can - air)) / HEAT_CAN

    def rest(self, seconds: float, air: float, fan: bool) -> None:
        """Stand in the pits."""
        steps = math.ceil(seconds / (8 * STEP_S))
        for _ in range(steps):
            self._step(seconds / steps, 0, 0, STILL + FAN * fan, air)

    def drive(self, seconds: float, lap_s: float, load: Load, ohm: Callable[[float], float], air: float) -> float:
        """Run with a winding of so many ohm at a temperature; the charge used, mAh."""
        charge = 0.0
        for number in range(round(seconds / STEP_S)):
            part = 0 if number * STEP_S % lap_s < STRAIGHT * lap_s else 1
            amps = AMPS[part] * load.current
            to_air = STILL + FAN * load.fan + MOVING * load.breeze * METRES_PER_S[part] ** 0.6
            self._step(STEP_S, amps**2 * ohm(self.winding), IRON_W * load.iron, to_air, air)
            charge += amps * STEP_S / 3.6
        return charge
