"""Nothing is fetched and nothing sent: every command and the app, watched by the interpreter's own audit events."""

import json
import subprocess
import sys
from pathlib import Path

WATCHED = """
import asyncio, json, socket, sys
from contextlib import redirect_stdout, suppress
from functools import partial
from io import StringIO
from pathlib import Path

ASKED_FOR = ("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg", "socket.getaddrinfo",
             "socket.gethostby", "urllib.", "http.", "ftplib.", "smtplib.", "subprocess.", "os.system", "os.exec",
             "os.posix_spawn", "os.fork", "webbrowser.")
seen = []

def watch(event, args):
    if event.startswith(ASKED_FOR):
        seen.append(event)
        raise PermissionError(event)

sys.addaudithook(watch)
from pitbench.__main__ import main

book, other, sheets = sys.argv[1:4]
statuses = {}

def run(*words):
    with redirect_stdout(StringIO()):
        statuses[" ".join(words)] = main([*words, "--logbook", book])

for words in (["load", *sys.argv[4:]], ["load", "--check", *sys.argv[4:]], ["rank"], ["rank", "--json"], ["check"],
              ["forecast", "--motor", "Whio"], ["merge", other], ["export", sheets], ["restore"]):
    run(*words)

from pitbench.app.app import PitbenchApp
from pitbench.bootstrap import open_for_app

async def at_the_keys():
    app = PitbenchApp(open_logbook=partial(open_for_app, Path(book)), path=book)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        for key in ("2", "d", "u", "3", "4", "5", "6", "1", "enter", "escape", "ctrl+p", "escape"):
            await pilot.press(key)
            await app.workers.wait_for_complete()

asyncio.run(at_the_keys())
run("restore", "newest")
told = list(seen)
with suppress(PermissionError):
    socket.create_connection(("127.0.0.1", 9))
print(json.dumps({"statuses": statuses, "told": told, "noticed": seen[len(told):]}))
"""


def test_nothing_is_fetched_or_sent(tmp_path):
    demo = Path(__file__).parents[2] / "demo_data"
    other = tmp_path / "other.json"
    other.write_bytes((demo / "weekend.json").read_bytes())
    words = [tmp_path / "logbook.json", other, tmp_path / "sheets", *sorted(demo.glob("*.csv"))]
    ran = subprocess.run([sys.executable, "-c", WATCHED, *map(str, words)], capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert not {words: status for words, status in found["statuses"].items() if status}
    assert found["told"] == []
    assert found["noticed"], "the watch itself works"
