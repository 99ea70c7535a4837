"""Questions that wait for the trainer, each with the thread of what was written to and fro."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from .database import Database
from .rows import Question, QuestionKind, ThreadEntry

REOPENS = timedelta(days=14)
"""A farmer who asks again so soon after the question was closed goes on with it."""


class Questions:
    def __init__(self, db: Database) -> None:
        self._db = db

    def add(
        self,
        line_id: int,
        farmer_no: int,
        text: str,
        now: datetime,
        *,
        letter: str | None = None,
        snapshot: Mapping[str, Any] | None = None,
        kind: QuestionKind = "question",
    ) -> Question:
        """Keep a new question for the trainer, with the state of the pile as it is now."""
        with self._db.transaction():
            number = self._db.next_no("questions", "question_no", line_id=line_id)
            question = Question(
                line_id=line_id, question_no=number, at=now, farmer_no=farmer_no, letter=letter, text=text,
                snapshot=dict(snapshot or {}), kind=kind,
            )  # fmt: skip
            self._db.insert(
                "questions", {name: getattr(question, name) for name in Question.__struct_fields__}
            )
            self._write(question, "farmer", text, now)
            return question

    def ask(
        self, line_id: int, farmer_no: int, kind: QuestionKind, text: str, now: datetime, *,
        letter: str | None = None, snapshot: Mapping[str, Any] | None = None,
    ) -> Question:  # fmt: skip
        """Keep a question; a farmer's own goes on in the thread that is open or was closed lately."""
        with self._db.transaction():
            before = self._last(line_id, farmer_no, now - REOPENS) if kind == "question" else None
            if before is None:
                return self.add(line_id, farmer_no, text, now, letter=letter, snapshot=snapshot, kind=kind)
            self._db.change(
                "UPDATE questions SET at = CASE WHEN answered_at IS NULL AND closed_at IS NULL THEN at ELSE ? END,"
                " answered_at = NULL, closed_at = NULL, letter = coalesce(?, letter), snapshot = ?"
                " WHERE line_id = ? AND question_no = ?",
                *(now, letter, dict(snapshot or {}), line_id, before.question_no),
            )
            self._write(before, "farmer", text, now)
            found = self.get(line_id, before.question_no)
            assert found is not None
            return found

    def _last(self, line_id: int, farmer_no: int, since: datetime) -> Question | None:
        return self._db.struct(
            Question,
            "FROM questions WHERE line_id = ? AND farmer_no = ? AND kind = 'question'"
            " AND (closed_at IS NULL OR closed_at > ?) ORDER BY question_no DESC LIMIT 1",
            *(line_id, farmer_no, since),
        )

    def _write(self, question: Question, who: str, text: str, now: datetime) -> None:
        key = {"line_id": question.line_id, "question_no": question.question_no}
        number = self._db.next_no("thread", "entry_no", **key)
        self._db.insert("thread", key | {"entry_no": number, "at": now, "who": who, "text": text})

    def open(self) -> list[Question]:
        """Questions that wait for the trainer: danger first, then those that have waited longest."""
        return self._db.structs(
            Question,
            "FROM questions WHERE answered_at IS NULL AND closed_at IS NULL"
            " ORDER BY kind <> 'danger', at, line_id, question_no",
        )

    def get(self, line_id: int, question_no: int) -> Question | None:
        return self._db.struct(
            Question, "FROM questions WHERE line_id = ? AND question_no = ?", line_id, question_no
        )

    def thread(self, line_id: int, question_no: int) -> list[ThreadEntry]:
        """What was written, in order."""
        return self._db.structs(
            ThreadEntry,
            "FROM thread WHERE line_id = ? AND question_no = ? ORDER BY entry_no",
            *(line_id, question_no),
        )

    def answer(self, line_id: int, question_no: int, answer: str, now: datetime) -> bool:
        """Keep the trainer's answer; False when there is no such open question."""
        with self._db.transaction():
            taken = self._db.change(
                "UPDATE questions SET answer = ?, answered_at = ?"
                " WHERE line_id = ? AND question_no = ? AND answered_at IS NULL AND closed_at IS NULL",
                *(answer, now, line_id, question_no),
            )
            question = self.get(line_id, question_no)
            if taken and question is not None:
                self._write(question, "trainer", answer, now)
            return bool(taken)

    def solve(self, line_id: int, farmer_no: int, now: datetime) -> int:
        """The farmer's own questions are closed; returns how many were not yet."""
        return self._db.change(
            "UPDATE questions SET closed_at = ? WHERE line_id = ? AND farmer_no = ? AND kind = 'question'"
            " AND closed_at IS NULL",
            *(now, line_id, farmer_no),
        )
