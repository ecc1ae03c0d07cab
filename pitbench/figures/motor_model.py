"""The three-constant motor: back-EMF constant, no-load current and resistance give everything at load.

Source of all forms: M. Drela, First-Order DC Electric Motor Model (MIT Aero & Astro, 2007), and any drives textbook.
Valid for a steady supply voltage, no field weakening and a loss torque that does not depend on speed; where it does,
`losses` splits it. Inputs may be floats or numpy arrays that broadcast.
"""

from dataclasses import dataclass
from typing import Any

from pitbench.figures.speed import torque_constant

Value = Any
"""A float, or a numpy array of floats."""


@dataclass(frozen=True)
class MotorConstants:
    """kv: back-EMF constant, rpm/V; no_load_current: A; resistance: ohm, leads included where they count."""

    kv: Value
    no_load_current: Value
    resistance: Value


def back_emf_kv(rpm: Value, voltage: Value, no_load_current: Value, resistance: Value) -> Value:
    """Back-EMF constant in rpm/V from a reading without load: rpm / (V − I0·R). Valid while V > I0·R.

    >>> back_emf_kv(2100.0, 50.0, 1.25, 1.03)
    43.110084
    """
    return rpm / (voltage - no_load_current * resistance)


def speed_rpm(motor: MotorConstants, voltage: Value, current: Value) -> Value:
    """Speed in rpm at `current`: Kv·(V − i·R).

    >>> speed_rpm(MotorConstants(2500.0, 3.0, 0.02), 7.4, 3.0)
    18350.0
    """
    return motor.kv * (voltage - current * motor.resistance)


def current_at_speed(motor: MotorConstants, voltage: Value, rpm: Value) -> Value:
    """Current in A drawn at a stated speed: (V − ω/Kv) / R.

    >>> current_at_speed(MotorConstants(2500.0, 3.0, 0.02), 7.4, 18350.0)
    3.0
    """
    return (voltage - rpm / motor.kv) / motor.resistance


def torque_nm(motor: MotorConstants, current: Value) -> Value:
    """Shaft torque in N·m: (i − I0) / Kv, with Kv in rad/s per volt.

    >>> torque_nm(MotorConstants(2500.0, 3.0, 0.02), 370.0)
    1.40183674
    """
    return (current - motor.no_load_current) * torque_constant(motor.kv)


def shaft_power_w(motor: MotorConstants, voltage: Value, current: Value) -> Value:
    """Shaft power in W: (V − i·R)·(i − I0), which is torque times speed.

    >>> shaft_power_w(MotorConstants(2500.0, 3.0, 0.02), 7.4, 186.5)
    673.445
    """
    return (voltage - current * motor.resistance) * (current - motor.no_load_current)


def efficiency(motor: MotorConstants, voltage: Value, current: Value) -> Value:
    """Shaft power ÷ electrical power: (1 − i·R/V)·(1 − I0/i). Valid for i > 0.

    >>> efficiency(MotorConstants(2500.0, 3.0, 0.02), 7.4, 33.3166625)
    0.82801804
    """
    return (1 - current * motor.resistance / voltage) * (1 - motor.no_load_current / current)


def best_efficiency_current(motor: MotorConstants, voltage: Value) -> Value:
    """Current in A at which efficiency is highest: √(V·I0/R).

    >>> best_efficiency_current(MotorConstants(2500.0, 3.0, 0.02), 7.4)
    33.3166625
    """
    return (voltage * motor.no_load_current / motor.resistance) ** 0.5


def best_efficiency(motor: MotorConstants, voltage: Value) -> Value:
    """Highest efficiency: (1 − √(I0·R/V))². Valid while I0·R ≤ V.

    >>> best_efficiency(MotorConstants(2500.0, 3.0, 0.02), 7.4)
    0.82801804
    """
    return (1 - (motor.no_load_current * motor.resistance / voltage) ** 0.5) ** 2


def most_power_current(motor: MotorConstants, voltage: Value) -> Value:
    """Current in A at which shaft power is highest: (V/R + I0) / 2.

    >>> most_power_current(MotorConstants(2500.0, 3.0, 0.02), 7.4)
    186.5
    """
    return (voltage / motor.resistance + motor.no_load_current) / 2


def stall_current(motor: MotorConstants, voltage: Value) -> Value:
    """Current in A with the shaft held: V / R.

    >>> stall_current(MotorConstants(2500.0, 3.0, 0.02), 7.4)
    370.0
    """
    return voltage / motor.resistance
