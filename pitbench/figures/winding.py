"""Copper: how winding resistance follows temperature.

The only place with the temperature coefficient of copper. Temperatures in °C, resistances in any one unit.
"""

COPPER_PER_K = 0.00393
"""Temperature coefficient of annealed copper at 20 °C, per kelvin (IEC 60028, recalled)."""
REFERENCE_C = 20.0
UNKNOWN_TEMPERATURE_SD_K = 5.0
READING_SD = 0.01
"""Doubt about a temperature nobody wrote down, and relative noise of one resistance reading. Ours."""


def resistance_20(resistance: float, temperature_c: float) -> float:
    """Resistance at 20 °C from that at a temperature: R / (1 + 0.00393·(T − 20)). Source: IEC 60028. Valid about −40 to
    200 °C.

    >>> resistance_20(13.93, 120.0)
    10.0
    """
    return resistance / (1 + COPPER_PER_K * (temperature_c - REFERENCE_C))


def temperature_weight(*, known: bool) -> float:
    """Weight of a resistance reading: 1 with its temperature, else the noise variance ÷ noise plus 5 K of copper.

    >>> temperature_weight(known=True), temperature_weight(known=False)
    (1.0, 0.2057)
    """
    return 1.0 if known else READING_SD**2 / (READING_SD**2 + (COPPER_PER_K * UNKNOWN_TEMPERATURE_SD_K) ** 2)
