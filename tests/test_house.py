"""Rules of the house that a reader of one file would not notice being broken (DEVELOPERS.md lists them)."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import bot
import bot.compost

ROOT = Path(__file__).parents[1]
CORE = ROOT / "bot" / "compost"
OURS = [path for room in ("bot", "simulator", "tests") for path in sorted((ROOT / room).rglob("*.py"))]
PURE = {
    "__future__", "abc", "bisect", "collections", "dataclasses", "datetime", "enum", "functools", "itertools", "math",
    "operator", "re", "statistics", "tomllib", "types", "typing",
    "msgspec", "numpy",
}  # fmt: skip
"""What the calculation core may import beside itself."""


def imports(path: Path) -> Iterator[tuple[int, str, str | None]]:
    """Line, module, and the name taken from it."""
    package = ".".join(path.relative_to(ROOT).with_suffix("").parts[:-1])
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name, None) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            parents = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            module = ".".join([*parents, *([node.module] if node.module else [])])
            yield from ((node.lineno, module, alias.name) for alias in node.names)


def calls(path: Path) -> Iterator[tuple[int, str]]:
    """Line and dotted name of every call."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield node.lineno, ast.unparse(node.func)


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_the_core_imports_nothing_but_arithmetic() -> None:
    foreign = [
        f"{name(path)}:{line}: {module}"
        for path in sorted(CORE.rglob("*.py"))
        for line, module, _ in imports(path)
        if module.split(".")[0] not in PURE and not module.startswith("bot.compost")
    ]
    assert not foreign, "\n".join(foreign)


def test_the_core_opens_and_prints_nothing() -> None:
    done = [
        f"{name(path)}:{line}: {call}"
        for path in sorted(CORE.rglob("*.py"))
        for line, call in calls(path)
        if call in ("open", "print", "input", "exec", "eval", "__import__")
        or call.rsplit(".", 1)[-1] in ("read_text", "read_bytes", "write_text", "now", "today", "getenv")
    ]
    assert not done, "\n".join(done)


ASKS_THE_TIME = re.compile(
    r"(^|\.)(datetime\.(now|utcnow|today)|date\.today|time\.(time|time_ns|localtime|gmtime|ctime)|utcnow)$"
)


@pytest.mark.parametrize("room", ["bot", "simulator"])
def test_only_the_clock_asks_for_the_time(room: str) -> None:
    asking = [
        f"{name(path)}:{line}: {call}"
        for path in sorted((ROOT / room).rglob("*.py"))
        if path != ROOT / "bot" / "clock.py"
        for line, call in calls(path)
        if ASKS_THE_TIME.search(call)
    ]
    assert not asking, "\n".join(asking)
    assert any(ASKS_THE_TIME.search(call) for _, call in calls(ROOT / "bot" / "clock.py")), (
        "the search finds nothing"
    )


def test_nobody_sleeps_where_an_event_serves() -> None:
    sleeping = [
        f"{name(path)}:{line}: {call}"
        for path in OURS
        for line, call in calls(path)
        if call in ("time.sleep", "sleep")
    ]
    assert not sleeping, "\n".join(sleeping)


def text_files() -> Iterator[Path]:
    kept = {".py", ".md", ".yaml", ".toml", ".txt", ".js", ".html", ".jsonl", ".po"}
    for room in ("bot", "simulator", "tests", "docs", "dialogues", "locales"):
        yield from (p for p in sorted((ROOT / room).rglob("*")) if p.suffix in kept)
    yield from (p for p in sorted(ROOT.glob("*")) if p.suffix in kept)


UK_MOBILE = re.compile(r"\+44\s?7\d[\d ]{6,12}\d|\b07\d{3} ?\d{6}\b")


def test_phone_numbers_come_from_the_range_kept_for_drama() -> None:
    """+447700900000 to +447700900999; 07700 900123 is written as people in that country do."""
    real = []
    for path in text_files():
        if path == Path(__file__):
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            for found in UK_MOBILE.findall(line):
                digits = re.sub(r"\D", "", found)
                possible = re.fullmatch(r"(44|0)7\d{9}", digits)
                if possible and not re.fullmatch(r"(44|0)7700900\d{3}", digits):
                    real.append(f"{name(path)}:{number}: {found}")
    assert not real, "\n".join(real)


def test_the_simulator_uses_only_what_the_bot_offers() -> None:
    inside = [
        f"{name(path)}:{line}: from {module} import {taken}"
        for path in sorted((ROOT / "simulator").rglob("*.py"))
        for line, module, taken in imports(path)
        if module.split(".")[0] == "bot" and (module != "bot" or taken not in bot.__all__)
    ]
    assert not inside, "\n".join(inside)


def test_everything_the_bot_offers_is_there() -> None:
    assert all(hasattr(bot, offered) for offered in bot.__all__)
    assert sorted(set(bot.__all__)) == sorted(bot.__all__)


SPY = """
import sys
opened = []
def watch(event, args):
    if event == "open" and isinstance(args[0], str):
        opened.append(args[0])
    if event in ("socket.connect", "sqlite3.connect", "subprocess.Popen"):
        opened.append(event)
sys.addaudithook(watch)
import bot
ours = [f for f in opened if f.startswith(ROOT) and not f.endswith((".py", ".pyc"))]
print("\\n".join(ours + [f for f in opened if "." in f and "/" not in f]))
"""


def test_importing_the_bot_opens_and_reads_nothing_of_ours() -> None:
    script = SPY.replace("ROOT", repr(str(ROOT)))
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == ""


def test_dialogues_know_no_compost() -> None:
    """bot/dialogue runs files; what they are about is handed in (bot/dialogue/README.md)."""
    known = [
        f"{name(path)}:{line}: {module}"
        for path in sorted((ROOT / "bot" / "dialogue").rglob("*.py"))
        for line, module, _ in imports(path)
        if module.startswith(
            ("bot.compost", "bot.advice", "bot.store", "bot.service", "bot.world", "bot.web")
        )
    ]
    assert not known, "\n".join(known)
