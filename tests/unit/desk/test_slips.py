"""Every slip of the hand is found again among what may have been meant."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.slips import EXTRA, FACTOR_TEN, MISSING, PARTED, SIGN_LOST, SWAPPED, WRONG, slips_of
from pitbench.desk.entry.typed_texts import typed_text

NUMBERS = st.integers(10, 99999).map(str) | st.decimals(1, 999, places=2, allow_nan=False).map(str)


def meant(text: str, cause: str) -> set[str]:
    return {slip.meant for slip in slips_of(text, 2) if slip.cause == cause}


@given(NUMBERS, st.data())
def test_a_slip_is_found_again(text, data):
    digits = [i for i, each in enumerate(text) if each.isdigit()]
    at = data.draw(st.sampled_from(digits))
    other = data.draw(st.sampled_from([each for each in "0123456789" if each != text[at]]))
    assert text in meant(text[:at] + other + text[at + 1 :], WRONG)
    assert text in meant(text[:at] + other + text[at:], EXTRA) | meant(text[:at] + text[at] + text[at:], EXTRA)
    if at and text[:at] + text[at + 1 :]:
        assert text in meant(text[:at] + text[at + 1 :], MISSING)
    if at != digits[-1]:
        after = digits[digits.index(at) + 1]
        swapped = text[:at] + text[after] + text[at + 1 : after] + text[at] + text[after + 1 :]
        assert swapped == text or text in meant(swapped, SWAPPED)


@pytest.mark.parametrize(
    ("typed", "right", "cause"),
    [("410", "4.10", SIGN_LOST), ("41.0", "4.10", FACTOR_TEN), ("0.41", "04.1", FACTOR_TEN), ("2", "20", FACTOR_TEN)],
)
def test_a_sign_that_is_lost_or_stands_wrong(typed, right, cause):
    assert right in meant(typed, cause)


@given(st.integers(1, 99), st.integers(0, 999))
def test_thousands_that_are_parted_are_a_slip_of_whole_numbers_only(thousands, rest):
    typed = f"{thousands}.{rest:03}"
    assert [slip.meant for slip in slips_of(typed, 0) if slip.cause == PARTED] == [f"{thousands}{rest:03}"]
    assert not [slip for slip in (*slips_of(typed, 3), *slips_of(f"{thousands}.{rest:03}0", 0)) if slip.cause == PARTED]


@given(st.text("0123456789", min_size=1, max_size=6))
def test_chances_are_shares_of_what_one_slip_can_do(text):
    for slip in slips_of(text, 0):
        assert (0 < slip.chance <= 1 and slip.meant != text.lstrip("0")) or slip.meant == text or text[0] == "0"
    wrong = {}
    for slip in slips_of(text, 0):
        if slip.cause == WRONG:
            wrong[slip.meant] = wrong.get(slip.meant, 0.0) + slip.chance
    assert all(each <= 1 for each in wrong.values())


@given(st.text(max_size=20))
def test_any_text_is_taken(text):
    assert all(slip.chance > 0 for slip in slips_of(text, 1))
    typed_text("ambient_c", text, "°F")


def test_slips_are_made_in_the_unit_that_is_typed():
    assert typed_text("ambient_c", "68", "°F").stored(86.0) == pytest.approx(30.0)
    assert typed_text("tyre_diameter_mm", '2.46"', "mm").stored(2.46) == pytest.approx(62.484)
    assert (
        typed_text("no_load_current_a", "4,10", "A") == Typed("4.10")
        and typed_text("kv_rpm_per_v", "3 981", "") is None
    )
