"""The link in words: nothing is said to have told without what luck alone would do."""

import pytest

from pitbench.desk.answers import LinkAnswer, LinkedFigure, LinkPage, WeightOffer
from pitbench.figures.link import KNOWN
from pitbench.records.units import Units
from pitbench.words import link

BEST = LinkedFigure("load_power_w", 0.31, 0.012, "higher")


def page(pace, finish=(), **more):
    none = [LinkedFigure(name, None, None, None) for name in ("load_power_w", "kv_rpm_per_v")]
    targets = {"track_pace_s": list(pace), "finish_temp_c": list(finish or none)}
    return LinkPage(class_=None, answer=LinkAnswer(True, 0, 0, 0, targets), motors=[], **more)


def test_what_told_with_its_side_its_skill_and_luck():
    also = LinkedFigure("kv_rpm_per_v", 0.2, 0.05, "higher")
    pace, finish = link.headline(page([BEST, also]))
    assert pace == (
        "Pace: power at load told it, higher is better, 31 % better than guessing; luck alone would do this 1 time in "
        "83. KV told it too."
    )
    assert finish == "Finish temperature: not enough runs of its own yet."


def test_the_best_of_figures_that_did_not_tell_is_named_with_what_luck_would_do():
    (pace,) = link.headline(page([LinkedFigure("pole_imbalance_pct", 0.14, 0.45, "lower")]), "track_pace_s")
    assert pace == (
        "Pace: no bench figure told it. Pole imbalance came nearest, but luck alone would do this 1 time in 2."
    )


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ((1, 0, 0), "one more track run."),
        ((0, 2, 1), "one more event and two more motors run beside others."),
        ((18, 6, 3), "three more events, six more motors run beside others and 18 more track runs."),
    ],
)
def test_what_is_missing(missing, words):
    answer = LinkAnswer(False, *missing, {})
    assert (
        link.not_enough(answer) == f"Not enough yet to say which bench figures tell about the track: it takes {words}"
    )


def test_what_is_left_over_and_what_is_offered():
    found = page([BEST], offers=[WeightOffer("track_pace_s", 1.7)], unseen_pct=0.26, unseen_learned=True)
    assert link.headline(found)[2:] == [
        "What the bench cannot see is 0.26 % of power by these runs; Rankings counts with it.",
        "Offered as weight, not counted yet: track pace 1.7 (w).",
    ]
    assert link.headline(page([BEST], unseen_pct=0.3))[2:] == []


def test_what_a_margin_brought_in_the_units_of_the_team():
    per_margin = {"track_pace_s": {"load_power_w": -0.0264}, "finish_temp_c": {"load_power_w": 0.5}}
    found = page([BEST], per_margin=per_margin, margins={"load_power_w": 0.5, "no_load_current_a": 0.0972})
    assert link.brought_words(found, "track_pace_s", "load_power_w", Units()) == "0.026 s faster"
    assert link.brought_words(found, "finish_temp_c", "load_power_w", Units("F")) == "0.9 °F hotter"
    assert link.brought_words(found, "finish_temp_c", "kv_rpm_per_v", Units()) == "·"
    assert [link.margin_words(found, name) for name in found.margins] == ["0.5 %", "0.1 A"]


def test_told_means_the_same_here_and_in_figures():
    assert link.SURE == KNOWN
