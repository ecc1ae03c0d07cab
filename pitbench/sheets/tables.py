"""The sheets as data: one table a sheet, one line a column. A further sheet is a further table, nothing else.

Reading, writing and the docs follow these tables. What a record of a row does to the logbook, `desk` decides.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from pitbench.records.models import BENCH_FIGURES
from pitbench.sheets.columns import (
    Column,
    choice,
    event,
    name,
    number,
    numbers,
    part,
    record_id,
    stamp,
    text,
    yes_no,
)

ID = "id"
PARTS = (part("stator"), part("rotor"), part("end_bell"))
GEARING_LIMIT = choice("gearing_limit", "none", "heat", "rules", "gears", "unknown")
ROUND_KIND = ("practice", "qualifier", "main")


@dataclass(frozen=True)
class Sheet:
    """`record` is the kind of record a row is; a header with one of the columns `told_by` is this sheet, the first of
    them being the plainest."""

    name: str
    record: str
    rows_are: str
    columns: tuple[Column, ...]
    told_by: tuple[str, ...]

    def column(self, column_name: str) -> Column:
        """The column of this name."""
        return next(column for column in self.columns if column.name == column_name)


# In the order in which several files are stored.
SHEETS = (
    Sheet(
        "classes",
        "class_sheet",
        "class",
        (
            name("class", required=True, stored=False),
            number("turns"),
            number("cells"),
            number("min_resistance_mohm"),
            number("max_timing_deg"),
            number("max_rollout_mm"),
            number("min_fdr"),
            yes_no("esc_timing"),
            choice("parts_mixed", "yes", "no", "same model"),
            GEARING_LIMIT,
            text("note"),
        ),
        ("class",),
    ),
    Sheet(
        "motors",
        "motor",
        "motor",
        (
            name("motor", required=True, stored=False),
            name("class", stored=False),
            number("turns"),
            number("poles"),
            *PARTS,
            number("resistance_mohm"),
            number("resistance_temp_c"),
            yes_no("check_motor"),
            yes_no("in_use"),
            name("owner"),
            text("note"),
        ),
        ("motor",),
    ),
    Sheet(
        "builds",
        "build",
        "build",
        (name("motor", required=True, stored=False), stamp("since"), *PARTS, text("note")),
        ("since",),
    ),
    Sheet(
        "events",
        "event",
        "event",
        (
            name("event", required=True, stored=False),
            stamp("date"),
            name("track"),
            text("surface"),
            text("start_times"),
            GEARING_LIMIT,
            text("note"),
        ),
        ("event",),
    ),
    Sheet(
        "bench",
        "bench_run",
        "bench run",
        (
            name("motor", required=True, stored=False),
            stamp("taken_at"),
            name("session"),
            name("tester"),
            number("test_voltage_v"),
            yes_no("sensored"),
            number("spin_s"),
            number("ambient_c"),
            number("motor_temp_c"),
            number("kv_rpm_per_v"),
            number("rpm"),
            number("erpm"),
            number("poles_assumed"),
            number("no_load_current_a"),
            number("timing_mark_deg"),
            number("timing_deg"),
            number("timing_a_deg"),
            number("timing_b_deg"),
            number("timing_c_deg"),
            number("pole_imbalance_pct"),
            number("hall_level_spread_pct"),
            number("resistance_mohm"),
            number("resistance_temp_c"),
            *PARTS,
            yes_no("fitted", stored=False),
            text("excluded_why"),
            text("note"),
        ),
        ("taken_at", *(figure for figure in BENCH_FIGURES if figure != "resistance_mohm")),
    ),
    Sheet(
        "track",
        "track_run",
        "track run",
        (
            name("motor", required=True, stored=False),
            stamp("started_at"),
            event(),
            name("track"),
            name("car", stored=False),
            choice("round_kind", *ROUND_KIND),
            name("round"),
            number("pinion"),
            number("spur"),
            number("internal_ratio"),
            name("tyre"),
            number("tyre_diameter_mm"),
            number("tyre_runs"),
            yes_no("fan"),
            name("pack"),
            number("timing_mark_deg"),
            number("esc_timing_deg"),
            number("run_time_s"),
            number("laps"),
            numbers("lap_times_s"),
            number("best_lap_s"),
            number("average_lap_s"),
            number("ambient_c"),
            number("track_c"),
            number("start_temp_c"),
            number("finish_reading_c"),
            number("finish_reading_after_s"),
            number("esc_temp_c"),
            number("charge_used_mah"),
            text("incident"),
            text("result"),
            *PARTS,
            text("excluded_why"),
            text("note"),
        ),
        ("started_at", "lap_times_s", "laps", "finish_reading_c"),
    ),
    Sheet(
        "cooling",
        "cooling",
        "cooling reading",
        (
            name("motor", required=True, stored=False),
            stamp("started_at", required=False, stored=False),
            event(),
            replace(choice("round_kind", *ROUND_KIND), stored=False),
            name("round", stored=False),
            record_id("track_run_id"),
            number("after_s", required=True),
            number("temp_c", required=True),
            yes_no("fan", about="cooling_fan"),
        ),
        ("after_s", "temp_c"),
    ),
    Sheet(
        "setup",
        "setup_entry",
        "setup entry",
        (
            stamp("written_at"),
            event(),
            name("track"),
            name("car", stored=False),
            name("motor", stored=False),
            name("what", required=True),
            text("was"),
            text("now"),
            text("why"),
            text("outcome"),
        ),
        ("written_at", "what"),
    ),
    Sheet(
        "gears",
        "gear",
        "gear",
        (
            choice("kind", "pinion", "spur", required=True, about="gear"),
            number("teeth", required=True),
            number("module"),
            number("dp", stored=False),
            text("note"),
        ),
        ("teeth",),
    ),
)

_MOST_TO_TELL = ("bench", "gears", "setup", "cooling", "track", "builds", "motors", "events", "classes")


def sheet_of(headers: Collection[str]) -> Sheet | None:
    """The sheet a header row tells, the one with most to tell first. A load log is none, whatever it has measured."""
    if "time_s" in headers and "motor" not in headers:
        return None
    by_name = {sheet.name: sheet for sheet in SHEETS}
    asked = (by_name[sheet_name] for sheet_name in _MOST_TO_TELL)
    return next((sheet for sheet in asked if set(sheet.told_by) & set(headers)), None)


KNOWN_HEADERS = frozenset(
    header
    for sheet in SHEETS
    for column in sheet.columns
    for header in (column.name, (column.other_unit() or (ID,))[0])
)
