"""The page in a real browser: the distribution's Chromium, without a screen."""

import os
import re
from collections.abc import Iterator
from pathlib import Path
from threading import Thread

import pytest
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, expect, sync_playwright
from waitress import create_server, wasyncore

from bot import read_config
from simulator.opening import open_season
from simulator.page import create_page
from simulator.server import listen, web_address
from simulator.views import tariff_of

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

CHROMIUM = Path("/usr/bin/chromium")
QUIET = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"small phone": {"width": 360, "height": 740}, "desktop": {"width": 1280, "height": 900}}


FROM_JOIN_TO_A_PILE = [
    *("JOIN", "1", "Amina", "Kivuli", "yes"),
    *("PLAN", "2x2x2", "maize stalks, goat manure, soil", "wheelbarrow", "yes"),
    *("DONE", "ALL", "DONE"),
]


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BrowserContext]:
    if not CHROMIUM.exists():
        hint = f"{CHROMIUM} is missing; on Debian: apt-get install chromium (as .ci/run does)"
        if os.environ.get("CI") == "true":
            pytest.fail(hint)
        pytest.skip(hint)
    profile = tmp_path_factory.mktemp("profile")
    with sync_playwright() as driver:
        context = driver.chromium.launch_persistent_context(profile, executable_path=CHROMIUM, args=QUIET)
        context.set_default_timeout(10_000)
        yield context
        context.close()


@pytest.fixture
def address() -> Iterator[str]:
    """A fresh season, served."""
    config = read_config(None)
    with open_season(config) as season, listen("127.0.0.1", 0) as taken:
        server = create_server(create_page(season, tariff_of(config)), sockets=[taken], threads=4)
        thread = Thread(target=server.run)
        thread.start()
        yield web_address(taken)
        # Everything at once, since a browser holds its connections open.
        server.trigger.pull_trigger(lambda: wasyncore.close_all(server._map, ignore_all=True))
        thread.join(timeout=10)
        server.task_dispatcher.shutdown()
        assert not thread.is_alive()


@pytest.fixture(params=["desktop"])
def page(request: pytest.FixtureRequest, browser: BrowserContext, address: str) -> Iterator[Page]:
    """The page as it opens, on a desktop unless the test asks for `both_sizes`."""
    tab = browser.new_page()
    troubles: list[str] = []
    tab.on("pageerror", lambda error: troubles.append(str(error)))
    tab.on("console", lambda line: troubles.append(line.text) if is_trouble(line) else None)
    tab.set_viewport_size(SIZES[request.param])
    tab.goto(address)
    expect(tab.locator("#clock")).to_have_text("09:00")
    yield tab
    tab.close()
    assert troubles == []


both_sizes = pytest.mark.parametrize("page", SIZES, indirect=True)


def is_trouble(line: ConsoleMessage) -> bool:
    """Whether the browser complains; of a request that a test cuts off on purpose it may."""
    return line.type == "error" and "net::ERR_FAILED" not in line.text


def send(page: Page, text: str) -> None:
    """Write in the box, press Send, and wait until the box is empty again: the text has been taken."""
    page.get_by_label("Write as the farmer").fill(text)
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_label("Write as the farmer")).to_have_value("")
    expect(page.locator("main")).to_have_attribute("aria-busy", "false")


def assert_fits(page: Page) -> None:
    """Nothing sticks out sideways."""
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


@both_sizes
def test_a_farmer_joins_and_a_week_brings_reminders(page: Page) -> None:
    expect(page.get_by_role("log")).to_contain_text("Write JOIN and press Send")
    assert_fits(page)
    thread = page.get_by_role("log")
    for text in FROM_JOIN_TO_A_PILE:
        send(page, text)
        expect(thread.locator(".mine .words").last).to_have_text(text)
        expect(thread.locator("li").last).to_contain_text("Warmheap: ")
    expect(page.get_by_role("heading", name="Pile A")).to_be_visible()
    page.get_by_role("button", name="+1 week").click()
    expect(page.locator("#day")).to_have_text("Monday 9 March 2026")
    reminder = page.locator("#record li.reminder").first
    expect(reminder).to_contain_text("segment")
    expect(reminder).to_contain_text(read_config(None).currency)
    assert_fits(page)


@both_sizes
def test_hostile_text_is_shown_as_text(page: Page) -> None:
    hostile = '<img src=x onerror="document.title=\'broken\'"><script>document.title="broken"</script>'
    send(page, hostile)
    expect(page.locator("#thread .mine .words")).to_have_text(hostile)
    expect(page.locator("#record .inbound .words")).to_have_text(hostile)
    assert page.locator("#thread img, #record img, #thread script, #record script").count() == 0
    assert page.title() == "Warmheap: a phone to try it on"


@both_sizes
def test_a_long_word_does_not_stretch_the_page(page: Page) -> None:
    send(page, "x" * 900)
    assert_fits(page)


def test_right_to_left_text_keeps_its_direction(page: Page) -> None:
    send(page, "\u0627\u0644\u0643\u0648\u0645\u0629 \u0628\u0627\u0631\u062f\u0629")
    words = page.locator("#thread .mine .words")
    expect(words).to_have_attribute("dir", "auto")
    assert words.evaluate("one => getComputedStyle(one).direction") == "rtl"


def test_enter_sends_and_shift_enter_starts_a_line(page: Page) -> None:
    box = page.get_by_label("Write as the farmer")
    box.press_sequentially("HE")
    box.press("Shift+Enter")
    box.press_sequentially("LP")
    box.press("Enter")
    expect(page.locator("#thread .mine .words")).to_have_text(re.compile("HE\\s+LP"))
    expect(box).to_be_focused()


@both_sizes
def test_another_farmer_has_another_phone(page: Page) -> None:
    send(page, "JOIN")
    page.get_by_role("button", name="Add a farmer").click()
    expect(page.get_by_label("Phone in hand")).to_have_value("+447700900002")
    expect(page.locator("#thread .mine")).to_have_count(0)
    send(page, "HELP")
    page.get_by_label("Phone in hand").select_option("+447700900001")
    expect(page.locator("#thread .mine .words")).to_have_text("JOIN")


def test_a_suggestion_goes_into_the_box(page: Page) -> None:
    page.get_by_role("button", name="how much manure for a pile 2x2x2").click()
    expect(page.get_by_label("Write as the farmer")).to_have_value("how much manure for a pile 2x2x2")


def test_rain_is_reported_and_bad_amounts_are_not(page: Page) -> None:
    page.get_by_label("Rain, mm").fill("-3")
    page.get_by_role("button", name="Report rain").click()
    assert page.get_by_label("Rain, mm").evaluate("one => one.validity.rangeUnderflow")
    page.get_by_label("Rain, mm").fill("12.5")
    with page.expect_response("**/rain") as answer:
        page.get_by_role("button", name="Report rain").click()
    assert answer.value.status == 200


def test_every_control_has_a_name_and_the_keyboard_reaches_it(page: Page) -> None:
    controls = page.locator("button, select, input, textarea")
    for control in controls.all():
        name = control.evaluate("one => one.labels?.[0]?.textContent || one.textContent")
        assert name.strip()
    reached = set()
    for _ in range(controls.count() + 3):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id || document.activeElement.textContent"))
    assert {"+1 day", "+1 week", "mm", "phones", "add", "thread", "text", "Send", "STOP"} <= reached


def test_when_the_server_is_gone_the_text_is_kept(page: Page) -> None:
    page.route("**/say", lambda route: route.abort())
    page.get_by_label("Write as the farmer").fill("stick is cold")
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("alert")).to_contain_text("does not answer")
    expect(page.get_by_label("Write as the farmer")).to_have_value("stick is cold")
