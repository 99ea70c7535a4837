"""Serves the page on this machine."""

from __future__ import annotations

import errno
import logging
import socket

from flask import Flask
from waitress import create_server
from waitress.server import BaseWSGIServer, MultiSocketServer

WHAT_TO_TRY = """Open {address}
First write JOIN and press Send; the bot asks what it needs to know. Then try PLAN, or
"how much manure for a pile 2x2x2". "+1 week" lets time pass and brings the reminders.
Ctrl-C ends. {keeping}"""


class PortError(Exception):
    """The address cannot be served; the text says what to do."""


def listen(host: str, port: int) -> socket.socket:
    """Take an address. Port 0 takes any free one. Raises PortError."""
    try:
        family, _, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        taken = socket.socket(family, socket.SOCK_STREAM)
    except OSError as exc:
        raise PortError(f"{host!r} is no address of this machine; leave --host out for 127.0.0.1") from exc
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind(address)
        taken.listen()
    except (OSError, OverflowError) as exc:
        taken.close()
        raise PortError(_why_not(exc, host, port)) from exc
    return taken


def _why_not(exc: Exception, host: str, port: int) -> str:
    code = getattr(exc, "errno", None)
    if code == errno.EADDRINUSE:
        return f"port {port} is in use; stop what runs there or choose another, such as --port {port + 1}"
    if code == errno.EACCES:
        return f"port {port} is not yours to open; choose one above 1023, such as --port 8025"
    return f"cannot serve on {host} port {port}: {exc}"


def web_address(taken: socket.socket) -> str:
    """What to type in a browser."""
    host, port = taken.getsockname()[:2]
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def serve(app: Flask, taken: socket.socket) -> None:
    """Serve until Ctrl-C."""
    # A browser asks for page, style and script at once; that they wait a moment is nothing to warn of.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    server: MultiSocketServer | BaseWSGIServer = create_server(app, sockets=[taken], threads=4)
    try:
        server.run()
    finally:
        server.close()
