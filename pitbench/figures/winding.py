"""Copper: how winding resistance follows temperature, and what temperature a resistance means.

The only place with the temperature coefficient of copper. Temperatures in °C, resistances in any one unit.
"""

COPPER_PER_K = 0.00393
"""Temperature coefficient of annealed copper at 20 °C, per kelvin (IEC 60028, recalled)."""
REFERENCE_C = 20.0
UNKNOWN_TEMPERATURE_SD_K = 5.0
READING_SD = 0.01
"""Doubt about a temperature nobody wrote down, and relative noise of one resistance reading. Ours."""
COPPER_K = 235.0
"""Constant of the resistance method for copper (IEC 60034-1, 8.6.2, recalled)."""


def resistance_at(resistance_20: float, temperature_c: float) -> float:
    """Resistance at a temperature from that at 20 °C: R20·(1 + 0.00393·(T − 20)). Source: IEC 60028. Valid about −40 to
    200 °C.

    >>> resistance_at(10.0, 120.0)
    13.93
    """
    return resistance_20 * (1 + COPPER_PER_K * (temperature_c - REFERENCE_C))


def resistance_20(resistance: float, temperature_c: float) -> float:
    """Resistance brought to 20 °C, the inverse of `resistance_at`.

    >>> resistance_20(13.93, 120.0)
    10.0
    """
    return resistance / (1 + COPPER_PER_K * (temperature_c - REFERENCE_C))


def winding_temperature(resistance: float, cold_resistance: float, cold_c: float) -> float:
    """Mean winding temperature in °C from its resistance hot and cold: R/R1·(235 + T1) − 235.

    Source: IEC 60034-1, 8.6.2 (resistance method). Valid for cold_resistance > 0.

    >>> winding_temperature(4.22, 3.42, 20.0) - 20
    59.649123
    """
    return resistance / cold_resistance * (COPPER_K + cold_c) - COPPER_K


def temperature_weight(*, known: bool) -> float:
    """Weight of a resistance reading: 1 with its temperature, else the noise variance ÷ noise plus 5 K of copper.

    >>> temperature_weight(known=True), temperature_weight(known=False)
    (1.0, 0.2057)
    """
    return 1.0 if known else READING_SD**2 / (READING_SD**2 + (COPPER_PER_K * UNKNOWN_TEMPERATURE_SD_K) ** 2)
