"""Told to end, the process ends, also where the screen can no more be left in good order."""

import subprocess
import sys

STUCK = """
import asyncio, os, signal
import pitbench.app.signals as signals

class Stuck:
    def exit(self, return_code):
        print("drafts are kept here", flush=True)

async def main():
    signals.ENDS_WITHIN_S = 0.1
    signals.heed_signals(Stuck())
    os.kill(os.getpid(), signal.SIGHUP)
    await asyncio.sleep(60)

asyncio.run(main())
"""


def test_what_cannot_be_left_in_good_order_is_left_all_the_same():
    run = subprocess.run([sys.executable, "-c", STUCK], capture_output=True, text=True, timeout=30, check=False)
    assert (run.returncode, run.stdout) == (129, "drafts are kept here\n")
