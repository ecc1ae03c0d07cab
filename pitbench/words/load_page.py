"""The page of a load log in words: its headline, a line a fact, one log beside another, all that was odd.

Sentences that the command prints too stand in `load_log`.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from math import hypot
from typing import TYPE_CHECKING

from pitbench.records.harmless import harmless
from pitbench.records.keys import key_for
from pitbench.records.spoken import capital, counted_words
from pitbench.records.stamps import friendly
from pitbench.records.units import Units
from pitbench.words.load_log import LEFT_OUT, NINE_IN_TEN, doubts, told

if TYPE_CHECKING:
    from pitbench.desk.load.page import LogPage

USUAL_PCT = 6.0
"""KV under load lies within this of the bench in most cars: two of the spreads docs/figures.md states for it."""
NOISE_K = 1.0
"""A temperature that ends within this of its highest is still rising."""
READS = {
    "date": ("n", "day"),
    "time": ("t", "time"),
    "voltage_v": ("v", "battery voltage"),
    "current_a": ("c", "battery current"),
    "motor_current_a": ("m", "motor current"),
    "rpm": ("r", "rpm of the shaft"),
    "erpm": ("e", "electrical rpm"),
    "throttle": ("g", "throttle"),
    "duty": ("d", "duty"),
    "motor_temp_c": ("h", "motor temperature"),
    "esc_temp_c": ("s", "control temperature"),
}
"""What a header of a load log may be: the key that says so, and what it is called."""
_UNITS = {"c": "°C", "f": "°F", "v": "V", "mv": "mV", "a": "A", "ma": "mA", "us": "µs"}


def read_as(column: str, what: str, stated: str) -> str:
    """What a header is read as, with its unit.

    >>> read_as("motor_temp_f", "motor_temp_c", ""), read_as("time_s", "time", ""), read_as("rpm", "rpm", "")
    ('motor temperature, °F', 'time', 'rpm of the shaft')
    """
    _, said = READS[what]
    unit = stated
    if not stated and column not in ("time_s", what):
        unit = column.rpartition("_")[2]
    known = unit in _UNITS or unit in ("s", "ms", "min", "%")
    return f"{said}, {_UNITS.get(unit, unit)}" if known and what not in ("throttle", "duty", "date") else said


def figure_with_doubt(page: "LogPage", name: str, se: str, decimals: int) -> str:
    """A figure with what holds the true one nine times in ten; a dot where it is not known."""
    return _cell(page.figures, name, se, decimals, 1.0) or "·"


def title(page: "LogPage", now: datetime) -> str:
    """Which log it is: of which motor, in which run."""
    run = f", {page.run}" if page.run else ""
    return f"{page.answer.motor} under load{run}, {friendly(page.when, now)}"


def headline(page: "LogPage", now: datetime) -> str:
    """KV and resistance under load, or why they cannot be told, and on how much that rests."""
    answer, pulls = page.answer, int(page.figures.get("pulls", 0))
    rows = counted_words(answer.rows, "sample")
    return f"{title(page, now)}: {told(answer)}. {answer.used} of {rows} used, {counted_words(pulls, 'pull')}."


def facts(page: "LogPage", units: Units) -> list[tuple[str, str, str]]:
    """What stands in the table: what it is, how much, and a note."""
    answer, full, get = page.answer, page.answer.full_throttle, page.figures.get
    amps = f" at {get('current_median_a'):.1f} A" if "current_median_a" in page.figures else ""
    found: list[tuple[str, str, str]] = []
    if full.shaft_power_w is not None:
        note = "best of the day" if page.best else ""
        found.append(("power at the shaft, full throttle", f"{full.shaft_power_w:.0f} W{amps}", note))
    elif full.power_in_w is not None:
        note = "at the shaft: after a bench run" if page.answer.separated else ""
        found.append(("power taken, full throttle", f"{full.power_in_w:.0f} W{amps}", note))
    if full.rpm is not None:
        median = f"median {_thousands(get('rpm_median', 0.0))}" if "rpm_median" in page.figures else ""
        found.append(("rpm at full throttle", f"{_thousands(full.rpm[0])} to {_thousands(full.rpm[1])}", median))
    if full.current_a is not None:
        spent = f"{full.seconds:.0f} s of {answer.seconds:.0f}"
        found.append(("current at full throttle", f"{full.current_a[0]:.1f} to {full.current_a[1]:.1f} A", spent))
    if answer.energy_wh is not None and answer.charge_mah is not None:
        found.append(("energy and charge", f"{answer.energy_wh:.1f} Wh   {answer.charge_mah / 1000:.2f} Ah", ""))
    motor, esc = answer.motor_temp_c, answer.esc_temp_c
    if motor.start is not None and motor.highest is not None:
        rising = motor.end is not None and motor.highest - motor.end < NOISE_K < motor.highest - motor.start
        note = "still rising at the end" if rising else ""
        found.append(("motor temperature", f"{_from_to(motor.start, motor.highest, units)}", note))
    if esc.highest is not None:
        found.append(("speed control", f"to {units.degrees(esc.highest)}", ""))
    return found


def against_bench(page: "LogPage") -> str:
    """How KV at work compares with that of the bench; empty where either is unknown."""
    kv = page.answer.kv_rpm_per_v.mean
    if kv is None or not page.bench_kv:
        return ""
    apart = 100 * (kv / page.bench_kv - 1)
    why = "more than warmth and timing explain: poles, the log's voltage?"
    if abs(apart) <= USUAL_PCT:
        why = "which warmth and timing may explain"
    return f"KV at work against the bench: {apart:+.1f} %, {why}."


def odd_in_short(page: "LogPage") -> str:
    """How much was odd, in one line; empty for a good log."""
    answer = page.answer
    rubbish = answer.left_out.unreadable + answer.left_out.repeated + answer.left_out.unlikely
    counts = (
        (rubbish, "row left out as rubbish", "rows left out as rubbish"),
        (answer.gaps, "gap", "gaps"),
        (len(answer.doubts), "thing to know", "things to know"),
    )
    said = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count]
    return f"{', '.join(said)}: {key_for('explain-figure')} lists all" if said else ""


def odd(page: "LogPage") -> list[str]:
    """All that was odd about the log and what was made of it, a sentence each; then what was taken for what."""
    answer, left = page.answer, page.answer.left_out
    lines = [
        f"{capital(said)}: {counted_words(count, 'row')}."
        for name, said in LEFT_OUT.items()
        if (count := getattr(left, name))
    ]
    if answer.gaps:
        lines.append(f"{capital(counted_words(answer.gaps, 'gap'))} in time.")
    lines += doubts(answer)
    read = [f"{column} is {harmless(header)}" for column, header in answer.columns.items() if column != header]
    return [*lines, f"Read from {harmless(answer.file)}{': ' if read else ''}{', '.join(read)}."]


def told_apart(one: "LogPage", other: "LogPage", now: datetime) -> tuple[str, str]:
    """What two logs are called side by side: by motor, else by run, else by day and time."""
    pairs = (
        (one.answer.motor, other.answer.motor),
        (one.run, other.run),
        (friendly(one.when, now), friendly(other.when, now)),
    )
    return next((pair for pair in pairs if all(pair) and pair[0] != pair[1]), ("this one", "the other"))


def beside(one: "LogPage", other: "LogPage", units: Units) -> list[tuple[str, str, str, str]]:
    """Two logs figure by figure: what it is, how much in the one and in the other, and how far apart."""
    found = []
    for label, name, se, decimals, scale in (
        ("KV at work, rpm/V", "kv_rpm_per_v", "kv_se", 0, 1.0),
        ("resistance with leads, mΩ", "resistance_mohm", "resistance_se", 1, 1.0),
        ("power at the shaft, W", "shaft_power_w", "", 0, 1.0),
        ("power taken, W", "power_in_w", "", 0, 1.0),
        ("current, median, A", "current_median_a", "", 1, 1.0),
        ("rpm, median", "rpm_median", "", 0, 1.0),
        ("charge, Ah", "charge_mah", "", 2, 0.001),
    ):
        cells = [_cell(page.figures, name, se, decimals, scale) for page in (one, other)]
        if any(cells):
            apart = _apart(one, other, name, se, decimals, scale)
            found.append((label, cells[0] or "·", cells[1] or "·", apart))
    for label, name in (("motor, highest", "motor_highest_c"), ("speed control, highest", "esc_highest_c")):
        warm = [page.figures.get(name) for page in (one, other)]
        if any(each is not None for each in warm):
            cells = ["·" if each is None else units.degrees(each) for each in warm]
            known = [each for each in warm if each is not None]
            found.append((label, cells[0], cells[1], _signed_warmth(known, units)))
    return found


def _signed_warmth(known: Sequence[float], units: Units) -> str:
    if len(known) < 2:
        return ""
    return f"{'-' if known[0] < known[1] else '+'}{units.apart(abs(known[0] - known[1]))}"


def _cell(figures: Mapping[str, float], name: str, se: str, decimals: int, scale: float) -> str:
    if name not in figures:
        return ""
    doubt = f" ±{NINE_IN_TEN * scale * figures[se]:.{decimals}f}" if se in figures else ""
    return f"{scale * figures[name]:.{decimals}f}{doubt}"


def _apart(one: "LogPage", other: "LogPage", name: str, se: str, decimals: int, scale: float) -> str:
    """The one less the other; the doubts of both taken together as independent."""
    if name not in one.figures or name not in other.figures:
        return ""
    apart = scale * (one.figures[name] - other.figures[name])
    both = [page.figures[se] for page in (one, other) if se in page.figures]
    doubt = f" ±{NINE_IN_TEN * scale * hypot(*both):.{decimals}f}" if len(both) == 2 else ""
    return f"{apart:+z.{decimals}f}{doubt}"


def _from_to(low: float, high: float, units: Units) -> str:
    return f"{units.warmth(low):.0f} to {units.degrees(high)}"


def _thousands(number: float) -> str:
    """With a blank before the last three digits.

    >>> _thousands(25931.0), _thousands(940.0)
    ('25 900', '940')
    """
    whole = round(number, -2) if number >= 1000 else round(number)
    return f"{whole:,.0f}".replace(",", " ")


def no_log() -> str:
    """How a motor comes by one."""
    return f"{key_for('read-load-log')} reads what your speed control wrote down over a run: CSV, one row a sample."


def logs_words(motor: str, logs: "Sequence[LogPage]") -> str:
    """How many logs a motor has, and what KV and resistance of those that told it span."""
    figures = [log.figures for log in logs if log.answer.separated and "kv_rpm_per_v" in log.figures]
    count = counted_words(len(logs), "load log")
    if not figures:
        return f"{motor}: {count}, none of which tells KV and resistance."
    kv, ohm = ([each[name] for each in figures] for name in ("kv_rpm_per_v", "resistance_mohm"))
    kvs = f"{min(kv):.0f} to {max(kv):.0f}" if len(figures) > 1 else f"{kv[0]:.0f}"
    ohms = f"{min(ohm):.1f} to {max(ohm):.1f}" if len(figures) > 1 else f"{ohm[0]:.1f}"
    of = "" if len(figures) == len(logs) else f" in {len(figures)} of them"
    return f"{motor}: {count}, KV {kvs} at work, {ohms} mΩ with leads and speed control{of}."
