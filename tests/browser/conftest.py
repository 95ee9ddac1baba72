"""The real program in real Chromium: a server of its own, an instructor, and learners on phones."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, WebSocketRoute, expect, sync_playwright

from chromium_flags import LEAN
from classroom import Instructor, Learner, Server
from learner_page import button, join, set_sound, settle
from listener_page import HANDED, until
from steady_output import STEADY_OUTPUT

PHONE = {"width": 360, "height": 640}
LAPTOP = {"width": 1280, "height": 800}
PATIENCE_MS = 20_000

expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """One Chromium for all tests; each person is a context, which shares nothing with the others."""
    flags = [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        # Several pages share one window here; a real class has one page in front on each device.
        "--disable-background-timer-throttling",
        "--disable-backgrounding-occluded-windows",
        "--disable-renderer-backgrounding",
        LEAN,
    ]
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium, args=flags)
        yield running
        running.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests; each opens a room of its own."""
    running = Server(tmp_path_factory.mktemp("browser") / "data")
    yield running
    running.stop()


@pytest.fixture
def code(server: Server) -> str:
    return server.open_room()


@pytest.fixture
def output() -> str:
    """A script for every page; tests of the sound itself have none, and keep the real output."""
    return STEADY_OUTPUT


@pytest.fixture
def person(browser: Browser, output: str) -> Iterator[Callable[..., Page]]:
    """Opens a page for one more person, with nothing shared; a script error on any page fails the test."""
    contexts: list[BrowserContext] = []
    errors: list[str] = []

    def open_page(viewport: dict[str, int] = PHONE, **options: object) -> Page:
        context = browser.new_context(viewport=viewport, **options)
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(output)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not errors, errors


@pytest.fixture
def listener(server: Server, code: str, person: Callable[..., Page]) -> Callable[..., Page]:
    """Opens the page of one more learner who hears, with `handed` noted on it."""

    def open_page(
        name: str,
        *,
        sounds: bool = True,
        script: str = "",
        route: Callable[[WebSocketRoute], None] | None = None,
    ) -> Page:
        page = person()
        page.add_init_script(HANDED + script)
        if route is not None:
            page.route_web_socket(re.compile("/socket.io/"), route)
        join(page, server, code, name)
        if sounds:
            settle(page)
            until(page, "handed.length > 0")  # the test tones
        else:
            button(page, "Go on").click()
            button(page, re.compile("Type while listening")).click()
        page.evaluate("handed.length = 0")
        return page

    return open_page


@pytest.fixture
def console(server: Server, code: str, person: Callable[..., Page]) -> Page:
    """The instructor's console, watching this test's room."""
    page = person(LAPTOP)
    page.goto(f"{server.url}/console?room={code}#{server.secret}")
    return page


@pytest.fixture
def instructor(server: Server, code: str) -> Iterator[Instructor]:
    """An instructor at a plain socket, where no console is needed."""
    watching = Instructor(server, code)
    set_sound(watching)
    yield watching
    server.send_home()


@pytest.fixture
def class_of(server: Server, code: str) -> Iterator[Callable[..., list[Learner]]]:
    """Learners at plain sockets, their sound on, who write what a test says."""

    def join(*names: str) -> list[Learner]:
        learners = [Learner(server, code, name) for name in names]
        for learner in learners:
            learner.sound_on()
        return learners

    yield join
    server.send_home()


@pytest.fixture
def pictures(request: pytest.FixtureRequest) -> Path:
    """Where a test may leave screenshots to be looked at."""
    folder = Path(request.config.rootpath) / "build" / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    return folder
