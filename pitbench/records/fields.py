"""The one table of fields: all that a person writes down of a record, one line a field, in the order of the sheets.

Models, sheets, forms, docs/sheets.md, what a field is called and how its text is read come from here; no label, unit
or range stands a second time elsewhere. Outside `possible` a number is refused; outside `likely` it is a suspect that
can be kept. Without pydantic: screens read this table before their first frame.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from pitbench.records.team import AS_BY_DEFAULT as _SET

Range = tuple[float, float]
EVERY: Range = (float("-inf"), float("inf"))
NUMBER, NUMBERS, YES_NO, CHOICE, TIME = "number", "numbers joined by blanks", "yes or no", "choice", "time"
NAME, TEXT, PART, EVENT, ID, COLUMNS = "name", "text", "part", "event", "id", "column names joined by blanks"
CONDITIONS, FIGURES, OTHER_SPEEDS = "conditions", "figures", "other speeds"
CAR, RUN = "car", "run"
"""Forms that ask for a part of a record: the conditions and the figures of a bench run (rpm and erpm where the tester
shows no KV), the car of a track run and what it came to."""


@dataclass(frozen=True, eq=False)
class Datum:
    """One field. `form` says how its text is read; a choice has its `words`, a number its unit, ranges and `decimals`.

    `stored`: the record's name for it where that is another, empty where the sheet alone has it. `required`: a sheet
    needs it, and so does the record unless `needed` says otherwise. `rare`: exported only where a row has it. `typed`:
    what a form says in place of the meaning. `asked`: which form of several asks for it. `since`: the schema number
    under which files first had it, see `store.migrations`.
    """

    name: str
    form: str
    meaning: str
    called: str = ""
    unit: str = ""
    possible: Range = EVERY
    likely: Range = EVERY
    decimals: int = 0
    whole: bool = False
    even: bool = False
    words: tuple[str, ...] = ()
    required: bool = False
    needed: bool | None = None
    stored: str | None = None
    on_sheet: bool = True
    rare: bool = False
    default: Any = None
    typed: str = ""
    asked: str = ""
    since: int = 3

    @property
    def label(self) -> str:
        """What forms and sentences call it."""
        return self.called or self.name.replace("_", " ")

    @property
    def field(self) -> str:
        """Its name in the record; empty where that has none."""
        return self.name if self.stored is None else self.stored

    @property
    def in_record(self) -> bool:
        """Whether a record without it is none."""
        return self.required if self.needed is None else self.needed

    def but(self, **changes: Any) -> "Datum":
        """The same field as another record or form has it."""
        return replace(self, **changes)


def number(
    name: str, called: str, unit: str, meaning: str, possible: Range, likely: Range, decimals: int = 0, **more: Any
) -> Datum:
    """A number in its unit."""
    return Datum(name, NUMBER, meaning, called, unit, possible, likely, decimals, **more)


def whole(name: str, called: str, meaning: str, possible: Range, likely: Range, **more: Any) -> Datum:
    """A count."""
    return number(name, called, "", meaning, possible, likely, whole=True, **more)


# fmt: off
condition, figure, speed, of_car, of_run = (
    partial(number, asked=form) for form in (CONDITIONS, FIGURES, OTHER_SPEEDS, CAR, RUN)
)

_WARM: Range = (-30.0, 200.0)
_TIMING: tuple[Range, Range] = ((-30.0, 120.0), (15.0, 65.0))
_PERCENT: Range = (0.0, 100.0)
_OHM: tuple[Range, Range] = ((0.1, 10000.0), (2.0, 150.0))
_POLES: tuple[Range, Range] = ((2.0, 40.0), (2.0, 8.0))
_LAP: tuple[Range, Range] = ((1.0, 3600.0), (4.0, 180.0))
NOTE = Datum("note", TEXT, "Anything worth remembering.")
EXCLUDED_WHY = Datum("excluded_why", TEXT, "Why this run is left out of every figure.")
KEPT = Datum("kept", COLUMNS, "Columns whose unlikely number was looked at and kept.")
WAITS = Datum("waits", COLUMNS, "Columns whose number nobody has answered for yet: it counts in no figure.", default=(),
    rare=True, since=5)
MOTOR = Datum("motor", NAME, "Name of the motor, as written on its can.", stored="motor_id")
CLASS = Datum("class", NAME, "Class the motor is run in.", stored="class_id")
EVENT_NAME = Datum("event", EVENT, "Name of the race day or weekend.", stored="event_id")
CAR_NAME = Datum("car", NAME, "Car the motor was in.", stored="car_id")
TRACK = Datum("track", NAME, "Where it was run.")
STARTED_AT = Datum("started_at", TIME, "When the run started, local time.", "time", required=True)
ROUND_KIND = Datum("round_kind", CHOICE, "Practice, qualifier or main.", words=("practice", "qualifier", "main"))
ROUND = Datum("round", NAME, "Which one of the day, like 2 or A.")
GEARING_LIMIT = Datum("gearing_limit", CHOICE, "What stops you gearing higher: none, heat, rules, gears, unknown.",
    words=("none", "heat", "rules", "gears", "unknown"))
PARTS = (
    Datum("stator", PART, "Stator with its winding.", stored=""),
    Datum("rotor", PART, "Rotor with its magnets.", stored=""),
    Datum("end_bell", PART, "End bell with the Hall sensor board.", stored=""),
)
PARTS_NAMED = Datum("parts_named", COLUMNS, "Parts that were named, and `fitted` where that was yes; the others are "
    "those of the build in force.", default=(), on_sheet=False, since=4)
TURNS = number("turns", "turns", "T", "Winding turns.", (0.5, 200), (3, 30), 1)
RESISTANCE = number("resistance_mohm", "resistance", "mΩ", "Winding, phase to phase; best measured cold.", *_OHM, 1)
RESISTANCE_TEMP = number("resistance_temp_c", "winding at", "°C", "Winding temperature when the resistance was read.",
    _WARM, (-5, 90), 1)
AMBIENT = number("ambient_c", "ambient", "°C", "Air temperature where the motor is.", (-30, 70), (-5, 48), 1)
TIMING_MARK = number("timing_mark_deg", "timing mark", "°", "Where the end bell's timing scale is set.", (-90, 120),
    (0, 65), 1)

CLASS_SHEET = (
    CLASS.but(required=True, stored="name", typed="Its name, as the motors name it."),
    TURNS,
    whole("cells", "cells", "Cells in the class's pack.", (1, 14), (1, 4)),
    number("min_resistance_mohm", "least resistance", "mΩ", "Least winding resistance the class allows.", *_OHM, 1),
    number("max_timing_deg", "most timing", "°", "Most timing the class allows.", *_TIMING, 1),
    number("max_rollout_mm", "longest rollout", "mm", "Longest rollout the class allows.", (1, 1000), (15, 150), 1),
    number("min_fdr", "least FDR", "", "Least final drive ratio the class allows.", (0.5, 60), (2, 20), 2),
    Datum("esc_timing", YES_NO, "Whether the class allows the speed control to add timing.", "ESC adds timing"),
    Datum("parts_mixed", CHOICE, "Whether parts of different motors may be mixed: yes, no, same model.",
        words=("yes", "no", "same model")),
    GEARING_LIMIT,
    NOTE,
)

MOTORS = (
    MOTOR.but(required=True, stored="name"),
    CLASS,
    TURNS,
    whole("poles", "poles", "Magnet poles of the rotor, always even.", *_POLES, even=True),
    *PARTS,
    RESISTANCE,
    RESISTANCE_TEMP,
    Datum("check_motor", YES_NO, "A motor run in every bench session to see the tester drift.", default=False),
    Datum("in_use", YES_NO, "Whether the motor takes part in rankings.", default=True),
    Datum("model", NAME, "Make and model in your own words; blank: a model of its own.", since=4),
    Datum("owner", NAME, "Whose motor it is; blank: yours. Rankings compare yours.", since=4),
    KEPT.but(rare=True),
    WAITS,
    NOTE,
)

PART_KINDS = tuple(part.name for part in PARTS)
PART_OF_MOTOR = (
    Datum("kind", CHOICE, "Stator, rotor or end bell.", words=PART_KINDS, required=True, on_sheet=False),
    Datum("name", NAME, "Name of the part, as written on it.", required=True, on_sheet=False),
)

BUILD = (
    MOTOR.but(required=True),
    Datum("since", TIME, "From when on the motor is built like this.", "parts fitted", required=True, needed=False),
    *(part.but(stored=f"{part.name}_id") for part in PARTS),
    Datum("fitted", YES_NO, "Yes: these parts stay in the motor; no: they were only tried.", default=True,
        on_sheet=False),
    PARTS_NAMED,
    NOTE,
)

BENCH_RUN = (
    MOTOR.but(required=True, asked=CONDITIONS),
    Datum("taken_at", TIME, "When the figures were read, local time.", "time", required=True, asked=CONDITIONS),
    Datum("session", NAME, "Name of the bench session; runs of one sitting share one tester bias.", asked=CONDITIONS),
    Datum("tester", NAME, "Which tester took the figures.", asked=CONDITIONS),
    condition("test_voltage_v", "test voltage", "V", "Voltage the tester puts on the motor.", (0.5, 60), (3, 9), 2),
    Datum("sensored", YES_NO, "Whether the tester used the Hall sensors.", asked=CONDITIONS),
    condition("spin_s", "spin time", "s", "How long the motor spun before the figures were read.", (1, 3600), (2, 180)),
    AMBIENT.but(asked=CONDITIONS),
    figure("motor_temp_c", "motor temperature", "°C", "Can temperature at the reading.", _WARM, (-5, 90), 1),
    figure("kv_rpm_per_v", "KV", "rpm/V", "No-load speed per volt at the test voltage.", (100, 100_000),
        (1000, 12_000)),
    speed("rpm", "speed", "rpm", "No-load speed of the shaft.", (100, 300_000), (2000, 90_000)),
    speed("erpm", "electrical speed", "erpm", "No-load speed times pole pairs.", (100, 2_000_000), (2000, 180_000)),
    whole("poles_assumed", "poles assumed", "Pole count the tester worked the speed out with.", *_POLES, even=True,
        asked=CONDITIONS),
    figure("no_load_current_a", "no-load current", "A", "Current drawn while spinning free.", (0.01, 100), (0.5, 15),
        2),
    TIMING_MARK.but(asked=CONDITIONS),
    figure("timing_deg", "timing as stated", "°", "Electrical advance as the tester states it.", *_TIMING, 1),
    figure("timing_a_deg", "sensor A", "°", "Timing of Hall sensor A.", *_TIMING, 1),
    figure("timing_b_deg", "sensor B", "°", "Timing of Hall sensor B.", *_TIMING, 1),
    figure("timing_c_deg", "sensor C", "°", "Timing of Hall sensor C.", *_TIMING, 1),
    figure("pole_imbalance_pct", "pole imbalance", "%", "How unequally the rotor's poles are magnetised.", _PERCENT,
        (0, 15), 1),
    figure("hall_level_spread_pct", "Hall level spread", "%", "How much the sensors' signals differ.", _PERCENT,
        (0, 20), 1),
    RESISTANCE.but(asked=FIGURES),
    RESISTANCE_TEMP.but(asked=FIGURES),
    *PARTS,
    Datum("fitted", YES_NO, "Yes: these parts stay in the motor; no: they were only tried.", stored=""),
    PARTS_NAMED,
    KEPT,
    WAITS,
    EXCLUDED_WHY,
    NOTE,
)

EVENTS = (
    EVENT_NAME.but(form=NAME, required=True, stored="name"),
    Datum("date", TIME, "Its first day.", required=True),
    TRACK,
    Datum("surface", TEXT, "What the track is made of and how it was."),
    Datum("start_times", TEXT, "When your rounds start, like: qualifier 1 11:20, main 14:30."),
    GEARING_LIMIT,
    NOTE,
)

CARS = (CAR_NAME.but(required=True, stored="name", on_sheet=False),)

TRACK_RUN = (
    MOTOR.but(required=True, asked=CAR),
    STARTED_AT.but(asked=RUN, typed="When it ended: just finished, 2 min ago, 13:41; or started 13:36."),
    EVENT_NAME.but(asked=CAR, typed="The race day. A new name asks for its track."),
    TRACK.but(asked=CAR, typed="Where it was run, when it is no event."),
    CAR_NAME.but(asked=CAR),
    ROUND_KIND.but(asked=RUN),
    ROUND.but(asked=RUN, typed="p, q or m counts on; or practice 2, q1, main A."),
    whole("pinion", "pinion", "Teeth of the pinion.", (1, 200), (8, 60), asked=CAR),
    whole("spur", "spur", "Teeth of the spur.", (5, 400), (30, 140), asked=CAR),
    of_car("internal_ratio", "internal ratio", "", "The gearbox's fixed ratio.", (0.2, 20), (1, 5), 2),
    Datum("tyre", NAME, "Tyre and compound.", asked=CAR),
    of_car("tyre_diameter_mm", "tyre diameter", "mm", "Tyre diameter as it is today.", (5, 500), (20, 200), 1),
    whole("tyre_runs", "tyre runs", "Runs the tyres have had before.", (0, 10_000), (0, 100), asked=CAR),
    Datum("fan", YES_NO, "Whether a fan blew on the motor during the run.", asked=CAR),
    Datum("pack", NAME, "Pack that was in the car.", asked=CAR),
    TIMING_MARK.but(asked=CAR),
    of_car("esc_timing_deg", "ESC timing", "°", "Timing the speed control adds.", (0, 120), (0, 60), 1),
    of_run("run_time_s", "run time", "s", "From start to finish.", (1, 86_400), (60, 3600), 1),
    whole("laps", "laps", "Laps driven.", (0, 10_000), (1, 500), asked=RUN,
        typed="Laps and time in one: 22/5:03.4. Either alone will do."),
    of_run("lap_times_s", "lap times", "s", "Time of every lap, in order.", *_LAP, 2, default=(),
        typed="Paste or type them all: 14.53 14.60 0:14.71.").but(form=NUMBERS),
    of_run("best_lap_s", "best lap", "s", "Time of the fastest lap.", *_LAP, 2),
    of_run("average_lap_s", "average lap", "s", "Mean time of a lap.", *_LAP, 2),
    AMBIENT.but(asked=RUN),
    of_car("track_c", "track temperature", "°C", "Temperature of the track's surface.", (-30, 90), (-5, 70), 1),
    of_run("start_temp_c", "start temperature", "°C", "Can temperature at the start.", _WARM, (-5, 80), 1),
    of_run("finish_reading_c", "finish reading", "°C", "What the thermometer said.", _WARM, (5, 120), 1),
    of_run("finish_reading_after_s", "read after", "s", "How long after the finish.", (0, 86_400), (0, 1800),
        typed="How long after the finish; the clock fills it in."),
    of_run("esc_temp_c", "ESC", "°C", "Temperature of the speed control.", _WARM, (-5, 120), 1),
    of_run("charge_used_mah", "charge used", "mAh", "Charge taken from the pack.", (0, 100_000), (20, 10_000)),
    Datum("incident", TEXT, "Crash, traffic or stopped early; its laps stay out of pace.", asked=RUN,
        typed="c crash, t traffic, s stopped early, or your own words. Its laps stay out of pace."),
    Datum("result", TEXT, "What came of it, like third.", asked=RUN),
    *PARTS,
    PARTS_NAMED,
    KEPT,
    WAITS,
    EXCLUDED_WHY,
    NOTE.but(asked=RUN),
)

COOLING = (
    MOTOR.but(required=True, stored=""),
    STARTED_AT.but(required=False, stored=""),
    EVENT_NAME.but(stored=""),
    ROUND_KIND.but(stored=""),
    ROUND.but(stored=""),
    Datum("track_run_id", ID, "Id of the track run, where motor and time do not tell it.", needed=True, rare=True),
    number("after_s", "read after", "s", "How long after the finish of the run.", (0, 86_400), (0, 7200),
        required=True),
    number("temp_c", "can", "°C", "Can temperature at that time.", _WARM, (-5, 120), 1, required=True),
    Datum("fan", YES_NO, "Whether a fan blew on the motor while it cooled.",
        typed="Whether a fan blew on the can while it cooled: yes or no."),
    KEPT.but(rare=True),
    WAITS,
)

LOAD_LOG = (
    MOTOR.but(required=True, on_sheet=False, since=8),
    Datum("track_run_id", ID, "The track run it was written in.", on_sheet=False, since=8),
    Datum("bench", YES_NO, "Yes: it was written on the bench, in no outing.", default=False, on_sheet=False, since=8),
    Datum("logged_at", TIME, "When it began, as far as it says so; else when it was read.", "time", required=True,
        on_sheet=False, since=8),
    Datum("file", NAME, "What its file was called.", required=True, on_sheet=False, since=8),
    Datum("digest", ID, "What tells the file from others, whatever it is called.", required=True, on_sheet=False,
        since=8),
)

GEARS = (
    Datum("kind", CHOICE, "Pinion or spur.", words=("pinion", "spur"), required=True,
        typed="Pinion or spur; p or s will do."),
    whole("teeth", "teeth", "Teeth of the gear.", (1, 400), (8, 140), required=True),
    number("module", "module", "mm", "Pitch diameter per tooth.", (0.1, 5), (0.25, 1.5), 3, needed=True),
    number("dp", "diametral pitch", "", "Teeth per inch of pitch diameter.", (5.08, 254), (17, 100), stored=""),
    NOTE,
)

SETUP_ENTRY = (
    Datum("written_at", TIME, "When it was changed.", "time", required=True),
    EVENT_NAME,
    TRACK,
    CAR_NAME,
    MOTOR,
    Datum("what", NAME, "What was changed.", required=True),
    Datum("was", TEXT, "What it was before."),
    Datum("now", TEXT, "What it is now."),
    Datum("why", TEXT, "Why it was changed."),
    Datum("outcome", TEXT, "What came of it; blank while it is open."),
)

SETTINGS = (
    Datum("temperature_unit", CHOICE, "C or F. Stored is always °C: no record changes.", "temperatures in",
        words=("C", "F"), default=_SET.temperature_unit),
    Datum("length_unit", CHOICE, "mm or inch. Stored is always mm: no record changes.", "lengths in",
        words=("mm", "in"), default=_SET.length_unit),
    Datum("day_first", YES_NO, "yes: 7/3 is the 7th of March; no: the 3rd of July.", "day before month",
        default=_SET.day_first),
    number("volts_per_cell", "volts per cell", "V", "Pack voltage per cell under load.", (2.5, 4.5), (3.3, 4.25), 2,
        default=_SET.volts_per_cell),
    number("leads_mohm", "leads", "mΩ", "Wires, connectors and speed control in series.", (0, 500), (2, 60), 1,
        default=_SET.leads_mohm),
    number("ceiling_c", "temperature limit", "°C", "Finish temperature you will not exceed.", (30, 200), (50, 120),
        default=_SET.ceiling_c),
    number("test_minutes", "time for tests", "min", "What you have for the next tests on the bench.", (0, 1440),
        (5, 240), default=_SET.test_minutes, since=5),
    number("run_minutes", "bench run", "min", "From one bench run to the next, motors in turn.", (0.1, 120),
        (1, 15), 1, default=_SET.run_minutes, since=5),
    number("winding_minutes", "winding reading", "min", "The reading alone, the clips on.", (0.1, 120),
        (0.5, 15), 1, default=_SET.winding_minutes, since=5),
    number("clips_minutes", "clips off and on", "min", "A motor clamped anew, before it is read.", (0, 120),
        (0.5, 20), 1, default=_SET.clips_minutes, since=5),
    number("swap_minutes", "swap of parts", "min", "Two motors opened, a part of each changed over.", (0, 240),
        (2, 60), 1, default=_SET.swap_minutes, since=6),
    number("work_minutes", "work is due after", "min", "Track minutes since the last work on a motor; 0: never marked.",
        (0, 100_000), (0, 1000), default=_SET.work_minutes, since=7),
)
# fmt: on

RECORDS: dict[str, tuple[Datum, ...]] = {
    "class_sheet": CLASS_SHEET,
    "motor": MOTORS,
    "part": PART_OF_MOTOR,
    "build": BUILD,
    "bench_run": BENCH_RUN,
    "event": EVENTS,
    "car": CARS,
    "track_run": TRACK_RUN,
    "cooling": COOLING,
    "load_log": LOAD_LOG,
    "gear": GEARS,
    "setup_entry": SETUP_ENTRY,
    "settings": SETTINGS,
}
"""The fields of every kind of record, and of the sheet whose rows are such records."""

FIELDS = {datum.name: datum for data in reversed(RECORDS.values()) for datum in reversed(data)}
"""Every field by its name, as the first record has it."""
QUANTITIES = {name: datum for name, datum in reversed(FIELDS.items()) if datum.form in (NUMBER, NUMBERS)}
"""Every number."""


def names_of(kind: str, *forms: str) -> tuple[str, ...]:
    """Fields of a kind of record, those of these forms alone."""
    return tuple(datum.name for datum in RECORDS[kind] if datum.asked in forms or not forms)


def led_by(first: Iterable[str], others: Iterable[str]) -> tuple[str, ...]:
    """What a form begins with, and behind it everything else."""
    return tuple(dict.fromkeys((*first, *others)))


BENCH_FIGURES = tuple(n for n in names_of("bench_run", FIGURES, OTHER_SPEEDS) if FIELDS[n].unit != "°C")
"""What a bench run needs one of: its temperatures belong to figures and are none."""
