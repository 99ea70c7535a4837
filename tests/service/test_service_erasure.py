"""To be forgotten: after the confirmation nothing of the farmer is left in the database's files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from phones import PHONE, Farm

from bot.config import Group

OpenFarm = Callable[..., Farm]
SECRETS = ("+447700900001", "447700900001", "Zuwenakhe", "Quillbrook", "limping brown goat", "vuhhu")


def files(here: Farm) -> dict[str, bytes]:
    path = Path(here.config.database)
    return {p.name: p.read_bytes() for p in path.parent.glob(path.name + "*")}


def found(here: Farm) -> list[tuple[str, str]]:
    return [
        (name, s) for name, data in files(here).items() for s in SECRETS if s.lower().encode() in data.lower()
    ]


def with_a_past(farm: OpenFarm) -> Farm:
    here = farm(groups=(Group(code="HILL7", name="Green Hill group"),))
    here.texts("JOIN HILL7", "English", "Zuwenakhe", "Quillbrook", "yes")
    here.texts("plan 2x2x2", "maize stalks, goat manure", "wheelbarrow", "yes", "done", "all", "done")
    here.texts("TRAINER the limping brown goat ate from it", "vuhhu", "new number", "+44 7700 900001")
    here.passes(days=9)
    here.texts("warm")
    return here


def test_after_erasure_the_files_hold_nothing_personal(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    assert {secret for _, secret in found(here)} == set(SECRETS), "the search finds what is there"
    before = here.bot.store.counts(here.clock.now()).lines
    assert here.texts("delete me")[0].endswith("Really erase all? YES or NO")
    assert here.texts("yes") == [
        "Warmheap: all is erased. This is our last message. Write JOIN if you ever want to begin again."
    ]
    here.passes(minutes=2)
    assert found(here) == []
    assert here.bot.store.counts(here.clock.now()).lines == before, "counts are kept"
    assert here.bot.pile_view(PHONE) == {} and here.log() == []


def test_a_farmer_who_says_no_is_not_forgotten(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    assert here.texts("delete me", "no") == ["Good, nothing was erased."]
    here.passes(minutes=2)
    assert here.bot.pile_view(PHONE)["farmer"]["name"] == "Zuwenakhe"


def test_no_message_follows_the_confirmation(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    here.texts("delete me", "yes")
    before = len(here.bot.senders.by_gateway["simulated"]._gateway.sent)  # type: ignore[attr-defined]
    here.passes(days=60)
    assert len(here.bot.senders.by_gateway["simulated"]._gateway.sent) == before  # type: ignore[attr-defined]


def test_the_phone_is_wiped_only_when_the_confirmation_has_left(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    here.receive("delete me")
    here.receive("yes")
    here.bot.run_due()
    assert here.bot.store.lines.by_phone(PHONE) is not None
    assert {secret for _, secret in found(here)} >= {PHONE}
    here.bot.send_queued()
    here.passes(minutes=2)
    assert found(here) == []


def test_who_is_forgotten_may_begin_again_as_a_stranger(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    here.texts("delete me", "yes")
    here.passes(minutes=2)
    assert here.texts("JOIN")[0].startswith("Warmheap: free compost advice")
    assert here.bot.pile_view(PHONE)["piles"] == []


def test_on_a_shared_phone_only_one_is_forgotten(farm: OpenFarm) -> None:
    here = with_a_past(farm)
    here.texts(
        "other person", "Juma", "English", "Upper Field", "yes", "plan 2x2x2", "Zuwenakhe: delete me", "yes"
    )
    here.passes(minutes=2)
    assert {secret for _, secret in found(here)} <= {"+447700900001", "447700900001"}
    assert here.bot.pile_view(PHONE)["farmer"]["name"] == "Juma"
    assert here.texts("status")
