"""Keeps other websites away from a page that is meant for this machine only.

A page elsewhere could send requests to a local port, or point its own name at it. So a request must
name an address or `localhost` as its host, and one that changes something must be JSON (which a browser
sends to another origin only after asking) and must not come from another origin.
"""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from flask import Flask, Request, Response, abort, request

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def guard(app: Flask) -> None:
    """Check every request to the app, and send headers that keep foreign content out of the page."""
    app.before_request(_refuse_strangers)
    app.after_request(_protect)


def _refuse_strangers() -> None:
    if not is_local_name(request.host):
        abort(403, "open this page by its address, such as http://127.0.0.1")
    if request.method == "POST":
        _refuse_foreign_post(request)


def _refuse_foreign_post(asked: Request) -> None:
    if not asked.is_json:
        abort(415, "send JSON")
    origin = asked.headers.get("Origin")
    if origin is not None and origin != asked.host_url.rstrip("/"):
        abort(403, "this page takes orders from itself only")


def is_local_name(host: str) -> bool:
    """Whether a Host header is an IP address or `localhost`, so that no foreign name can point here.

    >>> is_local_name("127.0.0.1:8025"), is_local_name("[::1]:8025"), is_local_name("evil.example:8025")
    (True, True, False)
    """
    try:
        name = urlsplit(f"//{host}").hostname or ""
        return name == "localhost" or bool(ipaddress.ip_address(name))
    except ValueError:
        return False


def _protect(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = CONTENT_POLICY
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers.setdefault("Cache-Control", "no-store")
    return response
