"""A class sheet written by keys alone: found by name, chosen among several, and its limits hold on other screens."""

from pitbench.app.forms.class_form import ClassForm


async def test_a_class_sheet_is_changed_and_the_gearing_screen_knows_its_limit(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.command("class", "class sheet")
        assert "1 club 13.5T" in hands.text
        await hands.press("enter")
        assert isinstance(hands.app.screen, ClassForm)
        assert "Edit class sheet" in hands.text
        await hands.enter("", "", "", "11.4", "45", "48.5")
        await hands.press("f2")
        assert hands.book.rows("class_sheet")[0]["max_rollout_mm"] == 48.5
        assert "Saved 14:02: edited class club 13.5T" in hands.text
        await hands.press("6")
        assert "48.5" in hands.text


async def test_a_new_class_among_others(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.command("class", "class sheet")
        await hands.press("n")
        await hands.enter("Club 13.5t")
        await hands.press("f2")
        assert "There is a class club 13.5T already" in hands.text
        await hands.type("club 21.5T")
        await hands.press("f2")
        assert sorted(row["name"] for row in hands.book.rows("class_sheet")) == ["club 13.5T", "club 21.5T"]


async def test_keys_typed_faster_than_the_form_opens(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.command("class", "class sheet")
        await hands.pilot.press(*"17", "enter", "1", "7", "full_stop", "5", "enter", "2", "enter", "f2")
        await hands.settle()
        (sheet,) = hands.book.rows("class_sheet")
        assert (sheet["name"], sheet["turns"], sheet["cells"]) == ("17", 17.5, 2)
