"""All phrases of a list in one tree of words, so that a text is walked through once however many there are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

Item = tuple[str, int]
"""A word of a text and the number of its token; "" stands for what no phrase runs across."""
Ends = tuple[int, ...]


class Tree:
    """Numbers of phrases by their words. Plant all, then pack; a packed tree is walked only.

    A node is a mapping from the next word to a node, with the numbers that end there under "". When packed, a node
    where phrases only end is these numbers alone, and nodes that are the same are one: many phrases end alike.
    """

    def __init__(self) -> None:
        self._root: dict[str, Any] = {}

    def plant(self, words: Iterable[str], number: int) -> None:
        node = self._root
        for word in words:
            node = node.setdefault(word, {})
        ends = node.get("", ())
        if number not in ends:
            node[""] = (*ends, number)

    def pack(self) -> None:
        self._root = _Packer().packed_root(self._root)

    def ends_of(self, words: Iterable[str]) -> Ends:
        """The numbers of the phrases that these words are."""
        node: Any = self._root
        for word in words:
            node = node.get(word) if type(node) is dict else None
        return _ends(node)

    def single_words(self) -> Iterator[tuple[str, Ends]]:
        """Every word that is a phrase by itself, with the numbers."""
        for word, node in self._root.items():
            if ends := _ends(node):
                yield word, ends

    def along(self, stream: Sequence[Item], start: int) -> list[tuple[int, int, int]]:
        """Every phrase that begins at `start` of a text: its number, the place after it, its tokens as bits."""
        found = []
        node: Any = self._root
        mask = 0
        for place in range(start, len(stream)):
            word, token = stream[place]
            node = node.get(word) if word and type(node) is dict else None
            if node is None:
                break
            mask |= 1 << token
            for number in _ends(node):
                found.append((number, place + 1, mask))
        return found


def _ends(node: Any) -> Ends:
    if node is None:
        return ()
    return node.get("", ()) if type(node) is dict else node  # type: ignore[no-any-return]


class _Packer:
    def __init__(self) -> None:
        self._ends: dict[Ends, Ends] = {}
        self._nodes: dict[tuple[Any, ...], dict[str, Any]] = {}

    def packed_root(self, root: dict[str, Any]) -> dict[str, Any]:
        return {word: self._packed(node) for word, node in root.items()}

    def _packed(self, node: Any) -> Any:
        if type(node) is not dict:
            return self._ends.setdefault(node, node)
        if len(node) == 1 and "" in node:
            return self._packed(node[""])
        packed = {word: self._packed(each) for word, each in node.items()}
        key = tuple(sorted((word, id(each)) for word, each in packed.items()))
        return self._nodes.setdefault(key, packed)
