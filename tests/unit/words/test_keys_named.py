"""No sentence spells a key: a key can be changed, and is asked of `records/keys` when the sentence is shown."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from pitbench.records.keys import DEFAULTS, change_keys, key_for, with_keys

PITBENCH = Path(__file__).parents[3] / "pitbench"
ROOMS = ("words", "desk", "app", "commands", "store", "sheets", "paper")
KEY = re.compile(
    r"(?<![\w'’.(-])(?:[1-7](?= (?:shows|goes|leads)\b)|[A-Zb-hj-z](?= (?:on|"
    r"takes|writes|puts|logs|reads|asks|shows|gives|goes|does|says|"
    r"changes|marks|mends|leaves|keeps|lists|types|sets|steps|adds|opens|edits|saves|explains|counts|brings)\b))"
    r"|(?:press|then) (?:[A-Zb-hj-z]|[=/+?-])(?![\w'’])"
    r"|\([a-zA-Z]\)(?!\w)"
    r"|^i (?=lists|explains|says|shows)|: i (?=lists|explains)"
    r"|\bF\d{1,2}\b|\bCtrl\+|\bTab\b|\bEsc\b|\bEnter\b"
)
ALWAYS = {
    # Enter ends what is typed into a field or a dialog, whatever else was changed
    "app/dialogs": {"Enter"},
    "app/forms": {"Enter"},
}
"""What may be spelt in a folder, as no changed key makes it false."""


def spelt(text: str) -> list[str]:
    return KEY.findall(text)


def sentences(module: Path) -> Iterator[tuple[int, str]]:
    """Every text of a module but those that explain its code: line and text. Parts of an f-string are put together,
    with a mark where something is put in."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    pieces = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield node.lineno, "".join(str(p.value) if isinstance(p, ast.Constant) else "…" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in pieces | told:
            yield node.lineno, node.value


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_spells_a_key(room):
    found = []
    for module in sorted((PITBENCH / room).rglob("*.py")):
        where = module.relative_to(PITBENCH).as_posix()
        fine = next((may for folder, may in ALWAYS.items() if where.startswith(folder)), set())
        found += [f"{where}:{at}: {text}" for at, text in sentences(module) if set(spelt(text)) - fine]
    assert found == []


@pytest.mark.parametrize(
    "sentence",
    [
        "No runs yet. b logs the first bench run.",
        "No track run yet: t writes one down.",
        "E writes one.",
        "e on Motors gives them one",
        "lies in the bin (z)",
        "z on Runs shows it",
        "3 things: i lists all",
        "F4 puts 3950.",
        "Ctrl+P, settings.",
        "Esc leaves",
        "m on a list writes a new one down",
        "Mark another and press = again.",
        "w gives weights",
        "Tab shows the card",
        "q asks",
        "u takes it back",
        "press E",
        "3 shows what is missing",
    ],
)
def test_the_search_finds_a_key_that_is_spelt(sentence):
    assert spelt(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "power at the shaft, W",
        "one of total, A, B and C misread",
        "12 V makes 3 A",
        "0.12 s a lap",
        "as i go on",
        "4 W at the shaft",
    ],
)
def test_it_leaves_units_and_words_alone(sentence):
    assert not spelt(sentence)


def test_changed_keys_are_named_and_the_others_stay():
    try:
        change_keys({"add-motor": "n", "save-record": "f12,ctrl+s", "unknown-action": "k"})
        assert [key_for(each) for each in ("add-motor", "save-record", "undo-change")] == ["n", "F12", "u"]
        assert with_keys("{add-motor} or {save-record}") == "n or F12"
    finally:
        change_keys({})
    assert with_keys("{add-motor} or {save-record}") == "m or F2"
    assert len(DEFAULTS) > 20
