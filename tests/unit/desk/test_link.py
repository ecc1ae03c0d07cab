"""The link of a class from its records: what counts, what is missing, and what becomes of the ranking."""

import json
import pickle
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import plain
from pitbench.desk.comparing.link import BENCH, TARGETS
from pitbench.desk.comparing.link_page import link_page
from pitbench.desk.comparing.ranking import compare, rank, unseen_pct_of
from pitbench.figures import ranking
from pitbench.figures.criteria import UNSEEN_PCT
from pitbench.records.models import Build
from pitbench.store.logbook import Logbook
from tests.benchmarks.race_seasons import World, draw_season
from tests.unit.desk.race_days import RaceDays
from tests.unit.desk.test_pace import race_in_turn

KINDS = ("class_sheet", "motor", "build", "event", "bench_run", "track_run")
PLAIN = World(pace="power", run_pct=0.1, unseen_pct=0.1, day_pct=0.02)


@pytest.fixture(scope="module")
def plain_link():
    """A season in which power told pace beyond doubt."""
    return draw_season(PLAIN, 5)


def season_file(path):
    """That season in a file."""
    book = draw_season(PLAIN, 5)
    with Logbook.open(path, create=True) as logbook:
        logbook.save("season", [record for kind in KINDS for record in book.records(kind)])
    return path


def again(book, change=lambda record: record, order=lambda records: records, without=()):
    """The same records in another logbook, changed."""
    copy = Logbook.in_memory()
    kinds = [kind for kind in KINDS if kind not in without]
    copy.save("again", [change(each) for kind in kinds for each in order(list(book.records(kind)))])
    return copy


def test_before_there_is_enough_it_says_what_is_missing_and_lists_nothing():
    days = RaceDays("Heron", "Plover", "Siskin")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1, "Siskin": 14.2}, rounds=3)
    found = plain(link_page(days.logbook.snapshot()).answer)
    assert found == {
        "enough": False,
        "missing_runs": 9,
        "missing_motors": 3,
        "missing_events": 2,
        "targets": {"track_pace_s": [], "finish_temp_c": []},
    }


@pytest.mark.parametrize("names", [(), ("Heron",)])
def test_without_a_track_run_all_is_missing(names):
    found = link_page(RaceDays(*names).logbook.snapshot()).answer
    assert (found.missing_runs, found.missing_motors, found.missing_events) == (18, 6, 3)


def test_every_bench_figure_stands_in_both_tables(plain_link):
    found = json.loads(json.dumps(plain(link_page(plain_link.snapshot()).answer), allow_nan=False))
    assert found["enough"] and [found[f"missing_{what}"] for what in ("runs", "motors", "events")] == [0, 0, 0]
    assert set(found["targets"]) == set(TARGETS)
    for figures in found["targets"].values():
        assert {each["figure"] for each in figures} == set(BENCH) and len(figures) == 7
        for each in figures:
            assert set(each) == {"figure", "skill", "p_value", "better"} and each["better"] in ("higher", "lower")
            assert 0 < each["p_value"] <= 1 and each["skill"] < 1
        assert [each["p_value"] for each in figures] == sorted(each["p_value"] for each in figures)


def test_what_told_is_found_and_what_it_leaves_over_takes_the_place_of_the_unseen_part(plain_link):
    page, answer = link_page(plain_link.snapshot()), rank(plain_link.snapshot())
    best = page.answer.targets["track_pace_s"][0]
    assert best.figure == "load_power_w" and best.better == "higher" and best.p_value < 0.02 and best.skill > 0.5
    assert page.unseen_learned and answer.basis.unseen_pct == page.unseen_pct != UNSEEN_PCT
    assert page.per_margin["track_pace_s"]["load_power_w"] < 0
    assert page.margins["load_power_w"] == 0.5 and page.margins["kv_rpm_per_v"] == pytest.approx(9.8, abs=0.3)


def test_it_is_offered_and_never_applied(plain_link):
    raced, bench = rank(plain_link.snapshot()), rank(again(plain_link, without=("track_run",)).snapshot())
    assert [(m.motor, m.score_pct) for m in raced.motors] == [(m.motor, m.score_pct) for m in bench.motors]
    assert all(raced.figures[name].weight == (name == "load_power_w") for name in raced.figures)
    offered = {each.figure: each.weight for each in link_page(plain_link.snapshot()).offers}
    assert 0 < offered["track_pace_s"] <= 3 and "load_power_w" not in offered
    taken = again(plain_link)
    taken.save_settings("weights", plain_link.snapshot().settings().with_(weights=offered))
    assert {each.figure for each in link_page(taken.snapshot()).offers}.isdisjoint(offered)


def test_in_whatever_order_the_records_came_the_numbers_are_the_same(plain_link):
    def shuffled(records):
        return random.Random(1).sample(records, len(records))

    assert link_page(again(plain_link, order=shuffled).snapshot()) == link_page(plain_link.snapshot())


def test_runs_before_a_motor_was_built_otherwise_do_not_count(plain_link):
    whole = link_page(plain_link.snapshot())
    motor = next(m for m in plain_link.records("motor") if m.name == "Heron")
    own = [run for run in plain_link.records("track_run") if run.motor_id == motor.id]
    rebuilt = again(plain_link)
    parts = {"stator_id": "another", "rotor_id": "Heron rotor", "end_bell_id": "Heron end_bell"}
    build = Build(motor_id=motor.id, since="2026-12-01", **parts)
    tested = [r.with_(id="tested", build_id=build.id) for r in rebuilt.records("bench_run") if r.motor_id == motor.id][
        :1
    ]
    rebuilt.save("rebuilt", [build, *tested])
    found = link_page(rebuilt.snapshot())
    assert found.raced == whole.raced - 1 and found.runs <= whole.runs - len(own) + 3  # a day may lose its last pair


def test_a_figure_nobody_read_and_a_target_nobody_read_stand_there_without_numbers(plain_link):
    unread = {"hall_level_spread_pct": None, "finish_reading_c": None, "finish_reading_after_s": None}

    def less(record):
        return record.with_(**{name: None for name in unread if getattr(record, name, None) is not None})

    found = link_page(again(plain_link, change=less).snapshot()).answer
    by_name = {each.figure: each for each in found.targets["track_pace_s"]}
    hall = by_name["hall_level_spread_pct"]
    assert (hall.skill, hall.p_value, hall.better) == (None, None, None) and by_name["load_power_w"].p_value < 0.05
    assert [each.p_value for each in found.targets["finish_temp_c"]] == [None] * 7


def test_where_nothing_told_the_unseen_part_is_as_believed():
    found = compare(draw_season(World(events=6), 3).snapshot())
    assert not found.link.power_known and found.drawn.unseen_pct == UNSEEN_PCT


def test_parts_count_with_what_is_left_over_too(plain_link):
    assert unseen_pct_of(plain_link.snapshot(), None) == rank(plain_link.snapshot()).basis.unseen_pct
    assert unseen_pct_of(RaceDays("Heron").logbook.snapshot(), None) == UNSEEN_PCT


def test_the_more_the_bench_cannot_see_the_nearer_to_even_are_the_chances(plain_link):
    drawn = compare(plain_link.snapshot()).drawn
    best = [ranking.rank(replace(drawn, unseen_pct=pct)).motors[0].chance_best for pct in (0.1, 1.0, 100.0)]
    assert best[0] > best[1] > best[2] and best[2] == pytest.approx(1 / PLAIN.motors, abs=0.05)


def test_the_answer_is_plain_and_crosses_to_another_process(plain_link):
    page = link_page(plain_link.snapshot())
    assert pickle.loads(pickle.dumps(page)) == page


LOST = (
    *("lap_times_s", "finish_reading_c", "event_id", "ambient_c", "pinion", "run_time_s"),
    *("kv_rpm_per_v", "no_load_current_a", "resistance_mohm", "timing_c_deg", "pole_imbalance_pct", "test_voltage_v"),
)


@given(st.integers(0, 1000), st.floats(0, 1))
@settings(max_examples=12, deadline=None)
def test_whatever_was_not_written_down_the_answer_is_whole(plain_link, seed, share):
    """Fields are lost at random, and times of day."""
    rng = random.Random(seed)

    def less(record):
        lost = [name for name in LOST if rng.random() < share and getattr(record, name, None)]
        some = {name: () if name == "lap_times_s" else None for name in lost}
        if hasattr(record, "started_at") and rng.random() < share / 2:
            some |= {"started_at": record.started_at[:10]}
        return record.with_(**some)

    page = link_page(again(plain_link, change=less).snapshot())
    found = json.loads(json.dumps(plain(page), allow_nan=False))["answer"]
    assert found["enough"] == (found["missing_runs"] == found["missing_motors"] == found["missing_events"] == 0)
    assert {len(figures) for figures in found["targets"].values()} == {7 if found["enough"] else 0}
    assert all(0 < each.weight <= 3 for each in page.offers) and 0.05 < page.unseen_pct < 2
