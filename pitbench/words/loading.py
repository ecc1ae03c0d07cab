"""What a load did, in short sentences for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pitbench.records.harmless import harmless
from pitbench.records.numbers import shown
from pitbench.records.spoken import counted_words
from pitbench.words.waiting import asks, waits_words

if TYPE_CHECKING:
    from pitbench.desk.exchange.loading import FileReport, Loaded
    from pitbench.desk.exchange.loading_rows import Doubt
    from pitbench.sheets.reading import Fault

SHOWN = 40
"""Lines of one kind listed of one file; the rest is counted. The JSON answer has all of them."""


def report_words(loaded: Loaded, check: bool = False) -> list[str]:
    """What went in, what was left alone, what is unlikely. `check`: what would."""
    lines = [line for report in loaded.reports for line in _file_words(report, check)]
    done = "to add" if check else "added"
    for kind, names in loaded.added.items():
        if names:
            lines.append(f"{counted_words(len(names), kind.removesuffix('_sheet'))} {done}: {', '.join(names)}.")
    return lines


def problem_words(loaded: Loaded) -> list[str]:
    """Why something was kept out, a sentence a problem, with its place."""
    lines: list[str] = []
    for report in loaded.reports:
        lines += _first_of([_fault_words(report.file.name, fault) for fault in report.faults], "problems")
    return lines


def _file_words(report: FileReport, check: bool) -> Iterator[str]:
    name = harmless(report.file.name)
    if report.stored:
        yield f"{name}: {_counts(report, check)}."
    else:
        bad = counted_words(len(report.faults), "problem")
        yield f"{name}: nothing {'would be ' if check else ''}stored, {bad}."
    if report.stored and report.faults:
        left_out = counted_words(len({fault.line for fault in report.faults}), "row")
        yield f"{name}: {left_out} left out for a problem."
    if report.file.unknown_columns:
        yield f"{name}: columns without a field of their own, kept as text: {', '.join(report.file.unknown_columns)}."
    if report.stored and report.differs:
        lines = ", ".join(str(line) for line in report.differs[:SHOWN])
        more = " and more" if len(report.differs) > SHOWN else ""
        yield f"{name}: left alone, the logbook says otherwise on line {lines}{more}; --replace takes the sheet's word."
    yield from _first_of([f"! {name} line {row.line}: {_doubt(doubt)}" for row, doubt in report.doubts], "suspects")
    waits = sum(doubt.waits for _, doubt in report.doubts)
    if waits and (check or not report.stored):
        unless = "its column is" if waits == 1 else "their columns are"
        yield f"{counted_words(waits, 'number')} would wait for your answer, unless {unless} named under kept."
    elif waits:
        yield waits_words(waits, f"{asks()} in the app, or name its column under kept")


def _doubt(doubt: Doubt) -> str:
    meant = "" if doubt.suggested is None else shown(doubt.suggested)
    said = doubt.sentence if not meant or meant in doubt.sentence else f"{doubt.sentence} Then {meant} was meant."
    return f"{said} It waits, in no figure." if doubt.waits else said


def _counts(report: FileReport, check: bool) -> str:
    sheet = report.file.sheet
    counts, thing = report.counts, sheet.rows_are if sheet else "row"
    parts = [f"{counted_words(counts['added'], thing)} {'to add' if check else 'added'}"] if counts["added"] else []
    parts += [f"{counts['replaced']} {'to replace' if check else 'replaced'}"] if counts["replaced"] else []
    parts += [f"{counts['same']} there already"] if counts["same"] else []
    parts += [f"{counts['differs']} different"] if counts["differs"] else []
    return ", ".join(parts) or "no rows"


def _fault_words(file_name: str, fault: Fault) -> str:
    where = f"{harmless(file_name)} line {fault.line}"
    if fault.column is None:
        return f"{where}: {fault.why}." if fault.value is None else f'{where}: "{_short(fault.value)}" {fault.why}.'
    if not fault.value or fault.value == fault.column:
        return f"{where}: {fault.column} {fault.why}."
    return f'{where}: {fault.column} "{_short(fault.value)}" {fault.why}.'


def _short(text: str) -> str:
    """On one line, whatever stood in the cell."""
    text = harmless(text)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


def _first_of(lines: list[str], what: str) -> list[str]:
    rest = len(lines) - SHOWN
    return [*lines[:SHOWN], f"and {rest} more {what}."] if rest > 0 else lines
