"""What is to be done later: dialogues with a due time, and questions that wait for the trainer."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from .database import Database
from .rows import Question, Task, TaskState


class Tasks:
    def __init__(self, db: Database) -> None:
        self._db = db

    def add(
        self,
        line_id: int,
        farmer_no: int,
        dialogue: str,
        due_at: datetime,
        now: datetime,
        *,
        letter: str | None = None,
        data: Mapping[str, Any] | None = None,
    ) -> Task:
        with self._db.transaction():
            task = Task(
                line_id=line_id, task_no=_next(self._db, "tasks", "task_no", line_id), farmer_no=farmer_no,
                letter=letter, dialogue=dialogue, due_at=due_at, data=dict(data or {}), created_at=now,
            )  # fmt: skip
            self._db.insert("tasks", {name: getattr(task, name) for name in Task.__struct_fields__})
            return task

    def due(self, now: datetime, limit: int) -> list[Task]:
        """Tasks whose time has come, in the order of their times."""
        return self._db.structs(
            Task,
            "FROM tasks WHERE state = 'due' AND due_at <= ? ORDER BY due_at, line_id, task_no LIMIT ?",
            *(now, limit),
        )

    def next_due(self) -> datetime | None:
        """The earliest time for which a task is set."""
        row = self._db.row("SELECT min(due_at) FROM tasks WHERE state = 'due'")
        return None if row is None or row[0] is None else datetime.fromisoformat(row[0])

    def of_farmer(self, line_id: int, farmer_no: int, letter: str | None = None) -> list[Task]:
        """Tasks still set for a farmer, or for one pile when `letter` is given, by time."""
        return self._db.structs(
            Task,
            "FROM tasks WHERE line_id = ? AND farmer_no = ? AND state = 'due' AND (? IS NULL OR letter = ?)"
            " ORDER BY due_at, task_no",
            *(line_id, farmer_no, letter, letter),
        )

    def drop(
        self,
        line_id: int,
        farmer_no: int | None = None,
        letter: str | None = None,
        dialogue: str | None = None,
    ) -> int:
        """Give up tasks that are set; what is left out stands for any. Returns how many."""
        return self._db.change(
            "UPDATE tasks SET state = 'dropped' WHERE line_id = ? AND state = 'due'"
            " AND (? IS NULL OR farmer_no = ?) AND (? IS NULL OR letter = ?) AND (? IS NULL OR dialogue = ?)",
            *(line_id, farmer_no, farmer_no, letter, letter, dialogue, dialogue),
        )

    def finish(self, task: Task, state: TaskState = "done") -> bool:
        """End a task; False when it was no longer set (another process did it, or it was dropped)."""
        return bool(
            self._db.change(
                "UPDATE tasks SET state = ? WHERE line_id = ? AND task_no = ? AND state = 'due'",
                *(state, task.line_id, task.task_no),
            )
        )

    def move(self, task: Task, due_at: datetime) -> bool:
        """Set another time; False when the task was no longer set."""
        return bool(
            self._db.change(
                "UPDATE tasks SET due_at = ? WHERE line_id = ? AND task_no = ? AND state = 'due'",
                *(due_at, task.line_id, task.task_no),
            )
        )


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
    ) -> Question:
        """Keep a question for the trainer, with the state of the pile as it is now."""
        with self._db.transaction():
            question = Question(
                line_id=line_id, question_no=_next(self._db, "questions", "question_no", line_id), at=now,
                farmer_no=farmer_no, letter=letter, text=text, snapshot=dict(snapshot or {}),
            )  # fmt: skip
            self._db.insert(
                "questions", {name: getattr(question, name) for name in Question.__struct_fields__}
            )
            return question

    def open(self) -> list[Question]:
        """Questions without an answer, oldest first."""
        return self._db.structs(
            Question, "FROM questions WHERE answered_at IS NULL ORDER BY at, line_id, question_no"
        )

    def get(self, line_id: int, question_no: int) -> Question | None:
        return self._db.struct(
            Question, "FROM questions WHERE line_id = ? AND question_no = ?", line_id, question_no
        )

    def answer(self, line_id: int, question_no: int, answer: str, now: datetime) -> bool:
        """Keep the trainer's answer; False when there is no such open question."""
        return bool(
            self._db.change(
                "UPDATE questions SET answer = ?, answered_at = ?"
                " WHERE line_id = ? AND question_no = ? AND answered_at IS NULL",
                *(answer, now, line_id, question_no),
            )
        )


def _next(db: Database, table: str, column: str, line_id: int) -> int:
    # Cheap: the key starts with (line_id, number), so max() is one step in the index.
    (last,) = db.rows(f"SELECT max({column}) FROM {table} WHERE line_id = ?", line_id)[0]  # noqa: S608
    return (last or 0) + 1
