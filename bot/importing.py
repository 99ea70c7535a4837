"""Enrols farmers whose consent a trainer has on paper, from a CSV file: all rows or none."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator
from datetime import UTC, date, datetime, time
from pathlib import Path

import msgspec

from bot.config import Config
from bot.gateways import BadPhone, to_e164
from bot.store import Store

COLUMNS = ("phone", "name", "place", "language", "group", "consent")
LONGEST = 60


class BadList(Exception):
    """The list cannot be taken. `problems` has a line for every bad row; nothing was enrolled."""

    def __init__(self, problems: Collection[str]) -> None:
        self.problems = list(problems)
        super().__init__("\n".join(self.problems))


class Enrolled(msgspec.Struct, frozen=True):
    """One good row."""

    phone: str
    name: str
    place: str | None
    language: str | None
    group: str | None
    consent: date


class Importing:
    """languages : those that can be spoken."""

    def __init__(self, store: Store, config: Config, languages: Collection[str]) -> None:
        self.store, self.config, self.languages = store, config, languages

    def enrol(self, path: Path, gateway: str, now: datetime) -> int:
        """Enrol everybody on the list, to be written to through a gateway; returns how many.

        Raises BadList naming every bad row; then nobody was enrolled.
        """
        rows = self._read(path, now.date())
        with self.store.transaction():
            if problems := list(self._known_already(rows)):
                raise BadList(problems)
            for _, row in rows:
                self._add(row, gateway, now)
        return len(rows)

    def _read(self, path: Path, today: date) -> list[tuple[int, Enrolled]]:
        try:
            text = path.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError) as exc:
            raise BadList([f"{path}: cannot be read: {exc}"]) from None
        lines = csv.DictReader(text.splitlines(), restkey="more")
        if tuple(name.strip() for name in lines.fieldnames or ()) != COLUMNS:
            raise BadList([f"{path}, line 1: the columns must be {','.join(COLUMNS)}"])
        rows: list[tuple[int, Enrolled]] = []
        problems: list[str] = []
        for row in lines:
            found = list(self._problems(row, today))
            problems += [f"{path}, line {lines.line_num}: {problem}" for problem in found]
            if not found:
                rows.append((lines.line_num, self._taken(row)))
        problems += _twice(rows, path)
        if problems or not rows:
            raise BadList(problems or [f"{path}: holds no farmer"])
        return rows

    def _problems(self, row: dict[str, str], today: date) -> Iterator[str]:
        cells = [row[name] for name in COLUMNS]
        if "more" in row or None in cells:
            yield f"needs {len(COLUMNS)} columns"
            return
        phone, name, place, language, group, consent = (cell.strip() for cell in cells)
        try:
            to_e164(phone, self.config.default_region)
        except BadPhone as exc:
            yield f"phone {phone!r}: {exc}"
        if not name:
            yield "the name is missing"
        for what, text in (("name", name), ("place", place)):
            if len(text) > LONGEST or not text.isprintable():
                yield f"{what} {text!r}: at most {LONGEST} letters on one line"
        if language and language not in self.languages:
            yield f"language {language!r}: is none of {', '.join(self.languages)}"
        if group and self.config.group(group) is None:
            yield f"group {group!r}: the configuration has no such group"
        yield from _consent_problems(consent, today)

    def _taken(self, row: dict[str, str]) -> Enrolled:
        phone, name, place, language, group, consent = (row[column].strip() for column in COLUMNS)
        known = self.config.group(group) if group else None
        return Enrolled(
            phone=to_e164(phone, self.config.default_region), name=name,
            place=place or (known.place if known else None),
            language=language or (known.language if known else None) or None,
            group=known.code if known else None, consent=date.fromisoformat(consent),
        )  # fmt: skip

    def _known_already(self, rows: list[tuple[int, Enrolled]]) -> Iterator[str]:
        for number, row in rows:
            line = self.store.lines.by_phone(row.phone)
            people = self.store.farmers.of_line(line.line_id) if line else []
            if any(_same(person.name or "", row.name) for person in people):
                yield f"line {number}: {row.name} has joined from {row.phone} already"

    def _add(self, row: Enrolled, gateway: str, now: datetime) -> None:
        line = self.store.lines.by_phone(row.phone) or self.store.lines.find_or_add(row.phone, gateway, now)
        consent_at = min(datetime.combine(row.consent, time(12), tzinfo=UTC), now)
        told = {"name": row.name, "place": row.place, "language": row.language, "group_code": row.group}
        people = self.store.farmers.of_line(line.line_id)
        # Somebody who has written from this phone before, but never joined, is taken for the one on the list.
        stranger = next((p for p in people if p.farmer_no == line.farmer_no and p.name is None), None)
        if stranger is None:
            self.store.farmers.add(line.line_id, now, consent_at=consent_at, **told)
        else:
            self.store.farmers.save(msgspec.structs.replace(stranger, consent_at=consent_at, **told))


def _consent_problems(consent: str, today: date) -> Iterator[str]:
    try:
        day = date.fromisoformat(consent)
    except ValueError:
        yield f"consent {consent!r}: must be the day on which the farmer agreed, like 2026-03-02"
        return
    if day > today:
        yield f"consent {consent}: lies in the future"


def _same(one: str, other: str) -> bool:
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())


def _twice(rows: list[tuple[int, Enrolled]], path: Path) -> list[str]:
    seen: dict[tuple[str, str], int] = {}
    problems = []
    for number, row in rows:
        key = (row.phone, row.name.casefold())
        if key in seen:
            problems.append(
                f"{path}, line {number}: {row.name} with {row.phone} stands on line {seen[key]} too"
            )
        seen.setdefault(key, number)
    return problems
