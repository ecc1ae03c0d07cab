"""How fast a motor spins: speed, KV and the constants that follow from it, and a tester's wrong pole setting.

The one place where poles turn electrical into mechanical speed. Speeds are in rpm and KV in rpm/V, the trade's units;
the torque constant is SI.
"""

import math

RPM_PER_RAD_S = 60.0 / (2.0 * math.pi)
"""One rad/s in rpm (NIST SP 811, B.8: 1 rpm = 0.104 719 755 rad/s)."""


def mechanical_rpm(erpm: float, poles: int) -> float:
    """Shaft speed in rpm from electrical speed: erpm / (poles / 2). Source: textbook identity, one electrical turn a
    pole pair. Valid for an even, positive pole count; else ValueError.

    >>> mechanical_rpm(30_000.0, 4)
    15000.0
    """
    if poles <= 0 or poles % 2:
        raise ValueError("poles must be an even number from 2 up")
    return erpm / (poles / 2)


def no_load_kv(rpm: float, voltage: float) -> float:
    """KV in rpm/V: no-load speed ÷ the tester's voltage, winding drop left in. Common practice. Valid for voltage > 0.

    >>> no_load_kv(14_800.0, 4.0)
    3700.0
    """
    return rpm / voltage


def torque_constant(kv: float) -> float:
    """Kt in N·m/A from a back-EMF constant in rpm/V: 60 / (2π·Kv), since Kt = Ke in SI. Valid for kv > 0.

    >>> torque_constant(2500.0)
    0.00381972
    """
    return RPM_PER_RAD_S / kv


def speed_per_amp(kv: float, no_load_current: float) -> float:
    """KV ÷ no-load current in rpm/V/A: a glance figure, no load only. Common practice. Valid for current > 0.

    >>> speed_per_amp(3952.0, 4.1)
    963.902439
    """
    return kv / no_load_current


def corrected_for_poles(reading: float, poles: int, poles_assumed: int) -> float:
    """A KV or rpm reading of a tester set to `poles_assumed`, as it would read with the motor's own `poles`: such a
    tester reads poles / poles_assumed times the truth. Source: the definition of electrical speed.

    >>> corrected_for_poles(1950.0, 2, 4)
    3900.0
    """
    return reading * poles_assumed / poles
