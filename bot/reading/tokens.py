"""Cuts a plain text into words, numbers and marks."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

import msgspec

MAX_TOKENS = 140
MOST = 1e12
"""A number above it is no amount of anything, and its products might not be finite."""
_WORD = r"[^\s\d!-/:-@\[-`{-~°]+(?:'[^\s\d!-/:-@\[-`{-~°]+)*"
_NUMBER = r"\d+(?:\.\d+)?e[+-]?\d+|\d+(?:[.,]\d+)*"
STOPS = frozenset(",.;!?\n:()")
"""Marks that a phrase never runs across."""


class Token(msgspec.Struct):
    """One piece of a text. `stuck`: no space between it and the piece before. `value` may be None for a
    run of digits that is no amount (a phone number, more digits than a number can hold)."""

    kind: Literal["word", "number", "mark"]
    text: str
    stuck: bool = False
    value: float | None = None


class Cutter:
    """Cuts texts. words_with_digits : words such as `m2` that the word lists hold.
    glued : what people write in one word after a digit (`mx`), with its two parts."""

    def __init__(
        self, words_with_digits: Iterable[str] = (), glued: dict[str, tuple[str, str]] | None = None
    ) -> None:
        special = sorted(words_with_digits, key=len, reverse=True)
        first = rf"(?<![^\W\d_])(?:{'|'.join(map(re.escape, special))})(?![^\W_])|" if special else ""
        self._pattern = re.compile(
            f"(?P<special>{first[:-1] or '(?!)'})|(?P<number>{_NUMBER})|(?P<word>{_WORD})|[^ ]"
        )
        self._glued = glued or {}

    def cut(self, plain: str) -> list[Token]:
        """The pieces of a text that went through `Letters.plain`, at most MAX_TOKENS."""
        tokens: list[Token] = []
        end = -1
        for found in self._pattern.finditer(plain):
            stuck = found.start() == end
            end = found.end()
            if len(tokens) >= MAX_TOKENS:
                break
            if found.lastgroup == "number":
                _add_number(tokens, found.group(), stuck)
            elif found.lastgroup:
                self._add_word(tokens, found.group(), stuck)
            else:
                tokens.append(_mark(tokens, found.group(), stuck))
        return tokens

    def _add_word(self, tokens: list[Token], text: str, stuck: bool) -> None:
        text = text.replace("'", "")
        parts = self._glued.get(text) if stuck and tokens and tokens[-1].kind == "number" else None
        for i, part in enumerate(parts or (text,)):
            tokens.append(Token("word", part, stuck or i > 0))


def _mark(tokens: list[Token], mark: str, stuck: bool) -> Token:
    """A mark; one that stands for a word (degrees, times, feet and inches) counts as a word."""
    quote = mark in "'\"" and stuck and bool(tokens) and tokens[-1].kind == "number"
    return Token("word" if quote or mark in "°*" else "mark", mark, stuck)


def _add_number(tokens: list[Token], text: str, stuck: bool) -> None:
    for i, part in enumerate(_split_number(text)):
        negative = i == 0 and stuck and _is_minus(tokens)
        if negative:
            stuck = tokens.pop().stuck
        elif i > 0:
            tokens.append(Token("mark", ","))
        value = _value(part)
        if value is not None and negative:
            value = -value
        tokens.append(Token("number", "-" * negative + part, stuck and i == 0, value))


def _is_minus(tokens: list[Token]) -> bool:
    """A minus sign that touches its number, and no number or word before it (`2-3`, `goat-3`)."""
    if not tokens or tokens[-1].text != "-":
        return False
    if len(tokens) == 1:
        return True
    before = tokens[-2]
    return before.text in ("x", "*") or (not tokens[-1].stuck and before.kind != "number")


def _split_number(text: str) -> list[str]:
    """`2,2,2` and `2.2.2` are three numbers; `1,500` or `1.500,5` is one."""
    if (
        "e" in text
        or re.fullmatch(r"\d+(?:[.,]\d+)?", text)
        or re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", text)
    ):
        return [text]
    return re.split("[.,]", text)


def _value(text: str) -> float | None:
    digits = sum(c.isdigit() for c in text)
    if text.count(",") > 1 or ("," in text and "." in text) or re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
        text = text.replace(",", "")
    elif (digits > 9 and text.isdigit()) or (text[0] == "0" and len(text) > 6 and text.isdigit()):
        return None  # a phone number or a prank, not an amount
    value = float(text.replace(",", "."))
    return value if value <= MOST else None
