"""Which figures the form of a bench run asks for, and in which order: that of the user's own tester, a setting."""

from typing import TYPE_CHECKING, Any

from pitbench.records.fields import CONDITIONS, FIGURES, OTHER_SPEEDS, QUANTITIES, RECORDS, led_by, names_of
from pitbench.records.refusal import Refusal
from pitbench.records.typed import label_of

if TYPE_CHECKING:
    from pitbench.records.kinds import Source
    from pitbench.store.logbook import Logbook

Row = dict[str, Any]
TABLE = {datum.name: datum for datum in RECORDS["bench_run"]}
FIGURE_FIELDS = led_by(("kv_rpm_per_v", "no_load_current_a"), names_of("bench_run", FIGURES))
CONDITION_FIELDS = led_by(
    ("motor", "taken_at", "tester", "session", "test_voltage_v", "poles_assumed", "spin_s", "timing_mark_deg"),
    ("ambient_c", *names_of("bench_run", CONDITIONS)),
)
CONDITION_NUMBERS = tuple(name for name in CONDITION_FIELDS if name in QUANTITIES)
RUN_FIELDS = (*FIGURE_FIELDS, *names_of("bench_run", OTHER_SPEEDS), *CONDITION_FIELDS[2:], "note")
"""Fields of a run that stand for themselves; its motor and its time are asked for besides."""
RUN_NUMBERS = tuple(name for name in RUN_FIELDS if name in QUANTITIES)


def figure_fields(source: "Source", last: Row | None) -> tuple[str, ...]:
    """Fields of the form in the order set, without the hidden ones; the note is always the last."""
    hidden = set(_settings(source).get("hidden_fields", ()))
    return (*(name for name in _line(source, last) if name not in hidden), "note")


def _line(source: "Source", last: Row | None) -> tuple[str, ...]:
    """The entry line, hidden fields too; where none is set, the speed is asked for as the last run had it."""
    settings = _settings(source)
    order = tuple(settings.get("entry_line", ())) or FIGURE_FIELDS
    if last and "kv_rpm_per_v" not in last and "entry_line" not in settings:
        spoken = next((name for name in ("rpm", "erpm") if name in last), "kv_rpm_per_v")
        order = tuple(spoken if name == "kv_rpm_per_v" else name for name in order)
    return tuple(name for name in dict.fromkeys(order) if name in RUN_NUMBERS)


def _settings(source: "Source") -> Row:
    return next(iter(source.rows("settings")), {})


def hide_field(logbook: "Logbook", name: str) -> str:
    """Ask for a field no more; returns the words of what was done."""
    settings = logbook.settings()
    hidden = tuple(dict.fromkeys((*settings.hidden_fields, name)))
    if name == "note" or not {*_line(logbook, None)} - {*hidden}:
        raise Refusal(f"A bench run needs a figure and room for a note: {label_of(name)} stays.")
    words = f"{label_of(name)} is asked for no more"
    logbook.save_settings(words, settings.with_(hidden_fields=hidden))
    return words


def order_fields(logbook: "Logbook", shown: tuple[str, ...]) -> str:
    """Ask for the fields in this order, hidden ones where they were; returns the words of what was done."""
    settings = logbook.settings()
    line = _line(logbook, dict.fromkeys(shown))
    moved = [name for name in shown if name in line and name not in settings.hidden_fields]
    ordered = iter(moved)
    line = tuple(next(ordered) if name in moved else name for name in line)
    words = "the order of the bench form"
    logbook.save_settings(words, settings.with_(entry_line=line))
    return words


def show_all_fields(logbook: "Logbook") -> str:
    """Ask for every field again, in the order they began in; returns the words of what was done."""
    words = "every field of a bench run is asked for"
    logbook.save_settings(words, logbook.settings().with_(hidden_fields=(), entry_line=()))
    return words
