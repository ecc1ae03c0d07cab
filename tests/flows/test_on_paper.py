"""The race day on paper by keys: from the card and the setup log into a file, and over no file without a word."""

import pytest
from textual.command import SearchIcon
from textual.widgets import Input

from pitbench.__main__ import main
from pitbench.bootstrap import open_for_writing
from pitbench.demo import demo_logbook
from pitbench.records.models import Event


@pytest.fixture
def weekend(tmp_path):
    path = tmp_path / "weekend.json"
    path.write_bytes(demo_logbook().read_bytes())
    return path


@pytest.fixture
def race_day(two_motors):
    """An event called as no file may be."""
    with open_for_writing(two_motors) as book:
        book.save("an event", [Event(name="Salt/: mouth", date="2026-05-16")])
    return two_motors


async def test_the_card_is_printed_as_the_command_does(at_the_keys, weekend, tmp_path):
    mine, by_command = tmp_path / "mine.md", tmp_path / "command.md"
    async with at_the_keys(weekend) as hands:
        await hands.press("3", "tab", "W")
        assert "The race day of Saltmouth 2026-05-16, on paper, into:" in hands.text
        await hands.enter(str(mine))
        await hands.until(lambda: mine.exists())
        await hands.settle()
        assert "mine.md holds the race day of Saltmouth 2026-05-16" in hands.text
    assert main(["report", "Saltmouth", "-o", str(by_command), "--logbook", str(weekend)]) == 0
    assert mine.read_bytes() == by_command.read_bytes()


async def test_what_the_keys_planned_is_on_the_paper(at_the_keys, weekend, tmp_path):
    path = tmp_path / "mine.md"
    async with at_the_keys(weekend) as hands:
        await hands.press("3", "tab", "P", "W")
        await hands.enter(str(path))
        await hands.until(lambda: path.exists())
    assert "- gears: 31/72," in path.read_text(encoding="utf-8")


async def test_another_file_stays_however_many_enters_come(at_the_keys, weekend, tmp_path):
    path = tmp_path / "notes.md"
    path.write_text("softer spring", encoding="utf-8")
    async with at_the_keys(weekend) as hands:
        await hands.press("4", "W")
        await hands.type(str(path))
        await hands.press("enter", "enter", "enter")
        assert "notes.md is there already, and not as pitbench wrote it" in hands.text
        assert path.read_text(encoding="utf-8") == "softer spring"
        await hands.press("escape")
        assert "▸4 Setup log" in hands.rows[0]


async def test_the_file_offered_is_called_after_the_event_and_lies_among_the_documents(
    at_the_keys, race_day, tmp_path, monkeypatch
):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path / "Documents"))
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "W")
        assert hands.app.screen.query_one(Input).value == str(tmp_path / "Salt- mouth 2026-05-16.html")
        await hands.press("escape")
        (tmp_path / "Documents").mkdir()
        await hands.press("W")
        assert hands.app.screen.query_one(Input).value == str(tmp_path / "Documents" / "Salt- mouth 2026-05-16.html")


@pytest.mark.parametrize(
    ("name", "said"), [("day.txt", "ends neither in .html nor in .md"), ("weekend.json", "ends neither")]
)
async def test_a_name_that_cannot_be_is_said_and_can_be_mended(at_the_keys, weekend, tmp_path, name, said):
    async with at_the_keys(weekend) as hands:
        await hands.press("4", "W")
        await hands.enter(str(tmp_path / name))
        assert said in hands.text
        await hands.press("escape", "W")
        await hands.enter(str(tmp_path / "none" / "day.md"))
        await hands.until(lambda: "There is no folder" in hands.text)
    assert not [each for each in tmp_path.iterdir() if each.suffix in (".md", ".txt")]


async def test_the_palette_finds_it_by_print_and_has_a_mark_of_its_own(at_the_keys, weekend):
    async with at_the_keys(weekend) as hands:
        await hands.press("ctrl+p")
        assert hands.app.screen.query_one(SearchIcon).icon == "/"
        await hands.press("ctrl+p")  # one is enough
        await hands.press("escape")
        await hands.command("print", "print the day")
        assert "The race day of Saltmouth 2026-05-16, on paper, into:" in hands.text


async def test_without_an_event_there_is_nothing_to_print(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("4", "W")
        assert "No event is written down yet" in hands.text
