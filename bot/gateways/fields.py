"""Where a value stands in an HTTP request or answer.

`form:from`, `query:id`, `header:X-Id`, or `json:parts.0.id` (a path; numbers count list items from 0).
"""

from __future__ import annotations

import json
from typing import Annotated, Any

from msgspec import Meta

from .base import BadCall, Call

Place = Annotated[str, Meta(pattern=r"^(form|query|header|json):[^\s]+$")]
AnswerPlace = Annotated[str, Meta(pattern=r"^json:[^\s]+$")]


def value_at(call: Call, place: str) -> str | None:
    """The value at a place as text; None when it is not there. Raises BadCall when it is no plain value."""
    kind, name = place.split(":", 1)
    if kind == "json":
        return json_value(parse_json(call.body), name, place)
    return {"form": call.form, "query": call.query, "header": call.headers}[kind].get(
        name.lower() if kind == "header" else name
    )


def parse_json(body: bytes) -> Any:
    """JSON of a body; bytes that are not UTF-8 become replacement marks, so that the rest is kept.

    Raises BadCall.
    """
    try:
        return json.loads(body.decode("utf-8-sig", "replace"))
    except (ValueError, RecursionError):
        raise BadCall("the body is not JSON") from None


def json_value(data: Any, path: str, place: str) -> str | None:
    """The plain value at a dotted path, None when nothing is there."""
    for step in path.split("."):
        if isinstance(data, dict):
            data = data.get(step)
        elif isinstance(data, list) and step.isdecimal() and int(step) < len(data):
            data = data[int(step)]
        else:
            return None
    if data is None or isinstance(data, str):
        return data
    if isinstance(data, bool) or not isinstance(data, (int, float)):
        raise BadCall(f"{place}: expected text or a number")
    return str(data)
