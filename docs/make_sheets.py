"""Make the page docs/sheets.md from the tables of fields and sheets: `python docs/make_sheets.py`.

A test holds the page against what this module makes, so that no range, unit or meaning is written a second time.
"""

from collections.abc import Iterator
from pathlib import Path

from pitbench.records.fields import BENCH_FIGURES, QUANTITIES
from pitbench.records.numbers import shown
from pitbench.sheets.columns import Column
from pitbench.sheets.log_columns import described
from pitbench.sheets.tables import SHEETS, Sheet

PAGE = Path(__file__).with_name("sheets.md")
_HEAD = """\
# Sheets

What `pitbench load` reads and `pitbench export` writes. This page is made from `pitbench/records/fields.py` and
`pitbench/sheets/tables.py` by `python docs/make_sheets.py`; change those, not this.

A sheet is a CSV file in UTF-8 with one header row. Comma, semicolon or tab, decimal point or comma: found by
looking. Columns may stand in any order, and all but the required ones may be missing. Which sheet a file is, its
header tells.

- A number may carry its unit (`86F`, `2.46in`, `21.5t`). A temperature column may end in `_f` in place of `_c`, a
  length in `_in` in place of `_mm`. Thousands may be parted: `39 210`, `39'210`, and `39,210` or `39.210` where 39.21
  would not be possible.
- A time is local wall clock: `2026-04-12 14:02`, `12.4.2026 2:02 pm`, seconds if you like, or a date alone. Of two
  numbers like 3/4 the day is read first, or the month, as Settings say. One with an offset (`2026-04-12T12:02Z`) is
  converted once. More than 24 hours ahead of the computer's clock is refused.
- Names have at most 80 characters and are matched without case. Notes have at most 2000.
- Yes and no may be written yes, y, true, 1 and no, n, false, 0.
- A column pitbench does not know is kept as text with the record and exported again; one that is called like a column
  of any sheet gets an apostrophe before its name.
- A sheet that says a motor and a figure in other words (KV, Current, Timing) is refused, naming the right columns.
- Text beginning with = + - or @ is exported with an apostrophe before it, so that a spreadsheet does not take it
  for a formula; `load` takes the apostrophe off again.
- A number outside its possible range keeps the row out. Outside the usual range it is stored as typed, marked and
  listed; in a bench run, a track run, a cooling reading or a motor it waits then: it counts in no figure until somebody
  has answered for it in the app, or its column is named under `kept`. So does a number of a bench run that lies more
  than ten predictive standard deviations off what the other runs lead to expect, where most of its motor's runs like it
  or, before there are two, most of its class agree with that. Columns under `waits` wait whatever they say. `export`
  writes `kept`, naming all that counts so, and `waits` where something does.
- Each file goes in whole or not at all; with `--good-rows` its good rows go in. `--check` only says what would
  happen.
- All files of one `load` are stored in the order below, whatever the order they are named in, and are one change
  for undo.
- A row that is there already is skipped. One that differs from the logbook is listed and left alone, unless
  `--replace` says that the sheet is right: then its columns take the place of what was there, blank cells too;
  columns that are not in the sheet stay. What was deleted in the app stays deleted; what an undo took away comes
  back.
- The same row is found by the class's or motor's name, by motor and since for a build, by name and date for an event,
  by motor and time (and the place among rows of the same time) for a bench run or track run, by track run and after_s
  for a cooling reading, by written_at, motor and what for a setup entry, by kind, teeth and pitch for a gear. An `id`,
  as `export` writes it, comes before all that.
- Only motors.csv and bench.csv add the motors they name. In the other sheets an unknown motor is a problem. Events and
  cars that are named are added; `load` says which.
- An event is a name and its first date; the same name within two days is the same event. Where two have one name, the
  date behind it tells which: `Saltmouth 2026-04-12`.
"""

_OF_SHEET = {
    "classes": "Your own notes of a class's limits, from your club's rule book.",
    "motors": (
        "One row a motor. A class that is named and not there yet is added. The parts are what the motor was "
        "built from at the beginning; a part with a blank cell is the motor's own (`Heron stator`). Resistance is "
        "one reading of that build. A motor that bench.csv added is described by its first row here."
    ),
    "builds": (
        "What a motor was rebuilt to, and from when on. A blank part stays as it was; `missing` says that it was "
        "taken out and not replaced. A part is in one motor at a time: fitted here, it is missing where it was "
        "before, and that motor is not ranked until another is fitted. The motor must be known. Runs that were "
        "logged before a build became known move to the build of their time."
    ),
    "bench": (
        "One row a bench run, with at least one of: {figures}. KV counts before rpm, rpm before erpm; rpm "
        "needs test_voltage_v. A motor that is named and not there yet is added. Parts in a row say what was "
        "tested; the motor is built like that from then on only with `fitted` yes. Listed as unlikely, besides "
        "the usual ranges: two speeds that differ by more than 0.5 %, a total timing more than 1.5° from the mean "
        "of A, B and C, poles assumed that are not the motor's, and a figure far outside this motor's earlier "
        "runs."
    ),
    "events": "Race days and weekends. An event that track.csv or setup.csv added is described by its first row here.",
    "track": (
        "One row an outing. The motor must be known. An unknown event begins on the date it is named with, else on "
        "the day of the run. Parts in a row say what was run; without any it was what the motor is built from at that "
        "time. Listed as unlikely, besides the usual ranges: laps whose sum exceeds the run time by more than the last "
        "lap, or falls short of it by the fastest or more; a number of laps that is not that of the lap times; a best "
        "lap that is not the least of them; an average faster than the best; a pinion larger than the spur; a finish "
        "below the ambient or colder than the start; a run more than two days before or seven after its event's date."
    ),
    "cooling": (
        "One row a reading of the can after a track run. The run is told by motor and started_at, or by motor, event, "
        "round_kind and round; a date alone in started_at means every run of that day. A row that fits none or several "
        "is a problem. track_run_id is exported only where a motor started twice at one time."
    ),
    "setup": "One row a change to the car. An entry without an outcome is open. A motor that is named must be known.",
    "gears": (
        "The pinions and spurs you own. Pitch is given as module or as dp; a dp is kept as its module, 25.4 ÷ dp, and "
        "exported as dp again."
    ),
}


_LOAD_LOG = """
## A load log

What the speed control wrote down over a run, one row a sample, read by `j` in the app or `pitbench loadlog FILE
--motor M`. Any CSV will do: the separator, the decimal sign, text before the header and a row of units under it are
found by looking. Needed are a time, the voltage and a current. Where the headers are not the names below, the app
asks once which is which, or `--map COLUMN=HEADER` says it; it is remembered for files with these headers, as is which
are not read. Both propose what is likely, the app also by numbers that only one header has.

| column | unit | meaning |
|---|---|---|
{columns}

A unit in the header or under it counts before that of the column's name. Where neither says one, the numbers do, and
the answer says what they were taken for: time in s, ms or µs, throttle and duty in % or 0 to 1, voltage in V or mV, a
temperature in °C, °F or K. Time may be a time of day, with its date or without, and stand in two columns: date and
time, or seconds and milliseconds. erpm is divided by the motor's pole pairs, 1 where nobody wrote down its poles.

Rows that are left out are counted, and the first of each kind is named: no numbers, all bits set, numbers no car
gives, there twice, out of the order of time. Time that begins anew is put behind what came before, rows that share
one time are spread over it, a channel that says 0 throughout is taken as unknown; each is said. The logbook keeps
what the log came to and at most 600 samples of it, never the file; `export` leaves it there.
"""


def page() -> str:
    """The whole page in Markdown."""
    rows = "\n".join(f"| {name} | {unit} | {meaning} |" for name, unit, meaning in described())
    sheets = "".join("\n" + "\n".join(_sheet(sheet)) + "\n" for sheet in SHEETS)
    return _HEAD + sheets + _LOAD_LOG.replace("{columns}", rows)


def _sheet(sheet: Sheet) -> Iterator[str]:
    yield f"## {sheet.name}.csv"
    yield ""
    yield _OF_SHEET[sheet.name].replace("{figures}", ", ".join(BENCH_FIGURES))
    yield ""
    yield "| column | unit or form | meaning | possible | usual |"
    yield "|---|---|---|---|---|"
    for column in sheet.columns:
        yield _row(column)


def _row(column: Column) -> str:
    name = f"**{column.name}** (required)" if column.required else column.name
    datum = column.datum
    if column.name not in QUANTITIES:
        return f"| {name} | {column.form} | {datum.meaning} | | |"
    count = "even" if datum.even else "whole number" if datum.whole else "number"
    ranges = " | ".join(f"{shown(low)} to {shown(high)}" for low, high in (datum.possible, datum.likely))
    return f"| {name} | {datum.unit or count} | {datum.meaning} | {ranges} |"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
