"""What is to be done later: dialogues with a due time."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any

from .database import Database
from .rows import Task, TaskState


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
                line_id=line_id, task_no=self._db.next_no("tasks", "task_no", line_id=line_id), farmer_no=farmer_no,
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
    ) -> list[int]:
        """Give up tasks that are set; what is left out stands for any. Returns their numbers."""
        dropped = self._db.rows(
            "UPDATE tasks SET state = 'dropped' WHERE line_id = ? AND state = 'due'"
            " AND (? IS NULL OR farmer_no = ?) AND (? IS NULL OR letter = ?) AND (? IS NULL OR dialogue = ?)"
            " RETURNING task_no",
            *(line_id, farmer_no, farmer_no, letter, letter, dialogue, dialogue),
        )
        return sorted(number for (number,) in dropped)

    def set_states(self, line_id: int, numbers: Collection[int], of: TaskState, to: TaskState) -> None:
        """Put those of the tasks that stand in one state into another (to take back what a report caused)."""
        for number in numbers:
            self._db.change(
                "UPDATE tasks SET state = ? WHERE line_id = ? AND task_no = ? AND state = ?",
                *(to, line_id, number, of),
            )

    def due_on(self, line_id: int, now: datetime) -> list[Task]:
        """What is due on one line, in the order of the times."""
        return self._db.structs(
            Task,
            "FROM tasks WHERE line_id = ? AND state = 'due' AND due_at <= ? ORDER BY due_at, task_no",
            *(line_id, now),
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
