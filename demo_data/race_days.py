"""The plan of the three invented race days: where and when, what ran in which car, what was changed, which gears.

What came of it (laps, temperatures, outcomes) is drawn in `track_days`; only what a racer decides stands here.
"""

from dataclasses import dataclass

GREY, BLUE = "grey car", "blue car"  # 13.5T and 21.5T


@dataclass(frozen=True)
class Outing:
    """One run. `kept` is what was written down of the laps: all, best (and average), or count.

    start: the can was read before the start; later: minutes after the finish at which it was read again; pit_fan: a fan
    blew on it from the finish on; untimed: nobody looked how long after the finish the first reading was.
    """

    at: str
    motor: str
    kind: str
    round: str
    pinion: int
    mark: int = 0  # 0: the car's usual one
    minutes: float = 5
    kept: str = "all"
    start: bool = False
    later: tuple[float, ...] = ()
    pit_fan: bool = False
    untimed: bool = False
    lost_s: float = 0
    incident: str = ""
    result: str = ""
    note: str = ""


@dataclass(frozen=True)
class Change:
    """One entry of the setup log. `pace` is what it is truly worth, percent of a lap. Outcome "laps": what the laps
    before and after say, of the same motor where one is named."""

    at: str
    car: str
    what: str
    was: str = ""
    now: str = ""
    why: str = ""
    motor: str = ""
    pace: float = 0
    outcome: str = "laps"


@dataclass(frozen=True)
class RaceDay:
    """lap_s: a good lap of the 13.5T car; best_mm: the rollout that suits the track; grip: how hard it lets cars pull;
    air: ambient in the morning and in the afternoon."""

    name: str
    date: str
    track: str
    surface: str
    start_times: str
    lap_s: float
    best_mm: float
    grip: float
    air: tuple[float, float]
    warm_ground: bool
    outings: tuple[Outing, ...]
    changes: tuple[Change, ...]
    note: str = ""


@dataclass(frozen=True)
class CarPlan:
    """A car, as geared and shod over the season."""

    class_name: str
    spur: int
    internal_ratio: float
    usual_mark: int
    pull: float  # current against that of the 13.5T car of equal torque
    slower: float  # lap against that of the 13.5T car
    fan: bool
    best_mm: float  # rollout that suits it on any track; 0: what suits the track
    tyres: tuple[tuple[str, str], ...]  # which set from when on


CARS = {
    GREY: CarPlan(
        "club 13.5T", 72, 1.9, 35, 1.0, 1.0, False, 0,
        (("2026-04-12T00:00", "set 1"), ("2026-04-25T12:30", "set 2"), ("2026-05-16T12:55", "set 3")),
    ),
    BLUE: CarPlan("club 21.5T", 58, 1.9, 40, 0.70, 1.11, True, 61.0, (("2026-04-25T00:00", "set A"),)),
}  # fmt: skip

OYSTER_DOCK = RaceDay(
    "Oyster Dock", "2026-04-12", "Oyster Dock hall", "carpet, tight",
    "qualifier 1 12:30, qualifier 2 13:40, qualifier 3 14:50, main 16:10",
    lap_s=11.4, best_mm=43.0, grip=0.97, air=(13.5, 17.0), warm_ground=False,
    note="the hall is cold, doors open",
    outings=(
        Outing("10:05", "Lapwing", "practice", "1", 29, minutes=6, kept="best", start=True),
        Outing("10:40", "Whio", "practice", "2", 29, minutes=6, later=(5.0,)),
        Outing("11:20", "Plover", "practice", "3", 30, kept="count", later=(6.0, 14.0)),
        Outing("12:30", "Lapwing", "qualifier", "1", 30, start=True, later=(5.5,)),
        Outing("13:40", "Whio", "qualifier", "2", 30, later=(5.0, 12.0), pit_fan=True),
        Outing("14:50", "Lapwing", "qualifier", "3", 30, lost_s=7.5, incident="crash", untimed=True,
               note="hit the board at the hairpin"),
        Outing("16:10", "Lapwing", "main", "A", 31, start=True, later=(6.0,), result="fourth",
               note="lost the back end twice"),
    ),
    changes=(
        Change("11:50", GREY, "pinion", "29", "30", "too short"),
        Change("13:05", GREY, "rear camber", "2°", "1.5°", "nervous", pace=-0.25),
        Change("15:30", GREY, "pinion", "30", "31", "stays cool", motor="Lapwing"),
    ),
)  # fmt: skip

SALTMOUTH_APRIL = RaceDay(
    "Saltmouth", "2026-04-25", "Saltmouth harbour", "asphalt, dusty",
    "qualifier 1 13:05, qualifier 2 13:45, qualifier 3 15:00, main 16:40",
    lap_s=13.7, best_mm=45.5, grip=1.0, air=(14.5, 21.0), warm_ground=True,
    outings=(
        Outing("09:40", "Whio", "practice", "1", 30, minutes=7, start=True),
        Outing("10:20", "Siskin", "practice", "2", 30, minutes=6, kept="best", later=(5.0,)),
        Outing("11:00", "Lapwing", "practice", "3", 30, minutes=6, start=True, later=(5.0, 11.0), pit_fan=True),
        Outing("11:15", "Redshank", "practice", "1", 34, minutes=6, later=(8.0,)),
        Outing("13:05", "Lapwing", "qualifier", "1", 31, start=True, later=(5.0, 10.0)),
        Outing("13:25", "Redshank", "qualifier", "1", 34, start=True),
        Outing("13:45", "Lapwing", "qualifier", "2", 31, mark=36, start=True),
        Outing("14:25", "Linnet", "qualifier", "2", 34),
        Outing("15:00", "Whio", "qualifier", "3", 31, later=(5.0,)),
        Outing("16:15", "Redshank", "main", "B", 34, start=True, result="second in the B main"),
        Outing("16:40", "Whio", "main", "A", 32, start=True, later=(5.0, 13.0), result="third",
               note="cautious start, quick once the field had spread"),
    ),
    changes=(
        Change("09:10", GREY, "ride height", "5", "5.5 mm", "bumps", outcome="better"),
        Change("12:15", GREY, "pinion", "30", "31", "too short"),
        Change("12:30", GREY, "tyres", "set 1", "set 2", "new set", pace=-0.3),
        Change("13:30", GREY, "timing mark", "35", "36", "no punch", motor="Lapwing"),
        Change("14:10", GREY, "timing mark", "36", "35", "too hot", motor="Lapwing", outcome="as it was"),
        Change("14:30", GREY, "rear spring", "2.4", "2.2", "loose", pace=-0.3),
        Change("15:40", GREY, "pinion", "31", "32", "Whio is cool", motor="Whio"),
    ),
)  # fmt: skip

SALTMOUTH_MAY = RaceDay(
    "Saltmouth", "2026-05-16", "Saltmouth harbour", "asphalt, clean",
    "qualifier 1 13:20, qualifier 2 14:40, qualifier 3 16:00, main A1 17:30, main A2 11:20",
    lap_s=13.6, best_mm=45.5, grip=1.02, air=(17.0, 24.5), warm_ground=True,
    note="second leg of the A main on Sunday",
    outings=(
        Outing("10:30", "Whio", "practice", "1", 31, minutes=6, start=True, later=(5.0,)),
        Outing("10:50", "Redshank", "practice", "1", 34, minutes=6, later=(6.0,)),
        Outing("11:05", "Plover", "practice", "2", 31, later=(5.0, 12.0)),
        Outing("11:40", "Lapwing", "practice", "3", 31, start=True, later=(5.0,)),
        Outing("12:20", "Turnstone", "practice", "4", 31, kept="best", later=(5.0,)),
        Outing("13:00", "Redshank", "qualifier", "1", 34, start=True, later=(6.0, 14.0)),
        Outing("13:20", "Whio", "qualifier", "1", 31, start=True, later=(5.0, 11.0), pit_fan=True),
        Outing("14:20", "Linnet", "qualifier", "2", 34),
        Outing("14:40", "Lapwing", "qualifier", "2", 31, start=True, later=(5.0,)),
        Outing("15:40", "Linnet", "qualifier", "3", 34, minutes=2.3, lost_s=4, incident="stopped early", kept="count",
               note="steering link came off"),
        Outing("16:00", "Whio", "qualifier", "3", 31, later=(5.0, 12.0)),
        Outing("17:00", "Redshank", "main", "A1", 34, start=True, result="sixth"),
        Outing("17:30", "Whio", "main", "A1", 32, start=True, later=(5.0, 14.0), result="third",
               note="lost time with a backmarker"),
    ),
    changes=(
        Change("10:10", GREY, "ride height", "5.5", "5 mm", "bumps gone", outcome=""),
        Change("12:55", GREY, "tyres", "set 2", "set 3", "new set", pace=-0.3),
        Change("14:00", GREY, "front toe", "1°", "0.5°", "lazy", pace=0.1),
        Change("15:20", GREY, "rear spring", "2.2", "2.4", "slow to turn", pace=-0.2),
        Change("16:50", GREY, "pinion", "31", "32", "as in April", motor="Whio"),
        Change("18:10", GREY, "bearings", "", "oiled", "current rose", motor="Lapwing", outcome=""),
    ),
)  # fmt: skip

RACE_DAYS = (OYSTER_DOCK, SALTMOUTH_APRIL, SALTMOUTH_MAY)

# What lies in the box: one pitch for the grey car, another for the blue one.
GEARS: tuple[tuple[str, tuple[int, ...], str, float], ...] = (
    ("pinion", tuple(range(26, 35)), "dp", 64),
    ("spur", (69, 72, 76), "dp", 64),
    ("pinion", (32, 33, 34, 35), "module", 0.5),
    ("spur", (58, 60), "module", 0.5),
)
