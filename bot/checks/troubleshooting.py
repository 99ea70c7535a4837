"""Every row of the published troubleshooting tables, played through the diagnosis: the row's cause comes first."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check, Mark
from bot.coredata import load_causes, read_core_text

_MARKS: dict[str, Mark] = {
    "published": "published",
    "from memory": "from memory",
    "practice": "common practice",
}


def _row(name: str, case: core.Case) -> Check:
    causes = " or ".join(case.causes)
    return Check(
        name, f"rank of {causes} after at most three questions", case.source, _MARKS[case.mark], 1, 0, "rank",
        lambda: core.play(load_causes(), case).rank,
    )  # fmt: skip


ROWS = tuple(
    _row(name, case)
    for name, case in core.parse_cases(read_core_text("causes_rows.toml"), load_causes()).items()
)
