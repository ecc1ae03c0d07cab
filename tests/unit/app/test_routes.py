"""Screens open one another by name: every name leads somewhere, and is called with what the screen takes."""

import ast
import inspect
from pathlib import Path

import pytest
from textual.screen import Screen

from pitbench import app
from pitbench.app.actions import ACTIONS, SCREENS
from pitbench.app.lists import shared_keys
from pitbench.app.routes import MAIN, ROUTES, screen_class

OF_ROUTES = {"open": ROUTES, "open_form": ROUTES, "go_to": MAIN}


def calls():
    """Every call of a way, as (where, name of the route or None, the call)."""
    for path in sorted(Path(app.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in OF_ROUTES:
                way = node.func
                if isinstance(way.value, ast.Attribute) and way.value.attr == "routes":
                    yield f"{path.stem}:{node.lineno}", way.attr, node


@pytest.mark.parametrize("name", ROUTES)
def test_every_name_leads_to_a_screen(name):
    assert issubclass(screen_class(name), Screen)


def test_the_main_screens_need_nothing_to_open():
    for name in MAIN:
        inspect.signature(screen_class(name)).bind()
    assert {name for name, _, _ in SCREENS} <= MAIN.keys()


def test_every_way_names_a_screen_and_gives_it_what_it_takes():
    named = [(where, way, call) for where, way, call in calls() if isinstance(call.args[0], ast.Constant)]
    assert len(named) > 20
    for where, way, call in named:
        name, *of = (getattr(each, "value", None) for each in call.args)
        assert name in OF_ROUTES[way], where
        inspect.signature(screen_class(name)).bind(*of, **{k.arg: None for k in call.keywords if k.arg != "then"})


def test_what_every_list_screen_shares_is_there():
    for action in ACTIONS:
        if action.method == "share":
            assert callable(getattr(shared_keys, str(action.of[0]))), action.id
