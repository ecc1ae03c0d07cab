"""Every key that the guide names does what it is said to do there: each part of the guide walked on the demo weekend.

A step is keys, with typed text in quotes, and what then stands on the screen; no words: only that the key is pressed.
A new sentence with a key gets a step here.
"""

import re
import shutil
from pathlib import Path

import pytest

from pitbench.demo import demo_logbook
from tests.unit.desk.test_link import season_file

GUIDE = (Path(__file__).parents[2] / "docs" / "guide.md").read_text(encoding="utf-8")
NAMED = re.compile(r"`([A-Za-z0-9+=/?-])`|\b(F\d|Ctrl\+[A-Z]|Enter|Esc|Tab|End|arrows)\b")
WORDS = re.compile(r'"[^"]*"|\S+')
KEYS = {"Ctrl+P": "ctrl+p", "Enter": "enter", "Esc": "escape", "Tab": "tab", "End": "end", "?": "question_mark"}
KEYS |= {"+": "plus", "=": "equals_sign", "-": "minus", "/": "slash", "arrows": "down"}
KEYS |= {f"F{nth}": f"f{nth}" for nth in range(1, 13)}
WALKS = {
    "The first evening": [
        ('m "Ruff"', "New motor"),
        ("f2", "Saved 14:02: motor Ruff"),
        ("u", "Taken back"),
        ('m "Ruff" f3', "New motor"),
        ("escape", "Motors"),
        ("b", "New bench run"),
        ("f6", "onditions"),
        ("escape", "New bench run"),
        ('f5 "3950 4.01" enter', "3950"),
        ("escape b", "half-filled"),
        ("enter end", "3950"),
        ("f9", "h"),
        ("h", "is asked for no more"),
        ("f9 s", "again"),
        ("f9 m down enter", ""),
        ("f2", "Saved 14:02: bench run"),
        ("enter", "second run on the bench today"),
        ("escape a", "New bench run"),
    ],
    "The motors": [("2 1", "▸1 Motors"), ("enter", "bench session")],
    "When a number looks wrong": [
        ("2 x", "Leave this run out of every figure. Why?"),
        ('"clamp loose" enter', "left out"),
        ("x", "Saved"),
        ("d", "to the bin"),
        ("z", "The bin: 1 record"),
        ("enter", "The bin is empty"),
    ],
    "The ranking": [
        ("3", "Best for the main"),
        ("v", "Up and left is better"),
        ("v", "chance of"),
        ("tab tab", "CARD FOR THE MAIN"),
        ("tab", "figures tell about the track"),
        ("tab", "▸3 Rankings"),
        ("i", "shaft power"),
        ("escape w", "Weights"),
        ("escape g", "What stops you gearing higher?"),
        ("escape R", "winding"),
        ('escape ctrl+p "class" enter', "lass"),
    ],
    "Side by side": [
        ("equals_sign minus", "let go"),
        ("equals_sign down equals_sign", " beside "),
        ("v", "as read"),
        ("equals_sign 1", "better than"),
        ("minus 1", " beside "),
        ("enter", "Whose runs?"),
    ],
    "Which bench figure tells about the track": [
        ("3 T", "figures tell about the track"),
        ("3 tab tab tab", "figures tell about the track"),
        ("w", "Weights"),
    ],
    "Is the tester itself all right?": [
        ("2 tab", "session"),
        ("tab", "TONIGHT"),
        ("b", "New bench run"),
    ],
    "A race day": [
        ("E", "Saltmouth"),
        ("escape 4", "Last time at Saltmouth"),
        ("tab", "On grey car now"),
        ("tab", "The season"),
        ("4 t", "New track run"),
        ("f6", "car"),
        ("escape f9", "h"),
        ('escape enter enter "22" enter enter enter enter enter enter enter enter s f2', "what came of it?"),
        ("minus", "worse."),
        ('c "wing" f2', "Saved 14:02"),
        ('t enter enter "22" f2', "wing: what came of it?"),
        ("plus", "better"),
        ('c "springs" f2', "Saved 14:02"),
        ('t enter enter "22" f2', "springs: what came of it?"),
        ("equals_sign", "no difference"),
        ("5", "comes in at"),
        ("p", "33"),
        ("P l o k", "PLAN"),
        ("6", "rollout"),
        ("f", "rollout"),
        ("escape 3 tab", "CARD FOR THE MAIN"),
        ("r", "reading"),
        ("escape", "CARD FOR THE MAIN"),
        ("c", "New setup entry"),
    ],
    "A track run in seconds": [
        ("t", "just finished"),
        ("enter p enter up", "practice"),
        ("q enter up", "qualifier"),
        ('m enter "22/5:03.4" enter', "22/5:03.4"),
        ("f9 h", "no more"),
        ("f9 s", "every field of a track run is asked for"),
        ("f6", "car"),
        ("escape escape t", "half-filled"),
        ("enter f2", "what came of it?"),
    ],
    "What the forecast says, and what it does not": [
        ("5", "nine in ten"),
        ("tab", "planned run, °C"),
        ('ctrl+p "units" enter', "limit"),
    ],
    "Readings, and why one minute": [("5 r", "to read a temperature"), ('ctrl+p "units" enter', "limit")],
    "Numbers that wait": [
        ('a "39820"', "F4 puts"),
        ("f4", "put in place of 39820"),
        ("f2", "Saved 14:02: bench run"),
        ('enter "39820" tab f2', "1 number waits for your answer"),
        ("escape 2 q", "F4 puts"),
        ("f4 enter", "▸2 Runs"),
    ],
    "Work on a motor": [("c", "New setup entry")],
    "Is it getting slower?": [("enter tab", "getting slower?")],
    "Swapping parts": [("7", "▸7 Parts")],
    "Testing it so that it tells": [("7 c", "Swap of parts"), ("escape 7", "▸7 Parts")],
    "Your file": [('m "Ruff" f2 u', "Taken back")],
    "Setup log, gearing and the card": [
        ("4", "Last time at Saltmouth"),
        ("h", "here only"),
        ("slash", "/"),
        ('"spring" enter', "rear spring"),
        ("escape h e", "Edit setup entry"),
        ("escape c", "New setup entry"),
        ('f4 enter "x"', ""),
        ("escape y", "Setup log"),
        ("tab", "On grey car now"),
        ("tab", "The season"),
        ("6", "▸6 Gearing"),
        ("p s y P S Y", "rollout"),
        ("f", "rollout"),
        ("escape enter", ""),
        ("tab", "teeth"),
        ("plus", "gear"),
        ("escape 3 tab", "CARD FOR THE MAIN"),
        ("p s k n N", "CARD FOR THE MAIN"),
        ('ctrl+p "units and settings" enter', "due after"),
    ],
    "Timing": [
        ("b f6", "Conditions of this bench run"),
        ("f2", "New bench run"),
        ("escape enter tab tab", "timing sweep"),
    ],
    "A motor over its whole speed": [
        ("enter shift+tab", "by back-EMF"),
        ("equals_sign", "Rankings say"),
        ("v", "power at the shaft, W"),
        ("tab", "bench session"),
    ],
    "What the motor gave under load": [
        ("2 j", "the log it has"),
        ("f", "Where is the log"),
        ("escape j enter", "Whio under load, main A1"),
        ("v", "temperature"),
        ("i", "Read from LOG_0041.csv"),
        ("i equals_sign enter", "beside Lapwing under load"),
        ("minus", "KV at work against the bench"),
        ("d", "load log of Whio to the bin"),
        ("u", "Taken back"),
        ("1 enter tab tab tab", "load log of Dunlin"),
    ],
    "On paper": [("3 tab W", "The race day of Saltmouth 2026-05-16, on paper"), ("escape 4 W", "on paper, into:")],
    "What stands there": [("7", "▸7 Parts"), ("tab", "▸7 Parts"), ("enter", "Esc back"), ("escape i", "swap")],
    "Making a swap": [("enter c r r 2", "otor"), ("f2", "Saved 14:02"), ("escape u", "Taken back")],
    "Keys and looks": [("question_mark", "All keys"), ('escape ctrl+p "theme"', "16 colours")],
}  # fmt: skip

ON_A_SEASON = {
    "Which bench figure tells about the track": [
        ("3 T", "told it"),
        ("v", "below 0 is faster"),
        ("v", "Finish temperature:"),
        (f"w{' down' * 15}", "F4 puts"),
        ("f4 f2", "Saved"),
    ],
}
"""What needs more race days than the demo has."""


def steps_of(head):
    return [*WALKS.get(head, ()), *ON_A_SEASON.get(head, ())]


def parts():
    """Keys that each part of the guide names, in order."""
    text = re.sub(r"```.*?```", "", GUIDE, flags=re.DOTALL)
    for part in re.split(r"^#+ ", text, flags=re.MULTILINE)[1:]:
        head, _, body = part.partition("\n")
        yield head, list(dict.fromkeys(one or other for one, other in NAMED.findall(body)))


def keys_in(steps):
    """Keys of steps as they are pressed, and texts."""
    for said, _ in steps:
        yield from WORDS.findall(said)


@pytest.mark.parametrize(("head", "keys"), [(head, keys) for head, keys in parts() if keys])
def test_every_key_of_the_guide_is_walked(head, keys):
    walked = set(keys_in(steps_of(head)))
    assert {key for key in keys if KEYS.get(key, key) not in walked} == set()


def test_every_walk_is_of_a_part_of_the_guide():
    assert {*WALKS, *ON_A_SEASON} <= {head for head, _ in parts()}


async def walk(hands, steps):
    for keys, words in steps:
        for word in WORDS.findall(keys):
            await (hands.type(word.strip('"')) if word.startswith('"') else hands.pilot.press(word))
        await hands.settle()
        if words:
            await hands.until(lambda words=words: words.casefold() in hands.text.casefold())


@pytest.mark.parametrize("head", WALKS)
async def test_the_keys_do_what_the_guide_says(at_the_keys, tmp_path, head):
    async with at_the_keys(Path(shutil.copy(demo_logbook(), tmp_path / "weekend.json"))) as hands:
        await walk(hands, WALKS[head])


@pytest.mark.parametrize("head", ON_A_SEASON)
async def test_on_a_season_too(at_the_keys, tmp_path, head):
    async with at_the_keys(season_file(tmp_path / "logbook.json")) as hands:
        await walk(hands, ON_A_SEASON[head])
