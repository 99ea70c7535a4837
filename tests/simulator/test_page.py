"""The page's endpoints, without a browser."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from flask.testing import FlaskClient

from bot import read_config
from simulator.guard import is_local_name
from simulator.opening import open_season
from simulator.page import LARGEST_BODY, create_page
from simulator.views import next_free_phone, tariff_of

FARMER = "+447700900001"
OTHER = "+447700900002"


@pytest.fixture
def page() -> Iterator[FlaskClient]:
    """A page on a season of its own."""
    with opened() as client:
        yield client


@pytest.fixture(scope="module")
def used_page() -> Iterator[FlaskClient]:
    """A page that other tests use too; cheaper, since opening a bot reads every word list."""
    with opened() as client:
        yield client


@contextmanager
def opened() -> Iterator[FlaskClient]:
    config = read_config(None)
    with open_season(config) as season:
        app = create_page(season, tariff_of(config))
        app.testing = True
        yield app.test_client()


def say(page: FlaskClient, text: str, phone: str = FARMER) -> Any:
    answer = page.post("/say", json={"phone": phone, "text": text})
    assert answer.status_code == 200
    return answer.get_json()


def test_the_page_and_its_parts_come_from_here(used_page: FlaskClient) -> None:
    shown = used_page.get("/").get_data(as_text=True)
    assert '<html lang="en">' in shown
    assert "http://" not in shown and "https://" not in shown
    for part in ("page.css", "page.js", "mark.svg"):
        assert f"/static/{part}" in shown
        with used_page.get(f"/static/{part}") as found:
            assert found.status_code == 200


def test_the_first_state_is_a_monday_morning_with_nothing_said(page: FlaskClient) -> None:
    state = page.get("/state").get_json()
    assert state["clock"]["day"] == "Monday 2 March 2026"
    assert state["clock"]["time"] == "09:00"
    assert state["phone"] == FARMER
    assert state["phones"] == [{"phone": FARMER, "received": 0}]
    assert state["next_phone"] == OTHER
    assert state["messages"] == []
    assert state["totals"]["segments"] == 0


def test_a_text_is_answered_and_counted(page: FlaskClient) -> None:
    state = say(page, "JOIN")
    asked, *answers = state["messages"]
    assert (asked["inbound"], asked["text"], asked["read"]) == (True, "JOIN", "read as topic: join")
    assert asked["cost"] is None
    assert answers
    assert {one["why"] for one in answers} == {"reply"}
    assert state["totals"]["received"] == 1
    assert state["totals"]["sent"] == len(answers)
    assert state["totals"]["segments"] == sum(one["segments"] for one in answers)


def test_the_cost_is_price_times_segments(used_page: FlaskClient) -> None:
    config = read_config(None)
    tariff = tariff_of(config)
    state = say(used_page, "JOIN")
    shown = state["totals"]["cost"].replace("\u00a0", " ")
    currency, amount = shown.split(" ")
    assert currency == config.currency
    assert float(amount) == pytest.approx(float(tariff.price) * state["totals"]["segments"], abs=5e-5)


def test_each_phone_has_its_own_list(page: FlaskClient) -> None:
    say(page, "JOIN")
    state = say(page, "HELP", OTHER)
    assert [one["text"] for one in state["messages"] if one["inbound"]] == ["HELP"]
    assert [one["phone"] for one in state["phones"]] == [FARMER, OTHER]
    assert state["next_phone"] == "+447700900003"
    again = page.get("/state", query_string={"phone": FARMER}).get_json()
    assert [one["text"] for one in again["messages"] if one["inbound"]] == ["JOIN"]


@pytest.mark.parametrize(("hours", "day"), [(24, "Tuesday 3 March 2026"), (168, "Monday 9 March 2026")])
def test_the_clock_moves(page: FlaskClient, hours: float, day: str) -> None:
    state = page.post("/move", json={"phone": FARMER, "hours": hours}).get_json()
    assert (state["clock"]["day"], state["clock"]["time"]) == (day, "09:00")


def test_to_the_next_reminder_when_none_waits(page: FlaskClient) -> None:
    state = page.post("/move", json={"phone": FARMER}).get_json()
    assert state["clock"]["next_due"] is None
    assert state["clock"]["day"] == "Monday 2 March 2026"


@pytest.mark.parametrize(
    "text",
    ["", " ", "<script>alert(1)</script>", "=1+1", "'; DROP TABLE message; --", "\x00\x1b", "م" * 1000, "🙂"],
)
def test_any_text_is_taken_as_it_is(used_page: FlaskClient, text: str) -> None:
    seen = len(used_page.get("/state").get_json()["messages"])
    asked, *answers = say(used_page, text)["messages"][seen:]
    assert asked["text"] == text
    assert answers


@pytest.mark.parametrize(
    ("path", "body", "reason"),
    [
        ("/say", {"phone": "call me", "text": "hi"}, "no phone number"),
        ("/say", {"phone": FARMER}, "text"),
        ("/say", {"phone": FARMER, "text": 5}, "str"),
        ("/move", {"phone": FARMER, "hours": -1}, "0 hours"),
        ("/move", {"phone": FARMER, "hours": 1e9}, "3660 days"),
        ("/rain", {"phone": FARMER, "mm": -1}, "0 to 2000 mm"),
        ("/rain", {"phone": FARMER, "mm": None}, "float"),
        ("/rain", {"phone": FARMER, "mm": 1, "cm": 1}, "cm"),
    ],
)
def test_a_bad_order_is_refused_with_a_reason(
    used_page: FlaskClient, path: str, body: Any, reason: str
) -> None:
    before = used_page.get("/state").get_json()
    answer = used_page.post(path, json=body)
    assert answer.status_code == 400
    assert reason in answer.get_json()["error"]
    assert used_page.get("/state").get_json() == before


@pytest.mark.parametrize("body", [b"", b"{", b"\xff", b'{"phone": "+447700900001", "text": "\\ud800"}'])
def test_a_body_that_is_no_json_is_refused(used_page: FlaskClient, body: bytes) -> None:
    answer = used_page.post("/say", data=body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.get_json()["error"]


def test_a_body_without_end_is_refused(used_page: FlaskClient) -> None:
    answer = used_page.post("/say", json={"phone": FARMER, "text": "x" * LARGEST_BODY})
    assert answer.status_code == 413


def test_an_unknown_address_is_answered_in_json(used_page: FlaskClient) -> None:
    answer = used_page.get("/nowhere")
    assert answer.status_code == 404
    assert answer.get_json()["error"]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://localhost"}, 200),
        ({"Origin": "http://localhost:81"}, 403),
        ({"Origin": "https://elsewhere.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Host": "elsewhere.example"}, 403),
        ({"Host": "127.0.0.1:8025", "Origin": "http://127.0.0.1:8025"}, 200),
        ({"Host": "[::1]:8025"}, 200),
    ],
)
def test_other_websites_cannot_give_orders(
    used_page: FlaskClient, headers: dict[str, str], status: int
) -> None:
    answer = used_page.post("/rain", json={"phone": FARMER, "mm": 1}, headers=headers)
    assert answer.status_code == status


def test_a_form_of_another_website_cannot_give_orders(used_page: FlaskClient) -> None:
    assert used_page.post("/rain", data={"phone": FARMER, "mm": "1"}).status_code == 415
    assert used_page.post("/rain", data='{"mm":1}', content_type="text/plain").status_code == 415


@pytest.mark.parametrize("path", ["/", "/state", "/static/page.js", "/nowhere"])
def test_every_answer_forbids_foreign_content(used_page: FlaskClient, path: str) -> None:
    with used_page.get(path) as answer:
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert "unsafe" not in answer.headers["Content-Security-Policy"]
        assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize(
    ("host", "local"),
    [
        ("localhost:8025", True),
        ("192.168.1.7", True),
        ("", False),
        ("localhost.elsewhere.example", False),
        ("[::1", False),
        ("127.0.0.1.elsewhere.example", False),
    ],
)
def test_which_host_names_are_ours(host: str, local: bool) -> None:
    assert is_local_name(host) is local


def test_new_farmers_get_the_lowest_free_number_until_the_range_ends() -> None:
    everyone = {f"+{447700900000 + place}" for place in range(1000)}
    assert next_free_phone(everyone - {OTHER, "+447700900999"}) == OTHER
    assert next_free_phone(everyone - {"+447700900999"}) == "+447700900999"
    assert next_free_phone(everyone) is None
