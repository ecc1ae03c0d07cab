"""Make the pictures of the docs from the app itself: `python docs/make_pictures.py` drives it by keys on the demo
weekend at 80 columns by 24 rows and writes what stands on the screen to docs/pictures/*.svg.
"""

import asyncio
import re
from datetime import datetime
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from pitbench.app.app import PitbenchApp
from pitbench.bootstrap import open_for_app
from pitbench.demo import demo_logbook

FONT = "font-family: DejaVu Sans Mono, monospace;\n        font-size: 20.266px;"
"""A letter is 0.602 of its size wide there, a cell 12.2."""
PICTURES = Path(__file__).parent / "pictures"
NOW = datetime(2026, 5, 16, 20, 30)
NAMES = {".": "full_stop", " ": "enter"}


def typed(figures: str) -> tuple[str, ...]:
    """The keys of these figures, Enter after each but the last."""
    return tuple(NAMES.get(character, character) for character in figures)


SHOTS = {
    "motors": (),
    "motor-page": ("enter",),
    "side-by-side": ("equals_sign", "down", "equals_sign"),
    "sweep": ("slash", *"redshank", "enter", "enter", "tab"),
    "runs": ("2",),
    "rankings": ("3",),
    "bench-form": ("b", *typed("3946 3.88 26 41.9 42.0 41.8 24.1 2")),
    "track-form": ("2", "t"),
    "setup-log": ("4",),
    "gearing": ("6",),
    "load-log": ("2", "j", "enter"),
    "parts": ("7",),
}
AFTER_THE_MAIN, BEFORE_THE_NEXT = datetime(2026, 5, 16, 17, 41), datetime(2026, 5, 17, 10, 50)
AT_OTHER_TIMES = {"temperature": (AFTER_THE_MAIN, ("5",)), "main-card": (BEFORE_THE_NEXT, ("3", "tab"))}


def drawn_alike(svg: str) -> str:
    """A picture that browsers and other programs draw alike: it fetches no font, blanks keep their width (`xml:space`),
    and letters are as wide as a cell also where lengths of text are not heeded. Without the buttons of a window."""
    svg = re.sub(r"@font-face\s*{[^}]*}|<!--.*?-->|<circle[^>]*/>", "", svg, flags=re.DOTALL)
    svg = svg.replace("<svg ", '<svg xml:space="preserve" ', 1)
    return svg.replace("font-family: Fira Code, monospace;\n        font-size: 20px;", FONT)


async def picture(name: str, keys: tuple[str, ...], copy: Path, now: datetime) -> None:
    """One screen, once all its workers have answered."""
    app = PitbenchApp(
        open_logbook=partial(open_for_app, copy), path="weekend.json", hands={"theme": "dark"}, clock=lambda: now
    )
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(app, pilot)
        for key in keys:
            await pilot.press(key)
            await settled(app, pilot)
        (PICTURES / f"{name}.svg").write_text(drawn_alike(app.export_screenshot()), encoding="utf-8")


async def settled(app, pilot) -> None:
    await pilot.pause()
    await app.workers.wait_for_complete()
    await pilot.pause()


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    shots = {name: (NOW, keys) for name, keys in SHOTS.items()} | AT_OTHER_TIMES
    for name, (now, keys) in shots.items():
        with TemporaryDirectory() as folder:
            copy = Path(folder) / "weekend.json"
            copy.write_bytes(demo_logbook().read_bytes())
            asyncio.run(picture(name, keys, copy, now))


if __name__ == "__main__":
    main()
