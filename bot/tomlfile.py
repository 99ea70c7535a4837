"""Reads TOML (configuration, gateway profiles) and says in which file, line and field a mistake is."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from .datafile import BadFile, Document

_HEADER = re.compile(r"\s*(\[\[?)\s*([\w.\-]+)\s*\]")
_KEY = re.compile(r"\s*([\w.\-]+)\s*=")


def parse_toml(text: str, file: str) -> Document:
    """Parse TOML text. `file` is only used in messages. Raises BadFile."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        found = re.search(r"at line (\d+)", str(exc))
        raise BadFile(file, int(found.group(1)) if found else None, "", f"not TOML: {exc}") from None
    return Document(file, data, _lines(text))


def read_toml(path: Path) -> Document:
    """Read and parse a TOML file. Raises BadFile, also when it cannot be opened or is not UTF-8."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as exc:
        raise BadFile(str(path), None, "", f"cannot be read: {exc}") from None
    return parse_toml(text, str(path))


def _lines(text: str) -> dict[str, int]:
    """The line of each field, looked up in the text since the standard parser tells none."""
    lines: dict[str, int] = {}
    table = ""
    tables: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if header := _HEADER.match(line):
            table = header.group(2)
            if header.group(1) == "[[":
                tables[table] = tables.get(table, -1) + 1
                table = f"{table}[{tables[table]}]"
            lines.setdefault(table, number)
        elif key := _KEY.match(line):
            lines.setdefault(f"{table}.{key.group(1)}" if table else key.group(1), number)
    return lines
