"""The season event by event, and the best gearing so far on a track. Oracle: laps written down by hand."""

import pytest

from pitbench.desk.lists.season import season as season_of
from pitbench.words.season import best_gearing_words, season_words
from tests.unit.desk.track_side import Season


@pytest.fixture
def season():
    """In April at Salt flats three on 30/72 and three on 31/72, a lap half a second quicker; a day at the dock."""
    season = Season()
    for hour in range(6):
        gears = {"pinion": 31 if hour % 2 else 30, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5}
        season.run(
            f"2026-04-12T1{hour}:00",
            season.april,
            "Heron" if hour < 3 else "Plover",
            lap_times_s=(14.5 - 0.5 * (hour % 2),) * 20,
            round_kind="main" if hour == 4 else "qualifier",
            finish_reading_c=66,
            result="third" if hour == 4 else None,
            **gears,
        )
    season.run("2026-05-03T10:00", season.dock, laps=20, run_time_s=300, pinion=28, spur=72)
    season.run("2026-05-10T10:00", None, track="moor")
    return season


def test_a_line_an_event_told_by_its_last_main(season):
    lines = season_of(season.snapshot)
    assert [(line.event, line.date, line.runs) for line in lines] == [
        ("moor", "2026-05-10", 1),
        ("Oyster Dock", "2026-05-03", 1),
        ("Saltmouth", "2026-04-12", 6),
    ]
    april = lines[-1]
    told = (april.motor, april.gears, april.average_lap_s, april.finish_c, april.result, april.track)
    assert told == ("Plover", "30/72", pytest.approx(14.5), 66, "third", "Salt flats")
    assert april.against is not None and april.against.seconds.mean > 0.1  # on the slower gears, which stay in it
    assert season_words(lines) == "The season: 8 track runs at 3 events, the newest first."


def test_the_best_gearing_is_the_quickest_of_those_compared(season):
    moor, dock, april = season_of(season.snapshot)
    assert [each.gears for each in april.best.tried] == ["31/72", "30/72"]
    assert april.best.tried[0].chance_best > 0.9 and sum(each.chance_best for each in april.best.tried) == 1
    first, second = best_gearing_words(april)
    assert first.startswith("Best gearing so far at Salt flats: 31/72, 0.") and "s a lap before 30/72: " in first
    assert second.startswith("31/72 -0.") and "3 runs; 30/72 +0." in second
    assert best_gearing_words(dock) == ["Best gearing so far at Oyster Dock: 28/72 is all that was run, 1 run."]
    assert best_gearing_words(moor) == ["Best gearing so far at moor: no run there tells its gears and its laps."]


def test_gears_of_another_day_alone_are_not_compared(season):
    season.run("2026-05-17T10:00", season.today, laps=20, run_time_s=270, pinion=33, spur=72)
    today = season_of(season.snapshot)[0]
    assert [each.gears for each in today.best.tried][-1] == "33/72" and today.best.tried[-1].seconds is None
    assert today.best.tried[0].gears == "31/72"


def test_two_gearings_never_run_on_one_day_say_so(season):
    season.run("2026-05-04T10:00", season.dock, laps=20, run_time_s=300, pinion=29, spur=72)
    dock = next(line for line in season_of(season.snapshot) if line.event == "Oyster Dock")
    assert best_gearing_words(dock) == [
        "Best gearing so far at Oyster Dock: 28/72 and 29/72 were never run on one day, so nothing compares them."
    ]


def test_an_empty_season():
    assert season_of(Season().snapshot) == []
    assert season_words([]).startswith("No track run yet")
