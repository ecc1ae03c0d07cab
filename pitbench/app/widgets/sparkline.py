"""A row of figures as bars of one character each."""

SPARKS = "▁▂▃▄▅▆▇█"


def sparkline(values: tuple[float, ...]) -> str:
    """One character a value, from the least to the greatest; equal values lie in the middle."""
    low, high = min(values), max(values)
    if high == low:
        return SPARKS[3] * len(values)
    return "".join(SPARKS[round((value - low) / (high - low) * (len(SPARKS) - 1))] for value in values)
