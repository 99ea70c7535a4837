"""Reads the YAML files that trainers and translators edit, and says where a mistake is.

Every plain value is read as text (so `no`, `on` and `1` are what the writer typed) and turned into the
type that the schema asks for; an error names the file, the line and the field.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

import msgspec
import yaml

T = TypeVar("T")
Lines = Mapping[str, int]
_Loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_PATH = re.compile(r" - at `(?:key in )?\$?([^`]*)`$")


class BadFile(Exception):
    """A data file that cannot be used. Keeps file, line (or None), field and what is wrong."""

    def __init__(self, file: str, line: int | None, field: str, problem: str) -> None:
        self.file, self.line, self.field, self.problem = file, line, field, problem
        where = f"{file}, line {line}" if line else file
        super().__init__(f"{where}: {field}: {problem}" if field else f"{where}: {problem}")


class Document:
    """Parsed data with the line on which each field stands."""

    def __init__(self, file: str, data: Any, lines: Lines) -> None:
        self.file, self.data, self.lines = file, data, lines

    def line_of(self, field: str) -> int | None:
        """Line of a field such as `steps.size.ask` or `steps[2]`, or of the nearest parent."""
        while field:
            if field in self.lines:
                return self.lines[field]
            field = re.sub(r"(\.[^.\[]*|\[[^\]]*\]|^[^.\[]*)$", "", field)
        return self.lines.get("")

    def error(self, field: str, problem: str) -> BadFile:
        return BadFile(self.file, self.line_of(field), field, problem)

    def convert(self, schema: type[T]) -> T:
        """The data as `schema`; BadFile with the line if it does not fit."""
        try:
            return msgspec.convert(self.data, schema, strict=False)
        except msgspec.ValidationError as exc:
            text = str(exc)
            found = _PATH.search(text)
            field = found.group(1).lstrip(".") if found else ""
            problem = text[: found.start()] if found else text
            raise self._placed(field, problem) from None

    def _placed(self, field: str, problem: str) -> BadFile:
        # msgspec writes `[...]` for "some key of a mapping": name the unknown field's own line when it can be found.
        unknown = re.search(r"unknown field `([^`]*)`", problem)
        pattern = re.escape(field).replace(re.escape("[...]"), r"\.[^.\[]+")
        if unknown:
            pattern += rf"(\.|^){re.escape(unknown.group(1))}"
        hits = [(line, name) for name, line in self.lines.items() if re.fullmatch(pattern, name)]
        if len(hits) == 1 or (hits and unknown):
            line, name = min(hits)
            return BadFile(self.file, line, name, problem)
        return self.error(field.split("[...]")[0], problem + (f" (in {field})" if "[...]" in field else ""))


def parse_document(text: str, file: str) -> Document:
    """Parse YAML text. `file` is only used in messages. Raises BadFile."""
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as exc:
        mark = exc.problem_mark
        raise BadFile(file, mark.line + 1 if mark else None, "", exc.problem or "not readable") from None
    except yaml.YAMLError as exc:
        raise BadFile(file, None, "", f"not readable: {exc}") from None
    if node is None:
        raise BadFile(file, None, "", "the file is empty")
    lines: dict[str, int] = {}
    return Document(file, _build(node, "", lines, file), lines)


def read_document(path: Path) -> Document:
    """Read and parse a YAML file. Raises BadFile, also when it cannot be opened or is not UTF-8."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as exc:
        raise BadFile(str(path), None, "", f"cannot be read: {exc}") from None
    return parse_document(text, str(path))


def _build(node: yaml.Node, field: str, lines: dict[str, int], file: str) -> Any:
    lines[field] = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, f"{field}[{i}]", lines, file) for i, item in enumerate(node.value)]
    out: dict[str, Any] = {}
    for key, value in node.value:
        name = str(key.value)
        inner = f"{field}.{name}" if field else name
        if name in out:
            raise BadFile(file, key.start_mark.line + 1, inner, "stands twice")
        out[name] = _build(value, inner, lines, file)
        lines[inner] = key.start_mark.line + 1
    return out
