"""What a text may have been meant to be: each slip of the hand, and how likely it makes the typed text of that one.

Only plain slips of one number. Which of the meant numbers is likely, `figures.mistyped` decides; how often each cause
happens stands here. Ours, no source.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

SWAPPED, WRONG, MISSING, EXTRA = "two digits swapped", "a digit wrong", "a digit missing", "a digit too many"
SIGN_LOST, FACTOR_TEN = "the decimal sign lost", "the decimal sign in the wrong place"
PARTED = "the sign parts thousands"
FIELDS_SWAPPED, FAHRENHEIT, POLES = "the two swapped", "°F", "poles"
SHARES = {
    WRONG: 0.30,
    SWAPPED: 0.20,
    MISSING: 0.12,
    EXTRA: 0.12,
    SIGN_LOST: 0.08,
    FACTOR_TEN: 0.04,
    PARTED: 0.60,
    FIELDS_SWAPPED: 0.04,
    FAHRENHEIT: 0.80,
    POLES: 0.10,
}
"""Of the errors in a field, how many each cause makes; °F only of temperatures, poles only of speeds; parted
thousands only of whole numbers with three digits behind the sign, which nothing else writes so."""
UNKNOWN = 0.03
"""Of the errors, those of no such cause; the motor may have changed as well."""
NEAR = 0.7
"""Of wrong digits, the share that lies beside the right one on the keys."""
_PAD = ("789", "456", "123", "0")
LONGEST = 12
"""Digits of the longest text looked at."""


class Slip(NamedTuple):
    """A text that may have been meant, by which slip, and the chance that this slip of it makes the typed one."""

    cause: str
    meant: str
    chance: float


def slips_of(text: str, decimals: int) -> Iterator[Slip]:
    """Every slip that makes `text`, digits with at most one point among them, of a number with so many decimals.

    >>> [slip.meant for slip in slips_of("24.1", 1) if slip.cause == SWAPPED]
    ['42.1', '21.4']
    >>> [slip.meant for slip in slips_of("410", 2) if slip.cause == SIGN_LOST]
    ['4.10', '41.0']
    """
    digits = [i for i, each in enumerate(text) if each != "."]
    count = len(digits)
    if not 0 < count <= LONGEST or not {*text} <= {*"0123456789."}:
        return
    yield from _swapped(text, digits)
    for i in digits:
        for meant, share in _OTHERS[text[i]]:
            yield Slip(WRONG, f"{text[:i]}{meant}{text[i + 1 :]}", share / count)
    yield from _missing(text, count)
    if count > 1:
        yield from _extra(text, digits, count)
    if decimals or "." in text:
        yield from _signs(text, count)
    whole, _, behind = text.partition(".")
    if not decimals and whole.strip("0") and len(behind) == 3:
        yield Slip(PARTED, whole + behind, 1.0)


def _swapped(text: str, digits: list[int]) -> Iterator[Slip]:
    pairs = [(a, b) for a, b in pairwise(digits) if text[a] != text[b]]
    for a, b in pairs:
        letters = list(text)
        letters[a], letters[b] = letters[b], letters[a]
        yield Slip(SWAPPED, "".join(letters), 1 / len(pairs))


def _missing(text: str, count: int) -> Iterator[Slip]:
    """A digit put in before each digit and at the end; beside the same digit it is one text, missing in two ways."""
    for i in range(len(text) + 1):
        for digit in "0123456789":
            if i == 0 and digit == "0":
                continue
            yield Slip(MISSING, f"{text[:i]}{digit}{text[i:]}", 1 / (count + 1))


def _extra(text: str, digits: list[int], count: int) -> Iterator[Slip]:
    """A digit taken out: one typed twice, a nought too many, or a key hit beside it."""
    if text.endswith("0") and "." not in text:
        yield Slip(EXTRA, text[:-1], 0.5)
    for i in digits:
        beside = {text[j] for j in (i - 1, i + 1) if 0 <= j < len(text)}
        chance = 0.6 if text[i] in beside else 0.4 / 5 if beside & _BESIDE[text[i]] else 0.02
        yield Slip(EXTRA, text[:i] + text[i + 1 :], chance / (count - 1))


def _signs(text: str, count: int) -> Iterator[Slip]:
    bare = text.replace(".", "")
    if "." not in text:
        for places in range(min(count - 1, 3), 0, -1):
            yield Slip(SIGN_LOST, f"{bare[:-places]}.{bare[-places:]}", 1.0)
        if bare.endswith("0") and count > 1:
            yield Slip(FACTOR_TEN, bare[:-1], 0.5)
        yield Slip(FACTOR_TEN, f"{bare}0", 0.5)
        return
    point = text.index(".")
    if point > 1:
        yield Slip(FACTOR_TEN, f"{bare[: point - 1]}.{bare[point - 1 :]}", 0.5)
    if point + 1 <= count:
        yield Slip(FACTOR_TEN, f"{bare[: point + 1]}.{bare[point + 1 :]}".rstrip("."), 0.5)


def _beside() -> dict[str, frozenset[str]]:
    """Digits beside each digit, on the pad or in the row over the letters."""
    found = {}
    for row, keys in enumerate(_PAD):
        for column, key in enumerate(keys):
            pad = {
                _PAD[r][c]
                for r, c in ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
                if 0 <= r < len(_PAD) and 0 <= c < len(_PAD[r])
            } | {"2": {"0"}, "0": {"2"}}.get(key, set())  # the nought lies under both
            line = "1234567890"
            at = line.index(key)
            found[key] = frozenset(pad | set(line[max(0, at - 1) : at]) | set(line[at + 1 : at + 2]))
    return found


def _others() -> dict[str, list[tuple[str, float]]]:
    """Every digit that may have been meant by one typed, with the chance that it was typed so."""
    found: dict[str, list[tuple[str, float]]] = {}
    for typed in "0123456789":
        found[typed] = []
        for meant in "0123456789":
            beside = _BESIDE[meant]
            if meant == typed:
                continue
            share = NEAR / len(beside) if typed in beside else (1 - NEAR) / (9 - len(beside))
            found[typed].append((meant, share))
    return found


_BESIDE = _beside()
_OTHERS = _others()
