"""Laps as people write them: a whole run in one entry (`22/5:03.4`), or every lap time in one paste.

The only reader and writer of these two texts; forms and sheets come here. What cannot be read is an `Unreadable`.
"""

import re
from collections.abc import Sequence

from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import Unreadable, checked, shown

_TIME = re.compile(r"^(?:(?:(\d+):)?(\d+):)?(\d+(?:[.,]\d+)?)$")
_BLANKS = re.compile(r"[\s;]+")
_NUMBERED = re.compile(r"^(\d+)[.):]?$")
_LONGEST_QUOTE = 12
_LAPS_FORM = "22/5:03.4 would be right, or 22 for the laps alone, 5:03.4 for the time alone"
_TIME_FORM = "write it like 14.53 or 0:14.53"


def read_time(text: str) -> float:
    """Seconds of a time written as `303.4`, `5:03.4`, `1:02:00` or with a decimal comma.

    >>> read_time("5:03.4"), read_time("14,53")
    (303.4, 14.53)
    """
    match = _TIME.match(text.strip())
    if not match:
        raise Unreadable(f"is no time, {_TIME_FORM}")
    hours, minutes, seconds = match.groups()
    own = float(seconds.replace(",", "."))
    if minutes is not None and own >= 60:
        raise Unreadable(f"has {shown(own)} seconds in a minute, {_TIME_FORM}")
    return round(float(hours or 0) * 3600 + float(minutes or 0) * 60 + own, 6)


def read_laps(text: str) -> tuple[float | None, float | None]:
    """Laps and run time in s of one entry; the other is None when only one was typed.

    >>> read_laps("22/5:03.4"), read_laps("22"), read_laps("5:03,4")
    ((22.0, 303.4), (22.0, None), (None, 303.4))
    """
    parts = [part for part in re.split(r"[/\s]+", text.strip()) if part]
    if len(parts) == 1 and ":" not in parts[0] and not re.search(r"[.,]", parts[0]):
        return _laps(parts[0]), None
    if len(parts) not in {1, 2}:
        raise Unreadable(f"is no laps and time, {_LAPS_FORM}")
    try:
        seconds = checked(read_time(parts[-1]), QUANTITIES["run_time_s"])
    except Unreadable as why:
        raise Unreadable(str(why) if "possible" in str(why) else f"is no laps and time, {_LAPS_FORM}") from None
    return (_laps(parts[0]) if len(parts) == 2 else None), seconds


def _laps(text: str) -> float:
    if not text.isascii() or not text.isdigit():
        raise Unreadable(f"is no laps and time, {_LAPS_FORM}")
    return checked(float(text), QUANTITIES["laps"])


def is_laps_and_time(text: str) -> bool:
    """Whether a text is laps and time in one entry, not several lap times.

    >>> is_laps_and_time("22 5:03.4"), is_laps_and_time("14.53 14.60")
    (True, False)
    """
    try:
        read_laps(text)
    except Unreadable:
        return False
    return True


def laps_text(laps: float | None, seconds: float | None) -> str:
    """As it is typed.

    >>> laps_text(22, 303.4), laps_text(None, 303.4), laps_text(22, None)
    ('22/5:03.4', '5:03.4', '22')
    """
    texts = ["" if laps is None else shown(laps), "" if seconds is None else time_text(seconds)]
    return "/".join(text for text in texts if text)


def time_text(seconds: float) -> str:
    """Minutes and seconds, every digit.

    >>> time_text(303.4), time_text(59.5), time_text(3725.0)
    ('5:03.4', '0:59.5', '62:05')
    """
    minutes, rest = divmod(seconds, 60)
    rest = round(rest, 6)
    if rest >= 60:
        minutes, rest = minutes + 1, 0.0
    whole, point, decimals = shown(rest).partition(".")
    return f"{int(minutes)}:{whole:0>2}{point}{decimals}"


def read_lap_times(text: str) -> tuple[float, ...]:
    """Every lap in s, parted by blanks, line ends, tabs, semicolons or commas; numbered laps lose their numbers.

    A comma is a decimal sign where no point stands beside it: `14,53 14,60` and `14.53,14.60` are both two laps.

    >>> read_lap_times("14.53, 0:14.60; 14.71"), read_lap_times("14,53 14,60"), read_lap_times("1) 14.5 2) 14.6")
    ((14.53, 14.6, 14.71), (14.53, 14.6), (14.5, 14.6))
    """
    tokens = [token for piece in _BLANKS.split(text) for token in _parted(piece)]
    return tuple(_lap(token) for token in _without_numbers(tokens))


def are_laps(text: str) -> bool:
    """Whether a text is several lap times and nothing else.

    >>> are_laps("14.53 14.60"), are_laps("2 min ago"), are_laps("14.53")
    (True, False, False)
    """
    try:
        return len(read_lap_times(text)) > 1
    except ValueError:
        return False


def _parted(piece: str) -> list[str]:
    """Commas of one piece without blanks: signs that part, or the decimal sign of its only number."""
    piece = piece.strip(",")
    count = piece.count(",")
    if "." in piece or (":" in piece and count > 1):
        return [token for token in piece.split(",") if token]
    if count > 1:
        raise Unreadable("has commas that may part laps or be decimal signs, put blanks between the laps")
    return [piece] if piece else []


def _without_numbers(tokens: list[str]) -> list[str]:
    """Laps pasted with their numbers: 1, its time, 2, its time."""
    numbers = [match.group(1) if (match := _NUMBERED.match(token)) else "" for token in tokens[::2]]
    counted = [str(nth) for nth in range(1, len(numbers) + 1)]
    return tokens[1::2] if len(tokens) > 2 and len(tokens) % 2 == 0 and numbers == counted else tokens


def _lap(token: str) -> float:
    try:
        return checked(read_time(token), QUANTITIES["lap_times_s"])
    except Unreadable as why:
        quote = token if len(token) <= _LONGEST_QUOTE else f"{token[:_LONGEST_QUOTE]}…"
        raise Unreadable(f"has the lap {quote}, which {why}") from None


def lap_times_text(laps: Sequence[float]) -> str:
    """Lap times as a form and a sheet hold them.

    >>> lap_times_text((14.53, 14.6))
    '14.53 14.6'
    """
    return " ".join(shown(lap) for lap in laps)
