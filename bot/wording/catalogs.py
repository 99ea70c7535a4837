"""gettext catalogs: message texts come out of the dialogue files, translations out of `locales/`.

`python -m bot catalogs` (make messages) brings every catalog up to date with the dialogue files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from bot.datafile import BadFile, read_document
from bot.dialogue.schema import TEXT_FIELDS

DOMAIN, SOURCE = "warmheap", "en"
DRAFT = "Draft: not yet read by a native speaker."
QUOTED = re.compile(r'(msg\w+(\[\d+\])? )?"([^"\\]|\\.)*"')
Texts = Mapping[str, str]


def catalog_path(locales: Path, language: str) -> Path:
    return locales / language / "LC_MESSAGES" / f"{DOMAIN}.po"


def extract(dialogues: Path) -> Iterator[tuple[str, int, str, str]]:
    """Every text a farmer can read: file name, line, text, and the note for the translator."""
    for path in sorted(dialogues.glob("*.yaml")):
        document = read_document(path)
        data = document.data
        for name, step in data.get("steps", {}).items():
            for field in TEXT_FIELDS:
                if step.get(field):
                    yield (
                        path.name,
                        document.line_of(f"steps.{name}.{field}") or 1,
                        step[field],
                        step.get("note", ""),
                    )
        for group in ("texts", "again"):
            for name, text in data.get(group, {}).items():
                yield path.name, document.line_of(f"{group}.{name}") or 1, text, ""


def template(dialogues: Path) -> Catalog:
    """A catalog of all texts, untranslated."""
    # Creation dates would make every run a change.
    catalog = Catalog(
        project="Warmheap", charset="utf-8", header_comment="# Texts of Warmheap, from dialogues/"
    )
    for file, line, text, note in extract(dialogues):
        catalog.add(text, locations=[(f"dialogues/{file}", line)], auto_comments=[note] if note else [])
    return catalog


def read_texts(path: Path) -> Texts:
    """Translations by source text; those that are empty or marked fuzzy are left out. Raises BadFile."""
    try:
        _check_quotes(path)
        with path.open("rb") as stream:
            catalog = read_po(stream, abort_invalid=True)
    except BadFile:
        raise
    except OSError as exc:
        raise BadFile(str(path), None, "", f"cannot be read: {exc}") from None
    except Exception as exc:  # Babel raises PoFileError, UnicodeDecodeError and others for a broken file
        line = getattr(exc, "lineno", None)
        raise BadFile(str(path), line + 1 if line is not None else None, "", f"{exc}") from None
    return {str(m.id): str(m.string) for m in catalog if m.id and m.string and not m.fuzzy}


def _check_quotes(path: Path) -> None:
    """Babel takes a string that is not closed, and drops its last letter."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if line.startswith(("msg", '"')) and not QUOTED.fullmatch(line.rstrip()):
            raise BadFile(str(path), number, "", "a text must stand between two quotation marks")


def update(dialogues: Path, locales: Path) -> dict[str, int]:
    """Bring every language's catalog up to date; returns how many texts each still lacks."""
    missing: dict[str, int] = {}
    fresh = template(dialogues)
    for folder in sorted(p for p in locales.iterdir() if (p / "words.yaml").exists() and p.name != SOURCE):
        path = catalog_path(locales, folder.name)
        path.parent.mkdir(parents=True, exist_ok=True)
        catalog = Catalog(locale=folder.name, project="Warmheap", header_comment=f"# {DRAFT}")
        if path.exists():
            with path.open("rb") as stream:
                catalog = read_po(stream, locale=folder.name)
        catalog.update(fresh, no_fuzzy_matching=True)
        with path.open("wb") as stream:
            write_po(stream, catalog, width=0, ignore_obsolete=True, omit_header=False, sort_by_file=True)
        missing[folder.name] = sum(1 for m in catalog if m.id and not m.string)
    return missing
