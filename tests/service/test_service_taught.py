"""A word taught at the command line is understood by the bot that is running, from the next message on."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
import yaml
from phones import Farm

from bot.clock import HandClock
from bot.commands import taught, teach, unread

OpenFarm = Callable[..., Farm]
NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


def run_teach(db: Path, *argv: str) -> int:
    return teach.main(["--db", str(db), "--lang", "en", *argv], HandClock(NOW))


def forbidden_of(here: Farm, text: str) -> tuple[str, ...] | None:
    return here.bot.readers.current().read(text, "en", "materials").forbidden


def test_the_running_bot_learns_and_forgets_a_word(farm: OpenFarm, tmp_path: Path) -> None:
    here, db = farm(), tmp_path / "farm.db"
    before = here.bot.readers.current()
    assert forbidden_of(here, "weeds, glimberry") is None
    assert here.bot.readers.current() is before, "nothing is built anew while nothing is taught"
    assert run_teach(db, "glimberry", "forbidden", "diseased_plants") == 0
    assert forbidden_of(here, "weeds, glimberry") == ("diseased_plants",)
    assert run_teach(db, "--forget", "glimberry") == 0
    assert forbidden_of(here, "weeds, glimberry") is None


@pytest.mark.parametrize(
    ("argv", "problem"),
    [
        (["bucket", "material", "weeds"], "'bucket' already means measure bucket (measures.bucket.words)"),
        (["weeds", "material", "weeds"], "'weeds' is known already as material weeds"),
        (["glim", "material", "gold"], "'gold' is no material; there are maize_stalks"),
        (["glim", "material"], "material: say which"),
        (["glim", "manure", "cow"], "manure: has no ids"),
        (["glim/berry", "material", "weeds"], "write a word or some words as a farmer does"),
        (["   ", "material", "weeds"], "write a word or some words as a farmer does"),
        (["of the", "material", "weeds"], "holds no word that counts"),
        (["cold", "feel", "hot"], "also means cold"),
        (["--forget", "glim"], "'glim' was not taught"),
    ],
)
def test_what_cannot_be_taught_is_named(
    farm: OpenFarm, tmp_path: Path, capsys: pytest.CaptureFixture[str], argv: list[str], problem: str
) -> None:
    here = farm()
    assert run_teach(tmp_path / "farm.db", *argv) == 2
    assert problem in capsys.readouterr().err
    assert here.bot.store.taught.all() == []


def test_no_database_is_made_by_a_mistyped_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "famr.db"
    assert run_teach(path, "glim", "common") == 2
    assert unread.main(["--db", str(path)]) == 2
    assert taught.main(["--db", str(path)]) == 2
    assert "there is no" in capsys.readouterr().err
    assert not path.exists()


def test_taught_words_are_written_in_the_shape_of_the_word_list(farm: OpenFarm, tmp_path: Path) -> None:
    farm()
    db = tmp_path / "farm.db"
    assert run_teach(db, "glimberry", "material", "weeds") == 0
    assert run_teach(db, "glimberry", "material", "ash") == 0, "taught anew, it means the new thing only"
    assert run_teach(db, "flarg zint", "reply", "done") == 0
    assert run_teach(db, "zonk", "common") == 0
    out = io.StringIO()
    assert taught.main(["--db", str(db)], out) == 0
    assert yaml.safe_load(out.getvalue()) == {
        "en": {
            "materials": {"ash": {"words": ["glimberry"]}},
            "replies": {"done": ["flarg zint"]},
            "common": ["zonk"],
        }
    }


def test_texts_not_understood_are_shown_by_kind_without_phone_numbers(farm: OpenFarm, tmp_path: Path) -> None:
    here = farm()
    store = here.bot.store
    line = store.lines.find_or_add("+447700900007", "test", NOW).line_id
    for text in ("the glimberry is zonked", "glimberry is zonked!", "call +447700900123 zonked", "hm"):
        store.unread.add(line, NOW, text, language="en", expect=None)
    out = io.StringIO()
    assert unread.main(["--db", str(tmp_path / "farm.db"), "--json"], out) == 0
    told = json.loads(out.getvalue())
    assert told["texts"] == 4
    assert told["words"][:2] == [["zonked", 3], ["glimberry", 2]]
    assert [each["count"] for each in told["kinds"]] == [2, 1, 1]
    assert "+4477" not in out.getvalue()
    plain = io.StringIO()
    assert unread.main(["--db", str(tmp_path / "farm.db"), "--least", "2"], plain) == 0
    assert "     2  glimberry is zonked! | the glimberry is zonked" in plain.getvalue()
