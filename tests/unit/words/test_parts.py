"""Parts in words: every advice and every lack of one gives a sentence, and none says more than the answer."""

from dataclasses import replace

import pytest

from pitbench.desk.answers import Move
from pitbench.words import parts as words
from tests.unit.words import parts_by_hand as hand


def advised(**changes):
    return hand.answer(advice=replace(hand.ADVICE, **changes))


def test_the_swap_what_it_takes_and_the_most_even_build_are_three_sentences():
    assert words.headline(hand.answer()) == [
        "Try rotor R8 in Whio: 41 in 100 that it beats Whio as it is, by +0.4 % if so.",
        "About 15 minutes: two runs each. Run Turnstone in the same session, before you open it: "
        "alone on another evening it tells next to nothing.",
        "Most even would be S1 R8 E2: 96 in 100.",
    ]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"rival": "Plover"}, "Try rotor R8 in Whio: 41 in 100 that it beats Plover, by +0.4 % if so."),
        ({"rival": None}, "41 in 100 that it beats the best build tested so far, by"),
        (
            {"moves": [Move("rotor", "R8", "Turnstone"), Move("end_bell", "E5", None)]},
            "Try rotor R8 and end bell E5 in Whio: ",
        ),
        ({"moves": [Move("end_bell", "Plover end bell", "Plover")]}, "Try the Plover end bell in Whio: "),
        ({"moves": [], "rival": "Plover"}, "Run Whio as it is now: 41 in 100 that it beats Plover"),
        (
            {"moves": [], "rival": "Whio"},
            "Run Whio as it is now: it is the best build tested so far, and no swap",
        ),
        ({"gain_pct": 0.04}, "that it beats Whio as it is, by less than 0.1 % if so."),
        ({"chance_better": 0.999}, "over 99 in 100 that it beats"),
    ],
)
def test_what_to_try(changes, said):
    assert said in words.headline(advised(**changes))[0]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"beside": "Plover", "opens_it": False}, "Run Plover beside it in the same session: "),
        ({"beside": "Whio"}, "Run Whio before you open it and again after, in one session: "),
        ({"beside": None, "opens_it": False}, "two runs. No other motor can be run beside it"),
        ({"runs": 1}, "About 15 minutes: one run each. "),
        ({"minutes": 22.4}, "About 22 minutes: "),
        ({"minutes": 45.0}, "About 45 minutes, you have 30: "),
        ({"winding": True}, "two runs and the winding each. "),
    ],
)
def test_what_to_run_beside_it_and_why(changes, said):
    sentence = words.headline(advised(**changes))[1]
    assert said in sentence and "tells next to nothing" in sentence


def test_the_reason_is_one_sentence_with_the_chance_the_motor_beside_and_what_no_swap_has_told():
    assert words.why_words(hand.ADVICE) == (
        "Try rotor R8 in Whio: 41 in 100 that it beats Whio as it is, by +0.4 % if so; run Turnstone in the same "
        "session, before you open it: alone on another evening it tells next to nothing; what S1 and E2 are worth is "
        "known from what such a part causes, not from a swap."
    )
    assert "what S1 is worth" in words.why_words(replace(hand.ADVICE, unparted=["S1"]))
    assert "not from a swap" not in words.why_words(replace(hand.ADVICE, unparted=[]))


def test_the_most_even_build_may_be_a_motor_or_unknown():
    builds = [
        replace(build, even_place={1: 3, 3: 1}.get(build.even_place, build.even_place)) for build, _ in hand.BUILDS
    ]
    swaps = replace(hand.answer().swaps, builds=builds)
    assert words.even_words(hand.answer(swaps=swaps)) == "Most even is Whio as it is: 96 in 100."
    assert words.even_words(hand.answer(even_chance=0.04)) == (
        "Most even is not settled: the likeliest build has 4 in 100."
    )
    unknown = [replace(build, even_place=None) for build in builds]
    assert words.even_words(hand.answer(swaps=replace(swaps, builds=unknown), even_chance=None)) == ""


WREN, PLOVER = hand.BUILDS[1], hand.BUILDS[5]
MOTORS_AS_THEY_ARE = [hand.BUILDS[nth] for nth in (1, 3, 5)]


@pytest.mark.parametrize(
    ("parts", "builds", "said"),
    [
        ([], [], "No parts yet: "),
        (hand.ROTORS, [(replace(WREN[0], tested=False), "Whio")], "Nothing to say of parts yet"),
        (
            [*hand.OTHERS[:1], hand.ROTORS[1]],
            [WREN],
            "Only Whio: nothing to swap. It takes a second motor of the class",
        ),
        (hand.ROTORS, MOTORS_AS_THEY_ARE, "let no part go into another motor"),
        (
            hand.ROTORS,
            hand.BUILDS,
            "No swap is worth the evening: no test would gain anything to speak of. Best so far: Whio",
        ),
    ],
)
def test_why_there_is_no_swap_to_try(parts, builds, said):
    assert said in words.headline(hand.of(parts, builds))[0]


def test_which_parts_no_swap_has_told_of_and_which_single_swap_would():
    answer = hand.answer(advice=None)
    swap = Move("rotor", "R6", "Whio"), Move("rotor", "R3", "Plover")
    assert words.known_words(answer, "rotor", swap) == (
        "R6 never moved: what it is worth is known from what such a part causes, not from a swap. "
        "One swap would tell: rotor R6 of Whio for R3 of Plover."
    )
    assert words.known_words(answer, "rotor", ()).endswith("not from a swap.")
    own = Move("rotor", "Whio rotor", "Whio"), Move("rotor", "Plover rotor", "Plover")
    assert words.parting_words(own) == "One swap would tell: the Whio rotor for the Plover rotor."
    all_known = replace(answer.swaps, parts=[replace(part, separated=True) for part in answer.swaps.parts])
    assert words.known_words(replace(answer, swaps=all_known), "rotor", swap) == ""


def test_the_advised_swap_is_the_one_that_tells_where_it_parts_them():
    above = "The swap above would begin to tell."
    assert words.known_words(hand.answer(), "stator", ()).endswith(above)
    swap = Move("rotor", "R6", "Whio"), Move("rotor", "R8", "Turnstone")
    assert words.known_words(hand.answer(), "rotor", swap).endswith(above)


def test_where_nothing_was_ever_moved_it_is_said_of_all_parts_at_once():
    parts = [replace(part, moved=0, separated=False) for part in hand.answer().swaps.parts]
    answer = hand.answer(swaps=replace(hand.answer().swaps, parts=parts), advice=None)
    assert words.known_words(answer, "stator", ()).startswith("Nothing was ever moved: ")


def test_many_parts_of_one_kind_are_counted_not_named():
    parts = [hand.part("rotor", f"R{nth}", f"M{nth}") for nth in range(9)]
    parts.append(hand.part("rotor", "R9", None, 1, True))
    answer = hand.of(parts, hand.BUILDS)
    assert words.known_words(answer, "rotor", ()).startswith("R0, R1, R2, R3 and five more never moved: what they are")


def test_a_part_that_moved_with_its_neighbours_did_move():
    parts = [hand.part("rotor", "R1", "Whio", 1), hand.part("rotor", "R2", "Plover", 1, True)]
    assert words.known_words(hand.of(parts, hand.BUILDS), "rotor", ()).startswith(
        "No swap has told yet what R1 is worth: that is known from what such a part causes"
    )


def test_the_builds_there_is_no_room_for_are_counted():
    builds = [build for build, _ in hand.BUILDS]
    assert words.more_builds_words(builds[4:]) == "3 more builds, none above 3"
    assert words.more_builds_words(builds[5:]) == "2 more builds, each under 1"
    assert words.more_builds_words([]) == ""


def test_all_that_a_part_is_worth():
    assert words.worth_words(hand.ROTORS[1], hand.around(0.1, 0.8)) == (
        "Rotor R6, in Whio: power at load +0.1 ±0.8 %, KV +2 ±15 rpm/V, no-load current -0.02 ±0.06 A."
    )
    nothing = replace(hand.ROTORS[3], figures={"resistance_mohm": hand.around(0.0, 0.0)})
    assert words.worth_words(nothing, hand.around(0.1, 0.8)) == "Rotor R1, spare: power at load +0.1 ±0.8 %."
    assert words.worth_words(hand.ROTORS[3], None) == "Rotor R1, spare: no figure of it yet."


def test_a_build_of_own_parts_is_told_by_kinds():
    build = replace(hand.BUILDS[0][0], stator="Whio stator", rotor="R8", end_bell="Plover end bell")
    assert words.build_words(build) == "the Whio stator, rotor R8, the Plover end bell"


def test_parts_stand_in_the_order_of_their_worth_at_load():
    power = [hand.around(0.1, 1.0), None, hand.around(-0.1, 1.0), hand.around(0.3, 1.0)]
    answer = hand.of(hand.ROTORS, hand.BUILDS, power_pct=power)
    assert [part.part for part, _ in words.best_parts(answer, "rotor")] == ["R1", "R8", "R3", "R6"]
