"""Write the replies that the bot gives now into the conversation files.

    python -m tests.golden.rewrite              all of them
    python -m tests.golden.rewrite en/3_plan    these only

Read every change as a farmer would before committing it: the files are what we promise to say.
"""

from __future__ import annotations

import sys

from .runner import FOLDER, conversations, play


def main(names: list[str]) -> None:
    """Rewrite the named files, or all; prints the ones that changed."""
    for path in [FOLDER / f"{name}.txt" for name in names] or conversations():
        text = play(path)
        if text != path.read_text(encoding="utf-8"):
            path.write_text(text, encoding="utf-8")
            print(f"changed: {path.parent.name}/{path.name}")


if __name__ == "__main__":
    main(sys.argv[1:])
