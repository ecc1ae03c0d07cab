"""What is no sheet at all: one clear sentence each."""

import codecs
import os
import socket
from pathlib import Path

import pytest

from pitbench.records.refusal import Refusal
from pitbench.sheets.files import read_text

TEXT = "motor,note\nHeron,größer\n"


def refusal(path: Path) -> str:
    with pytest.raises(Refusal) as refused:
        read_text(path)
    assert refused.value.status == 2
    sentence = str(refused.value)
    assert str(path) in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")
    return sentence


def written(folder: Path, raw: bytes) -> Path:
    path = folder / "motors.csv"
    path.write_bytes(raw)
    return path


@pytest.mark.parametrize("raw", [TEXT.encode(), codecs.BOM_UTF8 + TEXT.encode()])
def test_utf8_with_or_without_a_mark(tmp_path, raw):
    assert read_text(written(tmp_path, raw)) == TEXT


@pytest.mark.parametrize(
    "raw",
    [TEXT.encode("utf-16"), codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), "motor,note\n".encode("utf-16-le")],
)
def test_utf16(tmp_path, raw):
    assert "is UTF-16" in refusal(written(tmp_path, raw))


def test_binary(tmp_path):
    assert "binary" in refusal(written(tmp_path, b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256))))


def test_another_code_page_names_the_line(tmp_path):
    assert "not UTF-8 (line 2)" in refusal(written(tmp_path, TEXT.encode("latin-1")))


@pytest.mark.parametrize("raw", [b"", b" \r\n\n", codecs.BOM_UTF8])
def test_empty(tmp_path, raw):
    assert "is empty" in refusal(written(tmp_path, raw))


def test_a_folder_and_a_missing_file(tmp_path):
    assert "is a folder" in refusal(tmp_path)
    assert "does not exist" in refusal(tmp_path / "none.csv")
    assert "cannot be read" in refusal(written(tmp_path, b"x") / "under-a-file.csv")


def test_no_permission(tmp_path, monkeypatch):
    path = written(tmp_path, TEXT.encode())

    def refuse(self):
        raise PermissionError(13, os.strerror(13))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert "permission" in refusal(path)


def test_a_pipe_a_device_and_a_socket_are_refused_at_once(tmp_path):
    """Nobody writes to the pipe, so whoever opened it would wait for ever; the device never ends."""
    os.mkfifo(tmp_path / "pipe.csv")
    assert "is a pipe, a socket or a device, a sheet is a CSV file" in refusal(tmp_path / "pipe.csv")
    assert "save it as a file first" in refusal(Path("/dev/zero"))
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "s.csv"))
        assert "is a pipe, a socket" in refusal(tmp_path / "s.csv")
