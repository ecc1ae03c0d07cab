"""What a base screen leaves to its subclasses, every screen that is shown answers: none can run into a blank."""

import importlib
import pkgutil

import pytest

from pitbench.app import dialogs, forms, lists, pages
from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.lists.list_screen import ListScreen


def below(base):
    for each in base.__subclasses__():
        yield each
        yield from below(each)


for room in (dialogs, forms, lists, pages):
    for module in pkgutil.iter_modules(room.__path__):
        importlib.import_module(f"{room.__name__}.{module.name}")
EVERY = {each for base in (ListScreen, FormScreen) for each in below(base)}
SHOWN = sorted((each for each in EVERY if not each.__subclasses__()), key=lambda each: each.__name__)


def unanswered(screen):
    """Names of methods that are still the blank of a base."""
    found = {name: getattr(screen, name) for name in dir(screen) if callable(getattr(screen, name, None))}
    code = {name: getattr(method, "__code__", None) for name, method in found.items()}
    return {name for name, each in code.items() if each and "NotImplementedError" in each.co_names}


def test_the_blanks_are_seen():
    assert unanswered(ListScreen) == {"ask"} and unanswered(FormScreen) == {"begin", "store"}
    assert len(SHOWN) > 20


@pytest.mark.parametrize("screen", SHOWN, ids=lambda screen: screen.__name__)
def test_every_screen_answers_what_its_base_leaves_open(screen):
    saves = getattr(screen, "action_save_record", None)
    hands_back = saves is not None and "save" not in saves.__code__.co_names  # to another form, and stores nothing
    assert unanswered(screen) <= ({"store"} if hands_back else set())


@pytest.mark.parametrize(
    "dialog", sorted(below(Dialog), key=lambda each: each.__name__), ids=lambda each: each.__name__
)
def test_every_dialog_says_what_its_box_holds(dialog):
    assert unanswered(dialog) <= ({"rows"} if dialog.contents is not Dialog.contents else set())
