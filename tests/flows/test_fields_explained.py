"""F8 tells more of a field than the one line that stands under it anyway."""

import pytest


@pytest.mark.parametrize(
    ("keys", "more"),
    [
        (("b", "f7"), "1000 to 12000 is usual, 100 to 100000 is taken"),
        (("t", "f7", *["enter"] * 5), "With its letter °F is read too"),
        (("m", *["enter"] * 9), "first letters will do"),
        (("c",), "completes itself"),
    ],
)
async def test_it_says_more_than_the_line_below(at_the_keys, two_motors, keys, more):
    async with at_the_keys(two_motors) as hands:
        await hands.press(*keys)
        below = hands.app.screen.query_one("#more").text
        assert more not in " ".join(below.split())
        await hands.press("f8")
        assert more in hands.text
