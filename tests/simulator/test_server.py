"""Taking an address, and what is said when that does not work."""

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path
from urllib.request import urlopen

import pytest

from simulator.__main__ import main
from simulator.server import PortError, listen, web_address

ROOT = Path(__file__).parents[2]


def test_a_free_port_is_named_in_the_address() -> None:
    with listen("127.0.0.1", 0) as taken:
        assert web_address(taken) == f"http://127.0.0.1:{taken.getsockname()[1]}/"


def test_an_address_of_the_newer_kind_stands_in_brackets() -> None:
    try:
        taken = listen("::1", 0)
    except PortError:
        pytest.skip("this machine has no IPv6")
    with taken:
        assert web_address(taken).startswith("http://[::1]:")


def test_a_port_in_use_is_told_with_another_to_try(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["--port", str(port)]) == 2
    assert f"port {port} is in use" in capsys.readouterr().err


def test_an_address_of_another_machine_is_refused() -> None:
    # From the range kept for documentation, RFC 5737: no machine has it.
    with pytest.raises(PortError, match="192.0.2.1"):
        listen("192.0.2.1", 0)


@pytest.mark.parametrize("port", ["-1", "65536", "eighty", "8025.5"])
def test_what_is_no_port_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(["--port", port])
    assert "whole number from 0 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize("goodbye", [signal.SIGINT, signal.SIGTERM])
def test_it_tells_the_address_serves_there_and_ends_when_told(
    goodbye: signal.Signals, tmp_path: Path
) -> None:
    served = subprocess.Popen(
        [sys.executable, "-m", "simulator", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "TMPDIR": str(tmp_path)},
        text=True,
    )
    assert served.stdout
    try:
        told = [served.stdout.readline() for _ in range(4)]
        assert told[0].startswith("Open http://127.0.0.1:")
        assert "JOIN" in told[1]
        with urlopen(told[0].split()[1], timeout=30) as page:
            assert b"Warmheap" in page.read()
        served.send_signal(goodbye)
        _, errors = served.communicate(timeout=30)
    finally:
        served.kill()
        served.communicate()
    assert errors == ""
    assert served.returncode == 0
    assert list(tmp_path.iterdir()) == [], "the temporary database is gone"
