"""`python -m bot verify`: every external check of the calculation core, one a line."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from bot.checks import all_checks, as_line, run


def main(argv: Sequence[str]) -> int:
    """Print the table; 0 if every row passes, 1 on any miss."""
    argparse.ArgumentParser(
        prog="python -m bot verify", description="Check the core against published values."
    ).parse_args(argv)
    outcomes = [run(check) for check in all_checks()]
    for outcome in outcomes:
        print(as_line(outcome))
    failed = sum(not outcome.passed for outcome in outcomes)
    return 1 if failed else 0
