"""A message of the record as one line, for people or for programs."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from typing import Any

from bot import LogEntry, Outgoing

# All that breaks a line or moves a terminal's cursor, and the backslash that marks it.
_UNSAFE = re.compile("[\\\\\x00-\x1f\x7f-\x9f\u2028\u2029]")
# What JSON leaves as it is although it breaks a line for some readers.
_JSON_UNSAFE = re.compile("[\x7f-\x9f\u2028\u2029]")
_SHORT = {"\n": "\\n", "\r": "\\r", "\t": "\\t", "\\": "\\\\"}


def escape(text: str) -> str:
    r"""Text on one line: a line break as `\n`, a backslash doubled, other control characters as `\u001b`.

    >>> print(escape("one\ntwo"))
    one\ntwo
    """
    return _UNSAFE.sub(lambda found: _SHORT.get(found[0], _numbered(found)), text)


def _numbered(found: re.Match[str]) -> str:
    return f"\\u{ord(found[0]):04x}"


def plain_line(sent: Outgoing) -> str:
    """`-> phone [segments encoding] text`."""
    return f"-> {sent.phone} [{sent.segments} {sent.encoding}] {escape(sent.text)}"


def json_line(message: LogEntry | Outgoing) -> str:
    """A farmer's text (from the record) or a message to one (as it was sent), as JSON on one line."""
    found = _outgoing(message) if isinstance(message, Outgoing) else _inbound(message)
    return _JSON_UNSAFE.sub(_numbered, json.dumps(found, ensure_ascii=False))


def _outgoing(sent: Outgoing) -> dict[str, Any]:
    return {
        "at": utc_text(sent.queued_at),
        "to": sent.phone,
        "text": sent.text,
        "segments": sent.segments,
        "encoding": sent.encoding,
        "why": sent.why,
        "dialogue": sent.dialogue,
    }


def _inbound(entry: LogEntry) -> dict[str, Any]:
    return {
        "at": utc_text(entry.at),
        "from": entry.phone,
        "text": entry.text,
        "segments": entry.segments,
        "encoding": entry.encoding,
        "why": entry.why,
        "dialogue": entry.dialogue,
        "read": entry.read,
    }


def utc_text(moment: datetime) -> str:
    """ISO 8601 to the second, in UTC: `2026-03-02T06:00:00Z`."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
