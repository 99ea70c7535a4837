"""A message of the record as one line, for people or for programs."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from typing import Any

from bot import LogEntry

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


def plain_line(entry: LogEntry) -> str:
    """`-> phone [segments encoding] text` of an outgoing message."""
    return f"-> {entry.phone} [{entry.segments} {entry.encoding}] {escape(entry.text)}"


def json_line(entry: LogEntry) -> str:
    """A message as a JSON object on one line, with every key of its direction."""
    return _JSON_UNSAFE.sub(_numbered, json.dumps(message_object(entry), ensure_ascii=False))


def message_object(entry: LogEntry) -> dict[str, Any]:
    """A message as `talk --json` gives it; `read` is there for inbound ones only."""
    inbound = entry.direction == "in"
    found: dict[str, Any] = {
        "at": utc_text(entry.at),
        "from" if inbound else "to": entry.phone,
        "text": entry.text,
        "segments": entry.segments,
        "encoding": entry.encoding,
        "why": entry.why,
        "dialogue": entry.dialogue,
    }
    if inbound:
        found["read"] = entry.read
    return found


def utc_text(moment: datetime) -> str:
    """ISO 8601 to the second, in UTC: `2026-03-02T06:00:00Z`."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
