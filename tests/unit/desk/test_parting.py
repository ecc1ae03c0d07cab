"""The single swap that parts most, on answers written by hand: which it is can be counted off."""

from dataclasses import replace

from pitbench.desk.answers import Move
from pitbench.desk.parts.parting import parting_swap
from tests.unit.words import parts_by_hand as hand

STANDING = {"S1 R1 E1": "Heron", "S2 R2 E2": "Plover", "S3 R3 E3": "Siskin"}
LOOSE = {"S1", "R1", "E1", "R2"}
"""Parts no build has parted yet: all three of Heron, one of Plover."""


def answer(names, tested=(), loose=LOOSE):
    """About the builds of these names, in the order given the best score first."""
    builds = [
        (hand.build(each, each in STANDING or each in tested, 0.1, 5.0 - nth, None), STANDING.get(each))
        for nth, each in enumerate(names)
    ]
    kinds = ("stator", "rotor", "end_bell")
    parts = [
        hand.part(kind, name, motor, 0, name not in loose)
        for standing, motor in STANDING.items()
        for kind, name in zip(kinds, standing.split(), strict=True)
    ]
    return hand.of(parts, builds)


ROTORS_CROSSED = [f"S{a} R{b} E{a}" for a in (1, 2, 3) for b in (1, 2, 3)]


def test_the_swap_that_parts_most_of_what_no_build_has_parted():
    assert parting_swap(answer(ROTORS_CROSSED), "rotor") == (
        Move("rotor", "R1", "Heron"),
        Move("rotor", "R2", "Plover"),
    )


def test_only_what_the_class_allows():
    """Without the builds that Heron's and Plover's rotors would make, Heron's goes to Siskin."""
    names = [each for each in ROTORS_CROSSED if each not in ("S1 R2 E1", "S2 R1 E2")]
    assert parting_swap(answer(names), "rotor") == (Move("rotor", "R1", "Heron"), Move("rotor", "R3", "Siskin"))
    assert parting_swap(answer(STANDING), "rotor") == ()
    assert parting_swap(answer(ROTORS_CROSSED), "stator") == ()


def test_a_motor_that_is_never_opened_stays_closed():
    assert parting_swap(answer(ROTORS_CROSSED), "rotor", {"Plover"})[1] == Move("rotor", "R3", "Siskin")


def test_not_what_was_tested_already():
    tested = ("S1 R2 E1", "S2 R1 E2")
    assert parting_swap(answer(ROTORS_CROSSED, tested), "rotor")[1] == Move("rotor", "R3", "Siskin")


def test_nothing_where_all_is_parted_or_nothing_stands():
    assert parting_swap(answer(ROTORS_CROSSED, loose=()), "rotor") == ()
    bare = hand.answer()
    assert parting_swap(replace(bare, in_motor=[None] * len(bare.in_motor)), "rotor") == ()
