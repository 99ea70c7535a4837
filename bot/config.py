"""What a programme sets for itself: one TOML file, or none at all (every field has a default)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time, timedelta
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import msgspec
import phonenumbers
from msgspec import Meta

from .datafile import Document
from .tomlfile import read_toml

Text = Annotated[str, Meta(min_length=1)]
HourMinute = Annotated[str, Meta(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$", description="HH:MM")]
Degrees = Annotated[float, Meta(ge=-90, le=90)]
Positive = Annotated[float, Meta(gt=0)]
WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
DaysOff = Annotated[tuple[Weekday, ...], Meta(max_length=6)]


class Hours(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A part of the day in the farmer's own time; it may go over midnight."""

    start: HourMinute
    end: HourMinute

    @property
    def start_time(self) -> time:
        return time.fromisoformat(self.start)

    @property
    def end_time(self) -> time:
        return time.fromisoformat(self.end)

    def holds(self, moment: time) -> bool:
        """Whether a local time of day lies within; the end does not."""
        if self.start_time <= self.end_time:
            return self.start_time <= moment < self.end_time
        return moment >= self.start_time or moment < self.end_time

    def overlaps(self, other: Hours) -> bool:
        return self.holds(other.start_time) or other.holds(self.start_time)


class Group(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A training group: what farmers who JOIN with its code have in common.

    measures : litres of the group's own measures, where they differ from the word lists. [L]
    days_off : days without reminders (market, prayer), instead of the programme's.
    latitude : north positive. [degrees]
    """

    code: Annotated[str, Meta(pattern=r"^[A-Za-z0-9]{2,12}$")]
    name: Text
    language: Text | None = None
    place: Text | None = None
    timezone: Text | None = None
    latitude: Degrees | None = None
    trainer: Text | None = None
    measures: dict[str, Positive] = {}
    days_off: DaysOff | None = None


class Config(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All settings. Secrets are never among them: a gateway profile names environment variables.

    languages : codes of those that the programme offers, in the order of the question; () for all there are.
    latitude : of the programme, north positive, for farmers without a group. [degrees]
    repeat_window_s : how long the same text from one phone is taken for a repeated delivery, when its gateway
        gives no message id. [s]
    retry_after_s : waits after a first, second ... failed attempt to send; the last one repeats. [s]
    """

    database: Text = "warmheap.db"
    programme: Text = "Warmheap"
    trainer: Text | None = None
    languages: tuple[Text, ...] = ()
    default_language: Text = "en"
    default_timezone: Text = "Etc/GMT-3"
    default_region: Text | None = None
    latitude: Degrees = 0.0
    reminder_hours: Hours = Hours(start="07:00", end="09:30")
    days_off: DaysOff = ()
    quiet_hours: Hours = Hours(start="20:00", end="06:30")
    repeat_window_s: Annotated[float, Meta(ge=0, le=86400)] = 120.0
    price_per_segment: Annotated[float, Meta(ge=0)] = 1.0
    currency: Text = "XTS"
    groups: tuple[Group, ...] = ()
    gateways: tuple[Text, ...] = ()
    retry_after_s: Annotated[tuple[Positive, ...], Meta(min_length=1)] = (5.0, 15.0, 60.0, 300.0, 900.0)
    busy_timeout_s: Annotated[float, Meta(ge=0, le=60)] = 5.0
    max_body_bytes: Annotated[int, Meta(ge=1024, le=10_000_000)] = 65536

    @property
    def repeat_window(self) -> timedelta:
        return timedelta(seconds=self.repeat_window_s)

    @property
    def retry_after(self) -> tuple[timedelta, ...]:
        return tuple(timedelta(seconds=seconds) for seconds in self.retry_after_s)

    def group(self, code: str | None) -> Group | None:
        """The group of a code, written in any case."""
        wanted = (code or "").casefold()
        return next((group for group in self.groups if group.code.casefold() == wanted), None)

    def days_off_of(self, code: str | None) -> frozenset[int]:
        """Days of the week without reminders for farmers of a group, Monday 0 to Sunday 6."""
        group = self.group(code)
        chosen = self.days_off if group is None or group.days_off is None else group.days_off
        return frozenset(WEEK.index(day) for day in chosen)

    def timezone(self, name: str | None = None) -> ZoneInfo:
        """A time zone by name, or the default one."""
        return ZoneInfo(name or self.default_timezone)


def read_config(path: Path | None) -> Config:
    """Read a configuration; None gives the defaults.

    Paths in the file are taken from the folder of the file. Raises BadFile naming file, line, field and
    what was expected there.
    """
    if path is None:
        return Config()
    document = read_toml(path)
    config = document.convert(Config)
    for field, problem in _problems(config):
        raise document.error(field, problem)
    return _placed(config, document, path.parent)


def _problems(config: Config) -> Iterator[tuple[str, str]]:
    """What the types cannot say, each with its field."""
    zones = [("default_timezone", config.default_timezone)]
    zones += [
        (f"groups[{i}].timezone", group.timezone) for i, group in enumerate(config.groups) if group.timezone
    ]
    for field, zone in zones:
        if not _is_zone(zone):
            yield field, f"expected a time zone of the IANA database such as Etc/GMT-3, got {zone!r}"
    if config.default_region not in {None, *phonenumbers.SUPPORTED_REGIONS}:
        yield "default_region", f"expected a country of two capital letters, got {config.default_region!r}"
    codes = [group.code.casefold() for group in config.groups]
    for i, code in enumerate(codes):
        if code in codes[:i]:
            yield f"groups[{i}].code", f"stands twice: {code!r}"
    if config.reminder_hours.start_time >= config.reminder_hours.end_time:
        yield "reminder_hours", "the start must come before the end, on the same day"
    if config.quiet_hours.overlaps(config.reminder_hours):
        yield "reminder_hours", "overlaps quiet_hours, when nothing may be sent"


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _placed(config: Config, document: Document, folder: Path) -> Config:
    database = config.database
    if database != ":memory:" and "database" in document.data:
        database = str(folder / database)
    gateways = tuple(str(folder / profile) for profile in config.gateways)
    return msgspec.structs.replace(config, database=database, gateways=gateways)
