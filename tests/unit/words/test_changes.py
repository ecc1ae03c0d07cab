"""What a change brought, in sentences, from answers made by hand."""

import pytest

from pitbench.desk.answers import Change, ChangeOnBench, ChangeOnTrack, Judged, Spread
from pitbench.records.spoken import FIGURES
from pitbench.records.units import Units
from pitbench.words.changes import brought_words, in_short, offered

NONE = Spread(None, None, None)


def bench(chance, before=3, after=3, **figures):
    return ChangeOnBench(before, after, dict.fromkeys(FIGURES, NONE) | figures, chance)


def change(bench=None, track=None, power=None, car=False, beside=()):
    told = Change("2026-05-16T09:40", None, "Lapwing", "bearings", None, "cleaned", bench, track, list(beside))
    return Judged("e1", told, power, list(beside), list(beside), car)


CLEANED = change(
    bench(0.97, no_load_current_a=Spread(-0.36, -0.44, -0.28), kv_rpm_per_v=Spread(1.0, -6.0, 8.0)),
    ChangeOnTrack(2, 2, Spread(-0.04, -0.16, 0.08), NONE, 0.72),
    Spread(0.9, 0.4, 1.4),
)


def test_both_are_told_with_range_and_chance():
    assert brought_words(CLEANED, Units()) == [
        "Bench, 3 runs before and 3 after: current 0.36 A less (0.28 to 0.44), KV level, power at load +0.9 % "
        "(+0.4 to +1.4): 97 in 100 that it helped.",
        "Track, 2 before and 2 after: 0.04 s a lap faster (-0.16 to +0.08), may be luck (72 in 100 that it helped).",
    ]
    assert in_short(CLEANED) == "+0.9 % at load, 97 in 100 that it helped"


@pytest.mark.parametrize(
    ("chance", "power", "outcome"),
    [
        (0.97, (0.9, 0.4, 1.4), "better, power at load +0.9 %"),
        (0.80, (0.5, -0.4, 1.4), "better, 80 in 100: power at load +0.5 %"),
        (0.03, (-0.9, -1.4, -0.4), "worse, power at load -0.9 %"),
        (0.99, (0.2, 0.1, 0.3), "no difference, power at load +0.1 to +0.3 %"),
        (0.55, (0.1, -1.0, 1.2), ""),
    ],
)
def test_what_is_offered(chance, power, outcome):
    assert offered(change(bench(chance), power=Spread(*power))) == outcome


def test_sure_but_small_is_too_little_to_matter():
    said = brought_words(change(bench(0.99), power=Spread(0.2, 0.1, 0.3)), Units())[0]
    assert said.endswith("99 in 100 that it helped, too little to matter.")


def test_together_and_one_side_alone():
    alone = change(bench(None, 3, 0), beside=["shims", "oil"])
    assert brought_words(alone, Units()) == [
        "Bench, together with shims and oil, 3 runs before and none after: no telling; 2 runs now would tell."
    ]
    late = change(bench(None, 0, 1))
    assert "no runs before and 1 after: no telling; only putting it back would tell." in brought_words(late, Units())[0]


def test_a_car_change_is_judged_by_the_track_and_heat_is_said_where_plain():
    track = ChangeOnTrack(4, 3, Spread(-0.11, -0.21, -0.01), Spread(5.0, 2.0, 8.0), 0.96)
    spring = change(track=track, car=True)
    assert brought_words(spring, Units("F")) == [
        "Track, 4 before and 3 after: 0.11 s a lap faster (-0.21 to -0.01), 96 in 100 that it helped; "
        "9 °F hotter at the finish (4 to 14 °F)."
    ]
    assert offered(spring) == "better, 0.11 s a lap" and in_short(spring) == "-0.11 s a lap, 96 in 100 that it helped"


def test_without_anything_it_is_said_what_would_tell():
    assert brought_words(change(), Units())[0].startswith("No telling: runs on both sides")
    assert brought_words(change(car=True), Units())[0].startswith("No telling: track runs before it and after it")
    nothing = ChangeOnTrack(3, 3, NONE, NONE, None)
    assert brought_words(change(track=nothing), Units()) == [
        "Track, 3 before and 3 after: no telling; other motors beside it would tell."
    ]
