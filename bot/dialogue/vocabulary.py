"""What dialogue files may name: kinds of values, computations and actions. Handed in, never known here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from bot.reading.meaning import Meaning

Value = Any
"""A fact's value: text, number, bool, or lists and mappings of them (kept as JSON)."""


class ValueKind(msgspec.Struct, frozen=True, kw_only=True):
    """A kind of value, and how an answer of that kind is taken from a text's meaning.

    values : the only values there are, or () when open.
    reads : what the reader is told to expect; None when a farmer is never asked for it.
    take : the value that a meaning holds, or None.
    offered : there are no values but the reply words that the question offers.
    carries : a value said before it is asked for may be used (true of a size, not of a yes).
    own : only the surroundings can tell what the answer means (World.own_answer), not `take`.
    """

    name: str
    values: tuple[str, ...] = ()
    reads: str | None = None
    take: Callable[[Meaning], Value | None] | None = None
    carries: bool = False
    offered: bool = False
    own: bool = False


class Quantity(msgspec.Struct, frozen=True, kw_only=True):
    """An input or output of a computation: its kind, its allowed words, and whether it may be missing."""

    kind: str
    values: tuple[str, ...] = ()
    optional: bool = False


class Computation(msgspec.Struct, frozen=True, kw_only=True):
    """A named computation with declared inputs and outputs."""

    name: str
    inputs: Mapping[str, Quantity]
    outputs: Mapping[str, Quantity]
    run: Callable[..., Mapping[str, Value]]


class Vocabulary(msgspec.Struct, frozen=True, kw_only=True):
    """All that dialogue files may name.

    given : facts that the surroundings always provide (`bot.today`, `message.materials`), with their kinds.
    refusals : what a computation raises when it cannot count with what it is given.
    """

    kinds: Mapping[str, ValueKind]
    computations: Mapping[str, Computation]
    actions: frozenset[str]
    topics: frozenset[str]
    reply_words: frozenset[str]
    given: Mapping[str, Quantity]
    refusals: tuple[type[Exception], ...] = ()
