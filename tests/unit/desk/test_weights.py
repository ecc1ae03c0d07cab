"""Weights and margins: what the form shows, what is stored, what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.comparing.ranking import compare
from pitbench.desk.comparing.weights import (
    WEIGHED,
    Trial,
    save_weights,
    weight_fields,
    weight_problems,
    weight_texts,
    weight_trials,
)
from pitbench.figures.criteria import GOALS
from pitbench.records.models import Settings
from pitbench.records.refusal import Refusal
from pitbench.words.ranking import trials_words
from tests.unit.desk.bench_side import USUAL, two_motors
from tests.unit.desk.by_hand import everything, new_book
from tests.unit.desk.race_days import RaceDays

KEYS = [field.name for field in weight_fields()]


def test_the_form_has_the_margin_of_the_score_and_two_fields_a_figure():
    assert KEYS[0] == "margin load_power_w" and len(KEYS) == 1 + 2 * len(WEIGHED)
    assert {key.split()[1] for key in KEYS} <= set(GOALS)
    for field in weight_fields():
        what, name = field.name.split()
        percent = name in GOALS and GOALS[name].margin_in_percent
        assert len(field.label) <= 18 and field.meaning  # the form has 18 columns for a label
        assert field.unit == ("" if what == "weight" else "%" if percent else {"s": "°"}.get(name[0], "points"))


def test_track_figures_get_a_weight_where_there_are_track_runs():
    days = RaceDays("Heron")
    assert list(weight_texts(days.logbook.snapshot())) == KEYS
    days.race("Heron", "2026-05-16T10:00", 14.0)
    texts = weight_texts(days.logbook.snapshot())
    assert [key for key in texts if key not in KEYS] == ["weight track_pace_s", "weight finish_temp_c"]
    save_weights(days.logbook, texts | {"weight track_pace_s": "0.5"})
    assert days.logbook.settings().weights == {"track_pace_s": 0.5}
    assert weight_texts(days.logbook.snapshot())["weight track_pace_s"] == "0.5"
    for field in weight_fields(raced=True)[-2:]:
        goal = GOALS[field.name.split()[1]]
        assert len(field.label) <= 18 and f"{goal.margin:g} {'%' if goal.margin_in_percent else '°C'}" in field.meaning


def test_texts_show_the_defaults():
    texts = weight_texts(new_book().snapshot())
    assert list(texts) == KEYS
    assert all(texts[key] == "0" for key in KEYS if key.startswith("weight"))
    assert texts["margin load_power_w"] == "0.5" and texts["margin kv_rpm_per_v"] == "0.25"


def test_only_what_differs_from_the_default_is_stored():
    book = new_book()
    texts = weight_texts(book.snapshot()) | {"weight kv_rpm_per_v": "1,5", "margin load_power_w": "0.8 %"}
    assert save_weights(book, texts) == "weights and margins"
    settings = book.settings()
    assert (settings.weights, settings.margins) == ({"kv_rpm_per_v": 1.5}, {"load_power_w": 0.8})
    shown = weight_texts(book.snapshot())
    assert (shown["weight kv_rpm_per_v"], shown["margin load_power_w"]) == ("1.5", "0.8")
    save_weights(book, shown | {"weight kv_rpm_per_v": "", "margin load_power_w": " "})
    assert (book.settings().weights, book.settings().margins) == ({}, {})


def test_the_defaults_as_they_stand_store_nothing():
    book = new_book()
    save_weights(book, weight_texts(book.snapshot()))
    assert (book.settings().weights, book.settings().margins) == ({}, {})


def test_weights_the_form_does_not_show_and_other_settings_stay():
    book = new_book()
    book.save_settings("all", Settings(weights={"track_pace_s": 2.0}, margins={"track_pace_s": 0.4}, ceiling_c=75))
    save_weights(book, weight_texts(book.snapshot()) | {"weight speed_per_amp": "1"})
    settings = book.settings()
    assert settings.weights == {"track_pace_s": 2.0, "speed_per_amp": 1.0}
    assert settings.margins == {"track_pace_s": 0.4} and settings.ceiling_c == 75


def test_an_undo_brings_the_defaults_back():
    book = new_book()
    save_weights(book, {"weight kv_rpm_per_v": "2"})
    assert book.journal.undo() == "weights and margins"
    assert book.settings().weights == {} and weight_texts(book.snapshot())["weight kv_rpm_per_v"] == "0"
    save_weights(book, {"weight kv_rpm_per_v": "3"})
    assert book.settings().weights == {"kv_rpm_per_v": 3.0} and len(book.rows("settings")) == 1


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("weight kv_rpm_per_v", "much", "Weight of KV much is no number, write one like 1.5."),
        ("weight kv_rpm_per_v", "-1", "Weight of KV -1 is not possible, 0 to 100 would be."),
        ("margin load_power_w", "0", "Margin of power at load 0 is not possible, 0.001 to 100 % would be."),
        ("margin sensor_spread_deg", "1 V", "Margin of sensor spread 1 V has the unit V, ° would be right."),
        ("margin speed_per_amp", "nan", "Margin of speed per amp nan is no number, write one like 1."),
    ],
)
def test_bad_input_is_one_sentence_and_nothing_is_stored(key, text, said):
    book = new_book()
    assert weight_problems({key: text}) == {key: said}
    with pytest.raises(Refusal) as refused:
        save_weights(book, {"weight speed_per_amp": "1", key: text})
    assert str(refused.value) == said and everything(book) == {}


@given(st.dictionaries(st.sampled_from(KEYS), st.text(max_size=12) | st.floats(0, 200).map(repr)))
def test_any_text_is_stored_or_refused(texts):
    book = new_book()
    try:
        save_weights(book, texts)
    except Refusal as refusal:
        assert str(refusal) in weight_problems(texts).values()
    else:
        shown = weight_texts(book.snapshot())
        assert weight_problems(texts) == {} and weight_problems(shown) == {}
        save_weights(book, shown)
        assert weight_texts(book.snapshot()) == shown


def bench_with_three():
    bench = two_motors()
    bench.run("Whio", "2026-04-11T18:30", **(USUAL | {"kv_rpm_per_v": 3990, "no_load_current_a": 4.4}))
    return bench


def test_trials_halve_and_double_one_weight_and_the_score_follows_in_proportion():
    """A weighted sum is linear: doubling a weight moves a score twice as far as halving it, the other way."""
    logbook = bench_with_three().logbook
    logbook.save_settings("weights", Settings(weights={"kv_rpm_per_v": 1.5, "speed_per_amp": 0.5}))
    compared = compare(logbook.snapshot())
    trials = weight_trials(compared)
    figures = ["KV", "speed/amp"]
    heads = ["as set", *(f"{f}, {how}" for f in figures for how in ("halved", "doubled")), "power at load alone"]
    assert [trial.label for trial in trials] == heads
    assert trials[0].scores == [(m.motor, m.score_pct) for m in compared.answer().motors]
    assert trials[-1].scores == [(m.motor, m.score_pct) for m in compared.answer({}).motors]
    as_set = dict(trials[0].scores)
    for halved, doubled in ((trials[1], trials[2]), (trials[3], trials[4])):
        half, double = dict(halved.scores), dict(doubled.scores)
        for name, score in as_set.items():
            assert double[name] - score == pytest.approx(2 * (score - half[name]), abs=1e-9)
    orders = compared.weights_order()
    assert [name for name, _ in trials[1].scores] == orders["kv_rpm_per_v"].halved
    assert [name for name, _ in trials[2].scores] == orders["kv_rpm_per_v"].doubled


def test_without_any_weight_power_at_load_alone_is_the_one_trial():
    (trial,) = weight_trials(compare(bench_with_three().logbook.snapshot()))
    assert trial.label == "power at load alone"


def trial(label, *order):
    return Trial(None, label, [(name, -place) for place, name in enumerate(order)])


def test_words_say_whether_the_order_hangs_on_the_weights():
    as_set, swapped = trial("as set", "Whio", "Plover", "Siskin"), trial("KV, halved", "Whio", "Siskin", "Plover")
    other = trial("KV, doubled", "Plover", "Whio", "Siskin")
    assert trials_words([as_set, as_set]).endswith("nobody changes place.")
    assert trials_words([as_set, swapped]).endswith("by power at load alone; others change places.")
    assert trials_words([as_set, swapped, other]) == (
        "Who leads hangs on the weights: Whio as they are set; else Plover (KV, doubled)."
    )
