"""What a number may have been meant to be: two digits swapped, the decimal sign lost, a digit or a factor of ten.

Only plain slips; what they are held against, `suspects` decides.
"""

from collections.abc import Iterator
from itertools import pairwise

from pitbench.records.numbers import shown

SWAPPED, SIGN_LOST, FACTOR_TEN = "two digits swapped", "the decimal sign lost", "a factor of ten"
DIGIT_TOO_MANY = "a digit too many"

WHOLE = 1000
"""Numbers from here on are written without a decimal sign, so none can have been lost."""


def repaired(
    value: float, low: float, high: float, near: float | None = None, swaps: bool = True
) -> tuple[str | None, float | None]:
    """The cause and the number meant, if one slip explains a `value` that should lie from `low` to `high`.

    With several numbers for one cause, the nearest to `near` (else to the middle).

    >>> repaired(24.1, 41.6, 42.3)
    ('two digits swapped', 42.1)
    >>> repaired(410, 3.5, 4.5)
    ('the decimal sign lost', 4.1)
    >>> repaired(50, 41.6, 42.3)
    (None, None)
    >>> repaired(39820, 1000, 12000)
    ('a digit too many', 3982.0)
    """
    middle = (low + high) / 2 if near is None else near
    fitting: dict[str, float] = {}
    for cause, meant in _slips(value, swaps):
        better = cause not in fitting or abs(meant - middle) < abs(fitting[cause] - middle)
        if low <= meant <= high and better:
            fitting[cause] = meant
    return next(iter(fitting.items()), (None, None))


def _slips(value: float, swaps: bool) -> Iterator[tuple[str, float]]:
    text = shown(value)
    digits = [i for i, character in enumerate(text) if character.isdigit()]
    if swaps and "e" not in text:
        for first, second in pairwise(digits):
            letters = list(text)
            letters[first], letters[second] = letters[second], letters[first]
            yield SWAPPED, float("".join(letters))
    if "." not in text:
        for places in (1, 2, 3):
            meant = value / 10**places
            yield (DIGIT_TOO_MANY if places == 1 and meant >= WHOLE and meant == int(meant) else SIGN_LOST), meant
    yield from ((FACTOR_TEN, meant) for meant in (round(value / 10, 9), round(value * 10, 9)))
