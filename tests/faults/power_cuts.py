"""Power cuts on a real ext4: what was not synced is lost with the file system's own journal. Needs Linux and root.

The file system is shut down without flushing its journal (the request the kernel's own file system tests use, from
memory: EXT4_IOC_SHUTDOWN, EXT4_GOING_FLAGS_NOLOGFLUSH), mounted again, which replays the journal, and looked at.
"""

import fcntl
import os
import random
import struct
import subprocess
import tempfile
import time
from pathlib import Path

from tests.faults.full_disk import mounted
from tests.faults.plug import Row, Writer, begun, said

SHUTDOWN, NO_FLUSH = 0x8004587D, 2
MEGABYTES = 128


def power_cuts(count: int) -> Row:
    """Cut the power `count` times, each at a random moment after the first save."""
    row = Row("power cut at a random moment (ext4)")
    with tempfile.TemporaryDirectory() as folder:
        image, moments, number = Path(folder) / "disk", random.Random(7), 0
        try:
            with image.open("wb") as file:
                file.truncate(MEGABYTES << 20)
            subprocess.run(["mkfs.ext4", "-q", "-F", image], check=True, capture_output=True)
            with mounted("-o", "loop", str(image)) as disk:
                number = begun(disk / "logbook.json", 210)
                os.sync()
            for seed in range(count):
                with mounted("-o", "loop", str(image)) as disk:
                    acknowledged = _cut(disk, seed, moments.uniform(0, 0.3))
                with mounted("-o", "loop", str(image)) as disk:
                    number = row.judge(disk / "logbook.json", number, acknowledged)
        except (subprocess.CalledProcessError, FileNotFoundError, PermissionError) as error:
            row.skipped = f"no power cuts here ({error})"
    return row


def _cut(disk: Path, seed: int, after_s: float) -> int | None:
    writer = Writer(disk / "logbook.json", seed)
    lines = [writer.line()]
    time.sleep(after_s)
    handle = os.open(disk, os.O_RDONLY)
    fcntl.ioctl(handle, SHUTDOWN, struct.pack("I", NO_FLUSH))
    os.close(handle)
    return said(lines + writer.kill())
