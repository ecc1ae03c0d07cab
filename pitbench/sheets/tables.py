"""The sheets as data: one table a sheet, one line a column. A further sheet is a further table, nothing else.

Reading, writing and the docs follow these tables. What a record of a row does to the logbook, `desk` decides.
"""

from collections.abc import Collection
from dataclasses import dataclass

from pitbench.records.models import BENCH_FIGURES
from pitbench.sheets.columns import Column, choice, name, number, part, stamp, text, yes_no

ID = "id"
PARTS = (part("stator"), part("rotor"), part("end_bell"))


@dataclass(frozen=True)
class Sheet:
    """`record` is the kind of record a row is; a header with one of the columns `told_by` is this sheet."""

    name: str
    record: str
    rows_are: str
    columns: tuple[Column, ...]
    told_by: frozenset[str]

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
            choice("gearing_limit", "none", "heat", "rules", "gears", "unknown"),
            text("note"),
        ),
        frozenset({"class"}),
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
            text("note"),
        ),
        frozenset({"motor"}),
    ),
    Sheet(
        "builds",
        "build",
        "build",
        (name("motor", required=True, stored=False), stamp("since"), *PARTS, text("note")),
        frozenset({"since"}),
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
        frozenset({"taken_at", *BENCH_FIGURES}) - {"resistance_mohm"},
    ),
)

# Headers that tell a sheet this version does not read; it must not be taken for one of those above.
_OTHERS = frozenset({"started_at", "after_s", "written_at", "teeth", "time_s"})


def sheet_of(headers: Collection[str]) -> Sheet | None:
    """The sheet a header row tells, the one with most to tell first."""
    bench = SHEETS[-1]
    if bench.told_by & set(headers):
        return bench
    if _OTHERS & set(headers):
        return None
    return next((sheet for sheet in reversed(SHEETS) if sheet.told_by & set(headers)), None)


def sheet_named(sheet_name: str) -> Sheet:
    """The sheet of this name."""
    return next(sheet for sheet in SHEETS if sheet.name == sheet_name)


KNOWN_HEADERS = frozenset(
    header
    for sheet in SHEETS
    for column in sheet.columns
    for header in (column.name, (column.other_unit() or (ID,))[0])
)
