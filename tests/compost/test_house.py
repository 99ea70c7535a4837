"""The rules of bot/compost/README.md, read off the code."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

import bot.compost as core

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "bot" / "compost").glob("*.py"))
MODULES = [importlib.import_module(f"bot.compost.{file.stem}") for file in FILES if file.stem != "__init__"]
MAY_IMPORT = {
    "__future__", "bisect", "collections", "dataclasses", "enum", "functools", "itertools", "math", "operator",
    "statistics", "tomllib", "typing", "msgspec", "numpy",
}  # fmt: skip
MAY_NOT_CALL = {"open", "print", "input", "exec", "eval", "__import__", "breakpoint"}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_the_core_is_pure(file: Path) -> None:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [] if node.level else [node.module or ""]
        else:
            names = []
        for name in names:
            own = name.startswith("bot.compost")
            assert own or name.split(".")[0] in MAY_IMPORT, f"{file.name}:{node.lineno} imports {name}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in MAY_NOT_CALL, f"{file.name}:{node.lineno} calls {node.func.id}"
        if isinstance(node, ast.Attribute):
            # numpy may count but not draw: numbers at chance come in from outside.
            text = ast.unparse(node)
            assert not re.match(r"(np|numpy)\.random\.(?!Generator)", text), (
                f"{file.name}:{node.lineno} {text}"
            )


def test_the_public_list_is_sorted_and_true() -> None:
    assert list(core.__all__) == sorted(core.__all__)
    assert len(set(core.__all__)) == len(core.__all__)
    for name in core.__all__:
        assert not isinstance(getattr(core, name), ModuleType), f"{name} is a module"


@pytest.mark.parametrize("folder", ["bot", "simulator"])
def test_the_rest_uses_only_the_public_list(folder: str) -> None:
    for file in sorted((ROOT / folder).rglob("*.py")):
        if file in FILES:
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("bot.compost"):
                unlisted = {alias.name for alias in node.names} - set(core.__all__)
                assert not unlisted, f"{file.relative_to(ROOT)}:{node.lineno} imports {unlisted}"


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_worked_examples(module: ModuleType) -> None:
    failed, _ = doctest.testmod(module)
    assert failed == 0


def test_there_are_worked_examples() -> None:
    finder = doctest.DocTestFinder()
    assert sum(bool(case.examples) for module in MODULES for case in finder.find(module)) >= 30


FUNCTIONS = [
    (f"{module.__name__.removeprefix('bot.compost.')}.{name}", function)
    for module in MODULES
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if function.__module__ == module.__name__ and not name.startswith("_")
]


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_docstrings_agree_with_signatures(name: str, function: Callable[..., object]) -> None:
    """A public function says what it is for and what it raises; one that gives a number, its units and source."""
    text, signature = inspect.getdoc(function) or "", inspect.signature(function)
    assert text, f"{name} has no docstring"
    if re.search(r"\braise \w|check_range\(|_check\w*\(", inspect.getsource(function)):
        assert "Raises" in text, f"{name} does not say what it raises"
    numbers = [p.name for p in signature.parameters.values() if str(p.annotation) == "float"]
    if str(signature.return_annotation) == "float" or numbers:
        assert re.search(r"\[[^\]]+\]", text), f"{name} gives no unit"
    if str(signature.return_annotation) == "float" and name.split(".")[1] in core.__all__:
        assert re.search(r"Source|inverse of", text), f"{name} names no source"
    missing = set(numbers) - set(re.findall(r"\w+", text))
    assert not missing or "Other parameters" in text, f"{name} does not document {missing}"


def test_every_argument_name_is_on_the_page_of_quantities() -> None:
    page = (ROOT / "docs" / "quantities.md").read_text(encoding="utf-8")
    known = set(re.findall(r"`(\w+)`", page))
    used = {
        parameter.name
        for _, function in FUNCTIONS
        for parameter in inspect.signature(function).parameters.values()  # type: ignore[arg-type]
        if str(parameter.annotation).startswith("float")
    }
    assert not used - known, f"add to docs/quantities.md: {sorted(used - known)}"


SCIENCE = sorted((ROOT / "docs").glob("science*.md"))


def test_every_module_of_the_core_is_in_docs_science() -> None:
    pages = "\n".join(page.read_text(encoding="utf-8") for page in SCIENCE)
    for module in MODULES:
        name = module.__name__.removeprefix("bot.compost.")
        assert re.search(rf"\b{name}(\.py)?`", pages), f"{name} is not described"


def test_every_constant_stands_in_docs_science_with_its_value() -> None:
    page = (ROOT / "docs" / "science.md").read_text(encoding="utf-8")
    source = (ROOT / "bot" / "compost" / "constants.py").read_text(encoding="utf-8")
    lines = re.findall(r"^([A-Z_0-9]+): Final = (.*?)  # \[(.*?)\] (.*)$", source, re.MULTILINE)
    assert len(lines) == source.count(": Final")
    for name, value, unit, reason in lines:
        assert f"| `{name}` | {value} | {unit} | {reason} |" in page, f"docs/science.md lags behind {name}"
