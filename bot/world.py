"""One farmer's world as dialogues see it: facts, piles and side effects, on top of the store."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import msgspec

from bot.advice.kinds import heat_of, materials_of, measure_of
from bot.advice.planning import feeds
from bot.config import Config
from bot.dialogue.state import Frame
from bot.dialogue.vocabulary import Value
from bot.people import known_names, person_meant, tidy_name
from bot.reading.meaning import Meaning
from bot.reminders.timing import local_day, morning_in
from bot.store import Farmer, Line, Pile, QuestionKind, Store
from bot.undo import FARMERS_RAIN, Undo

FARMER_COLUMNS = ("language", "name", "place")
WORKING_STAGES = ("working", "ready")
UNBUILT_STAGES = ("planning", "building")
RAIN_DAYS = 7
RECENT, JUST_NOW = timedelta(days=8), timedelta(days=1)
RAIN_SAID_MM = {
    "none": 0.0,
    "some": 10.0,
    "heavy": 30.0,
}  # [mm] what a farmer means without a gauge; estimate
GRAVEST_FIRST = (
    "burnt", "stolen", "flooded", "snakes", "rats", "diggers", "moved", "termites", "ants", "flies", "threads",
    "sprouting", "worms", "sinking",
)  # fmt: skip
"""Of several things seen on a pile, the one that is answered."""
_READINGS = ("feel", "celsius", "squeeze", "smell")
MOST_WORDS_AFTER_LETTER = 2
MOST_READINGS = 200
"""Of one pile that are looked back on: three a week for more than a year."""
FINAL_STAGES = ("used", "lost")
ANYWHERE = "everywhere"


class FarmerWorld:
    """The world of one farmer in one turn. Everything it does belongs to the transaction that is open."""

    def __init__(
        self,
        store: Store,
        config: Config,
        line: Line,
        farmer: Farmer,
        now: datetime,
        *,
        meaning: Meaning | None = None,
        sent_at: datetime | None = None,
        in_no: int | None = None,
        last_pile: str | None = None,
        last_report: Undo | None = None,
    ) -> None:
        """last_pile : the one spoken of in the last days. last_report : what can be taken back."""
        self.store, self.config, self.line, self.farmer, self.now = store, config, line, farmer, now
        self.meaning, self.sent_at, self.in_no = meaning, sent_at or now, in_no
        self.missed = False
        self.undo, self.last_report = (
            Undo(in_no=in_no, at=now, text=meaning.text if meaning else ""),
            last_report,
        )
        self.taken_back = self.erased = False
        self.person: dict[str, Any] | None = None
        """Who writes instead: {"no": 2}, or {"name": "Juma"} for somebody new."""
        self._last_pile = last_pile
        self._answered: dict[str, Value] = {}
        self._piles: dict[str, Pile] | None = None
        self._changed: set[str] = set()
        self._farmer_changed = False
        self._actions = {
            "new_farmer": self._new_farmer, "consent": self._consent, "forget_me": self._forget,
            "stop_line": lambda frame: self._set_line("stopped"), "start_line": lambda frame: self._set_line("open"),
            "plan_pile": self._plan_pile, "keep_reading": self._keep_reading, "keep_turned": self._keep_turned,
            "keep_rain": self._keep_rain, "ask_trainer": self._ask_trainer, "alert_trainer": self._alert_trainer,
            "alarm_trainer": self._alarm_trainer, "tell_new_number": self._tell_new_number, "solve": self._solve,
            "this_pile": self._this_pile, "this_person": self._this_person, "undo_report": self._undo_report,
            "erase_me": self._erase_me,
        }  # fmt: skip

    # -- what surrounds the farmer

    @property
    def zone(self) -> ZoneInfo:
        group = self.config.group(self.farmer.group_code)
        return self.config.timezone(self.farmer.timezone or (group.timezone if group else None))

    @property
    def days_off(self) -> frozenset[int]:
        """Days of the week on which no reminder goes out, Monday 0."""
        return self.config.days_off_of(self.farmer.group_code)

    @property
    def language(self) -> str:
        return self.farmer.language or self.config.default_language

    @property
    def piles(self) -> dict[str, Pile]:
        if self._piles is None:
            found = self.store.piles.of_farmer(self.line.line_id, self.farmer.farmer_no, open_only=True)
            self._piles = {pile.letter: pile for pile in found}
        return self._piles

    def save(self) -> None:
        """Write what has changed."""
        if self._farmer_changed:
            self.store.farmers.save(self.farmer)
        for letter in sorted(self._changed):
            self.store.piles.save(self.piles[letter])

    # -- the World protocol

    def fact(self, name: str, frame: Frame | None) -> Value | None:
        scope, key = name.split(".", 1)
        if scope == "farmer":
            return getattr(self.farmer, key) if key in FARMER_COLUMNS else self.farmer.facts.get(key)
        if scope == "pile":
            pile = self._pile(frame)
            return None if pile is None else pile.stage if key == "stage" else pile.facts.get(key)
        if scope == "message":
            return self._message_fact(key)
        return self._bot_fact(key, frame) if scope == "bot" else None

    def keep(self, name: str, value: Value | None, frame: Frame) -> None:
        scope, key = name.split(".", 1)
        if scope == "farmer":
            if key in ("name", "place") and isinstance(value, str):
                value = tidy_name(value)
            changed = (
                {key: value} if key in FARMER_COLUMNS else {"facts": _with(self.farmer.facts, key, value)}
            )
            self.farmer = msgspec.structs.replace(self.farmer, **changed)
            self._farmer_changed = True
            return
        pile = self._pile(frame)
        if pile is None:
            raise LookupError(f"{name} was set by a dialogue that is about no pile")
        pile_change: dict[str, Any] = (
            {"stage": value} if key == "stage" else {"facts": _with(pile.facts, key, value)}
        )
        if pile_change.get("stage") in FINAL_STAGES:
            pile_change["closed_at"] = self.now
        self._put(msgspec.structs.replace(pile, **pile_change))

    def hear(self, meaning: Meaning) -> None:
        self.meaning, self._answered, self.undo.text = meaning, {}, meaning.text

    def note(self, name: str, value: Value) -> None:
        """Remember something of the farmer that no dialogue asks for."""
        self.farmer = msgspec.structs.replace(self.farmer, facts=_with(self.farmer.facts, name, value))
        self._farmer_changed = True

    def act(self, action: str, frame: Frame) -> None:
        self._actions[action](frame)

    def schedule(self, dialogue: str, days: int, frame: Frame) -> None:
        due = morning_in(days, self.now, self.zone, self.config.reminder_hours.start_time)
        task = self.store.tasks.add(
            self.line.line_id, self.farmer.farmer_no, dialogue, due, self.now, letter=frame.pile
        )
        self.undo.tasks_set.append(task.task_no)

    def cancel(self, dialogue: str, frame: Frame) -> None:
        dropped = self.store.tasks.drop(self.line.line_id, self.farmer.farmer_no, frame.pile, dialogue)
        self.undo.tasks_dropped += dropped

    def answered(self, kind: str, value: Value) -> None:
        self._answered[kind] = value

    def piles_for(self, need: str) -> list[str]:
        newest_first = sorted(self.piles.values(), key=lambda p: (p.created_at, p.letter), reverse=True)
        if need == "built":
            return [p.letter for p in newest_first if p.stage in WORKING_STAGES]
        if need == "unbuilt":
            newest_first.sort(key=lambda p: p.stage not in UNBUILT_STAGES)
        return [p.letter for p in newest_first]

    def named_pile(self, meaning: Meaning) -> str | None:
        said = f" {' '.join(meaning.text.casefold().split())} "
        called = [p.letter for p in self.piles.values() if p.name and f" {p.name.casefold()} " in said]
        return meaning.pile or (called[0] if len(called) == 1 else self._letter_first(meaning))

    def _letter_first(self, meaning: Meaning) -> str | None:
        """`A is cold`: to the reader the article, to a farmer with several piles the letter of one."""
        first, _, rest = meaning.text.strip().partition(" ")
        short = 0 < len(rest.split()) <= MOST_WORDS_AFTER_LETTER
        several = len(self.piles) > 1 and first in self.piles
        return (
            first if several and short and any(getattr(meaning, f) is not None for f in _READINGS) else None
        )

    def last_pile(self) -> str | None:
        return self._last_pile

    def own_answer(self, kind: str, meaning: Meaning) -> Value | None:
        if kind == "person":
            return person_meant(meaning, self.store.farmers.of_line(self.line.line_id))
        standing = sorted(self.piles_for("built"))
        letter = self.named_pile(meaning) or meaning.text.strip(" .,:;!?").upper()
        if letter in standing:
            return letter
        chosen = int(meaning.number or 0)
        return standing[chosen - 1] if 0 < chosen <= len(standing) and chosen == meaning.number else None

    def joined(self) -> bool:
        return self.farmer.consent_at is not None

    def not_understood(self, meaning: Meaning, expect: str | None) -> None:
        self.missed = True
        self.store.unread.add(
            self.line.line_id, self.now, meaning.text, language=self.language, expect=expect
        )

    # -- given facts

    def _message_fact(self, key: str) -> Value | None:
        if key in self._answered:
            return self._answered[key]
        if self.meaning is None:
            return "no" if key == "amounts" else None
        if key == "heat":
            return heat_of(self.meaning) or self._answered.get("feel")
        if key == "materials":
            return materials_of(self.meaning)
        if key == "measure":
            return measure_of(self.meaning)
        if key == "group":
            return self._group_named(self.meaning)
        if key == "seen":
            return next((sight for sight in GRAVEST_FIRST if sight in self.meaning.seen), None)
        if key == "amounts":
            return self._only_manure_amount(self.meaning)
        if key == "rest" and "text" in self._answered:
            return self._answered["text"]
        value = getattr(self.meaning, key)
        return list(value) if isinstance(value, tuple) else value

    def _group_named(self, meaning: Meaning) -> str | None:
        if meaning.code is None:
            return None
        return "ours" if self.config.group(meaning.code) else "strange"

    @staticmethod
    def _only_manure_amount(meaning: Meaning) -> str:
        """Whether the message tells how much manure there is and names nothing else: a pile to be sized by it."""
        named = meaning.materials or ()
        told = len(named) == 1 and named[0].amount is not None
        return "yes" if told and feeds(materials_of(meaning)) else "no"

    def _bot_fact(self, key: str, frame: Frame | None) -> Value | None:
        match key:
            case "language":
                return self.language
            case "told":
                return "yes" if frame is not None and frame.held is not None else "no"
            case "today":
                return local_day(self.now, self.zone).isoformat()
            case "languages":
                return "languages"
            case "joined":
                return "yes" if self.joined() else "no"
            case "latitude":
                group = self.config.group(self.farmer.group_code)
                return group.latitude if group and group.latitude is not None else self.config.latitude
            case "rain_mm":
                return self._rain_mm()
            case "turned_on":
                return self._last_day(frame, "turned")
            case "was_hot":
                return "yes" if self._was_hot(frame) else "no"
            case "squeeze":
                return self._lately(frame, key, RECENT)
            case "squeeze_now" | "smell_now":
                return self._lately(frame, key.removesuffix("_now"), JUST_NOW)
            case "pile":
                return frame.pile if frame else None
            case "piles":
                return sorted(self.piles_for("built"))
            case "people":
                return known_names(self.store.farmers.of_line(self.line.line_id))
            case "last_report":
                return self.last_report.text[:60] if self.last_report else None
            case "last_cause":
                return self._last_cause()
            case "turns":
                return len(self._days_of(frame, "turned"))
            case "turned_days":
                return self._days_of(frame, "turned")
            case "heats":
                return self._heats(frame)
            case "history":
                return self._history(frame)
            case "next_on":
                return self._next_on(frame)
        raise KeyError(key)

    def _rain_mm(self) -> float:
        since = local_day(self.now, self.zone) - timedelta(days=RAIN_DAYS - 1)
        places = [ANYWHERE, f"line {self.line.line_id}", *([self.farmer.place] if self.farmer.place else [])]
        return max(self.store.rain.total_mm(place, since) for place in places)

    def _readings(self, frame: Frame | None, kind: str | None) -> list[Any]:
        if frame is None or frame.pile is None:
            return []
        return self.store.readings.latest(
            self.line.line_id, self.farmer.farmer_no, frame.pile, kind=kind, limit=MOST_READINGS
        )

    def _lately(self, frame: Frame | None, kind: str, within: timedelta) -> str | None:
        found = [r for r in self._readings(frame, kind) if self.now - r.at < within]
        return found[0].value if found else None

    def _last_day(self, frame: Frame | None, kind: str) -> str | None:
        found = self._readings(frame, kind)
        return local_day(found[0].at, self.zone).isoformat() if found else None

    def _last_cause(self) -> str | None:
        """What was last found wrong with a pile of this farmer, of the newest pile that had something."""
        piles = self.store.piles.of_farmer(self.line.line_id, self.farmer.farmer_no)
        found = [str(pile.facts["cause"]) for pile in piles if pile.facts.get("cause")]
        return found[-1] if found else None

    def _built(self, frame: Frame | None) -> date | None:
        pile = self._pile(frame)
        return date.fromisoformat(pile.facts["built_on"]) if pile and "built_on" in pile.facts else None

    def _age_at(self, frame: Frame | None, at: datetime) -> int | None:
        built = self._built(frame)
        return None if built is None else (local_day(at, self.zone) - built).days

    def _days_of(self, frame: Frame | None, kind: str) -> list[int]:
        """The ages of the pile on the days of such readings. [d]"""
        ages = {self._age_at(frame, r.at) for r in self._readings(frame, kind)}
        return sorted(age for age in ages if age is not None and age >= 0)

    def _heats(self, frame: Frame | None) -> list[list[float]]:
        """Age of the pile and temperature of each reading with a thermometer. [d], [C]"""
        readings = [r for r in self._readings(frame, "feel") if r.celsius is not None]
        ages = [(self._age_at(frame, r.at), r.celsius) for r in readings]
        return [[age, celsius] for age, celsius in ages if age is not None and age >= 0]

    def _history(self, frame: Frame | None) -> list[list[Any]]:
        """All that was told of the pile, oldest first: its age [d], the kind, the word, the temperature [C]."""
        told = []
        for reading in reversed(self._readings(frame, None)):
            age = self._age_at(frame, reading.at)
            if age is not None and age >= 0:
                told.append([age, reading.kind, reading.value, reading.celsius])
        return told

    def _was_hot(self, frame: Frame | None) -> bool:
        return any(r.value in ("warm", "hot", "too_hot") for r in self._readings(frame, "feel"))

    def _next_on(self, frame: Frame | None) -> str | None:
        letter = frame.pile if frame else None
        tasks = self.store.tasks.of_farmer(self.line.line_id, self.farmer.farmer_no, letter)
        return local_day(tasks[0].due_at, self.zone).isoformat() if tasks else None

    # -- actions

    def _new_farmer(self, frame: Frame) -> None:
        group = self.config.group(self.meaning.code if self.meaning else None)
        if group is not None:
            language = self.farmer.language or group.language
            self.farmer = msgspec.structs.replace(
                self.farmer, group_code=group.code, language=language, place=self.farmer.place or group.place
            )
            self._farmer_changed = True

    def _consent(self, frame: Frame) -> None:
        self.farmer = msgspec.structs.replace(self.farmer, consent_at=self.now)
        self._farmer_changed = True

    def _forget(self, frame: Frame) -> None:
        self.farmer = msgspec.structs.replace(
            self.farmer, name=None, place=None, group_code=None, consent_at=None, facts={}
        )
        self._farmer_changed = True

    def _set_line(self, state: str) -> None:
        self.store.lines.set_state(self.line.line_id, state, self.sent_at)  # type: ignore[arg-type]

    def _plan_pile(self, frame: Frame) -> None:
        """Begin a plan: a plan not yet built is begun anew, a pile that stands is left alone."""
        open_plan = next((p for p in self.piles.values() if p.stage in UNBUILT_STAGES), None)
        if open_plan is None:
            open_plan = self.store.piles.add(self.line.line_id, self.farmer.farmer_no, self.now, "planning")
        frame.pile = open_plan.letter
        self._put(msgspec.structs.replace(open_plan, stage="planning", facts={}))

    def _keep_reading(self, frame: Frame) -> None:
        celsius = self.meaning.celsius if self.meaning else None
        for kind, key in (("feel", "heat"), ("squeeze", "squeeze"), ("smell", "smell")):
            value = self._message_fact(key)
            if value is not None:
                self._reading(frame, kind, str(value), celsius if kind == "feel" else None)
        if self.meaning is not None and self.meaning.word in ("turned", "watered", "both"):
            self._keep_turned(frame)

    def _keep_turned(self, frame: Frame) -> None:
        self._reading(frame, "turned", "yes", None)

    def _keep_rain(self, frame: Frame) -> None:
        told = self.meaning.rain_mm if self.meaning else None
        mm = told if told is not None else RAIN_SAID_MM.get(str(self._message_fact("rain")), 0.0)
        if 0 <= mm < 2000:
            place, today = f"line {self.line.line_id}", local_day(self.now, self.zone)
            self.undo.rain.append((place, today, self.store.rain.of_day(place, today, FARMERS_RAIN)))
            self.store.rain.set_day(place, today, mm, FARMERS_RAIN)
            self._reading(frame, "rain", f"{mm:g}", None)

    def _reading(self, frame: Frame, kind: str, value: str, celsius: float | None) -> None:
        if frame.pile is not None:
            kept = self.store.readings.add(
                self.line.line_id, self.farmer.farmer_no, frame.pile, self.now, kind,
                value=value, celsius=celsius, in_no=self.in_no,
            )  # fmt: skip
            self.undo.readings.append((frame.pile, kept.reading_no, kind))

    def _this_pile(self, frame: Frame) -> None:
        frame.pile = self._answered["pile"]

    def _this_person(self, frame: Frame) -> None:
        self.person = self._answered["person"]

    def _undo_report(self, frame: Frame) -> None:
        if self.last_report is not None:
            self.take_back_last()
            self.taken_back = True

    def take_back_last(self) -> None:
        """Take back the last report; nothing may have changed in this turn before."""
        assert self.last_report is not None
        self.last_report.take_back(self.store, self.line.line_id, self.farmer.farmer_no)
        self._piles = None

    def remove_latest(self, kinds: Collection[str], within: timedelta) -> None:
        """Take back the newest readings of these kinds, on the pile that was last spoken of."""
        letter = self._last_pile or next(iter(self.piles_for("built")), None)
        for kind in kinds if letter is not None else ():
            for reading in self._readings(Frame(dialogue="", version=0, pile=letter), kind)[:1]:
                if abs(self.now - reading.at) < within:
                    self.store.readings.remove(
                        self.line.line_id, self.farmer.farmer_no, reading.letter, reading.reading_no
                    )

    def _erase_me(self, frame: Frame) -> None:
        self.erased = True

    # -- the trainer

    def _ask_trainer(self, frame: Frame) -> None:
        """A question of the farmer's own goes on in the thread that is open, or that was closed lately."""
        self.tell_trainer("question", self._said_to_trainer(), frame)

    def _alert_trainer(self, frame: Frame) -> None:
        self.tell_trainer("alert", self._said_to_trainer(), frame)

    def _alarm_trainer(self, frame: Frame) -> None:
        self.tell_trainer("danger", self._said_to_trainer(), frame)

    def _tell_new_number(self, frame: Frame) -> None:
        self.tell_trainer("number", self._said_to_trainer(), frame)

    def _said_to_trainer(self) -> str:
        return str(self._message_fact("rest") or (self.meaning.text if self.meaning else ""))

    def tell_trainer(self, kind: QuestionKind, text: str, frame: Frame | None = None) -> None:
        """Keep something for the trainer, with the state of the pile."""
        letter = frame.pile if frame else None
        pile = self.piles.get(letter or next(iter(self.piles_for("any")), ""))
        self.store.questions.ask(
            self.line.line_id, self.farmer.farmer_no, kind, text, self.now,
            letter=pile.letter if pile else None, snapshot=self.snapshot(pile),
        )  # fmt: skip

    def _solve(self, frame: Frame) -> None:
        self.store.questions.solve(self.line.line_id, self.farmer.farmer_no, self.now)

    # -- piles

    def snapshot(self, pile: Pile | None) -> dict[str, Any]:
        """What is known of a pile, for the trainer."""
        if pile is None:
            return {}
        readings = self.store.readings.latest(self.line.line_id, self.farmer.farmer_no, pile.letter, limit=10)
        return {
            "letter": pile.letter,
            "stage": pile.stage,
            "facts": pile.facts,
            "readings": msgspec.to_builtins(readings),
        }

    def _pile(self, frame: Frame | None) -> Pile | None:
        return self.piles.get(frame.pile) if frame is not None and frame.pile is not None else None

    def _put(self, pile: Pile) -> None:
        if pile.letter in self.piles:
            self.undo.note_pile(self.piles[pile.letter])
        self.piles[pile.letter] = pile
        self._changed.add(pile.letter)


def _with(facts: Mapping[str, Any], key: str, value: Value | None) -> dict[str, Any]:
    changed = {name: known for name, known in facts.items() if name != key}
    return changed if value is None else {**changed, key: value}
