"""Pages and the few questions beside them: who may ask what."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from copyroom.room import events as ev
from copyroom.settings import Settings
from copyroom.shell.assets import static_folder
from copyroom.shell.clock import RoomClock
from copyroom.shell.headers import WithHeaders
from copyroom.shell.http import LARGEST_BODY, Pages
from copyroom.shell.outbox import Outbox
from copyroom.shell.rooms import Rooms
from copyroom.shell.secret import LinkKeys, new_secret
from copyroom.shell.sessions import LASTS_S, Sessions
from copyroom.shell.sockets import Sockets
from copyroom.shell.store import Store
from lobby import empty_lobby

SECRET = "a secret"


class SilentWires:
    """A Socket.IO server that nobody is connected to."""

    def on(self, *_: object, **_more: object) -> None:
        pass

    emit = start_background_task = on


class Site:
    """The pages of a server whose rooms lie in a file. `restart` forgets what was in memory."""

    def __init__(self, folder: Path) -> None:
        self._settings = Settings(folder, local_only=True)
        self.data = folder
        self.now_s = 0.0
        (folder / "console-secret").write_text(SECRET, "ascii")
        self.store = Store(self._settings.database, lambda call, *given: call(*given))
        self.restart()

    def restart(self) -> None:
        clock, sessions = RoomClock(), Sessions(self._settings.data, lambda: self.now_s)
        keys = self.keys = LinkKeys(self._settings.data)
        self.outbox = Outbox(self.store.append, lambda _: None, lambda _s: None)
        self.rooms = Rooms(self.store, clock, self.outbox, (), lambda _s: None)
        sockets = Sockets(SilentWires(), self.rooms, clock, sessions, keys, self._settings, empty_lobby())
        self._app = Flask("copyroom", static_folder=None)
        self._app.wsgi_app = WithHeaders(self._app.wsgi_app)
        pages = Pages(self._settings, static_folder(), self.store, self.rooms, sockets, sessions, keys)
        pages.register(self._app)

    def visitor(self) -> FlaskClient:
        return self._app.test_client()

    def instructor(self) -> FlaskClient:
        client = self.visitor()
        assert client.post("/enter", json={"secret": SECRET}).status_code == 200
        return client

    def keep(self) -> None:
        """Bring to the disk what the rooms have let out."""
        self.outbox.stop()
        self.outbox.run()


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    opened = Site(tmp_path)
    yield opened
    opened.store.close()


def test_a_visitor_cannot_find_out_which_rooms_there_are(site: Site) -> None:
    there, nowhere = site.rooms.open(), "NOWHERE-0000"
    for path in ("/qr/0/{}.svg", "/api/places?code={}", "/r/{}"):
        answers = []
        for code in (there, nowhere):
            with site.visitor().get(path.format(code)) as answer:
                answers.append((answer.status_code, answer.data))
        assert answers[0] == answers[1], path


def test_only_the_console_opens_lists_and_erases_rooms(site: Site) -> None:
    code = site.rooms.open()
    visitor = site.visitor()
    assert visitor.get("/api/rooms").status_code == 403
    assert visitor.post("/api/rooms", json={"title": "Mine"}).status_code == 403
    assert visitor.post(f"/api/rooms/{code}/erase", json={}).status_code == 403
    assert [kept.code for kept in site.store.rooms()] == [code]


def test_the_console_gets_a_qr_code_of_a_room_that_there_is(site: Site) -> None:
    code = site.rooms.open()
    instructor = site.instructor()
    assert instructor.get(f"/qr/0/{code}.svg").mimetype == "image/svg+xml"
    assert instructor.get("/qr/0/NOWHERE-0000.svg").status_code == 404
    assert instructor.get(f"/qr/99/{code}.svg").status_code == 404


def test_an_erased_room_is_gone_however_its_code_was_spelled(site: Site) -> None:
    code = site.rooms.open()
    site.rooms.receive(code, ev.SetTitle("Wednesday"))
    assert site.instructor().post(f"/api/rooms/{code.lower()}/erase", json={}).status_code == 200
    site.keep()
    assert site.store.rooms() == []
    assert site.rooms.find(code) is None


def test_old_rooms_are_listed_by_their_last_title_without_being_loaded(site: Site) -> None:
    named, unnamed = site.rooms.open("Tuesday"), site.rooms.open()
    site.rooms.receive(named, ev.SetTitle("Wednesday"))
    site.keep()
    site.restart()
    listed = site.instructor().get("/api/rooms").get_json()
    assert {room["code"]: room["title"] for room in listed} == {named: "Wednesday", unnamed: "Morse class"}
    assert site.rooms.running() == frozenset()


def test_the_pages_give_no_file_from_outside_their_folder(site: Site) -> None:
    for path in ("../pyproject.toml", "..%2fpyproject.toml", "js/../../pyproject.toml", "%2fetc%2fpasswd"):
        assert site.visitor().get(f"/static/{path}", follow_redirects=True).status_code == 404, path


def test_audio_input_is_for_the_learners_page_alone(site: Site) -> None:
    """A key may come in as sound there; no other page may ask for it."""
    allowed = {}
    for path in ("/", "/r/HERON-0417", "/console", "/wall", "/static/js/learner.js", "/api/about"):
        with site.visitor().get(path) as answer:
            allowed[path] = "microphone=(self)" in answer.headers["Permissions-Policy"]
    assert allowed == {
        "/": True,
        "/r/HERON-0417": True,
        "/console": False,
        "/wall": False,
        "/static/js/learner.js": False,
        "/api/about": False,
    }


def test_the_cookie_is_for_this_site_and_not_for_scripts(site: Site) -> None:
    cookie = site.visitor().post("/enter", json={"secret": SECRET}).headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


@pytest.mark.parametrize("body", [b"", b"null", b"[]", b'{"secret": 1}', b'{"secret": "wrong"}', b"{"])
def test_nothing_but_the_secret_opens_the_console(site: Site, body: bytes) -> None:
    answer = site.visitor().post("/enter", data=body, content_type="application/json")
    assert answer.status_code == 403
    assert "Set-Cookie" not in answer.headers


def test_a_body_that_is_too_large_is_refused(site: Site) -> None:
    body = b'"' + b"x" * LARGEST_BODY + b'"'
    assert site.visitor().post("/enter", data=body, content_type="application/json").status_code == 413


@pytest.mark.parametrize(
    ("method", "path", "code"),
    [
        ("get", "/no-such-page", 404),
        ("get", "/static/no-such-file.js", 404),
        ("get", "/qr/0/NOWHERE-0000.svg", 403),
        ("post", "/console", 405),
    ],
)
def test_who_goes_astray_gets_one_plain_page_that_says_what_to_do(
    site: Site, method: str, path: str, code: int
) -> None:
    with getattr(site.visitor(), method)(path) as answer:
        assert (answer.status_code, answer.mimetype) == (code, "text/html")
        assert answer.text.count("<h1>") == answer.text.count("<p>") / 2 == 1
        assert '<a class="button" href="/">' in answer.text
        for link in re.findall(r'href="(/static/[^"]+)"', answer.text):
            with site.visitor().get(link) as found:
                assert found.status_code == 200, link


def test_a_script_that_goes_astray_gets_a_sentence(site: Site) -> None:
    for client, path, code in [
        (site.visitor(), "/api/rooms", 403),
        (site.instructor(), "/api/places?code=NOWHERE-0000", 404),
        (site.visitor(), "/api/nothing", 404),
        (site.visitor(), "/enter", 405),
    ]:
        answer = client.get(path)
        assert answer.status_code == code
        assert answer.get_json()["error"].endswith(".")


def test_a_fault_of_the_servers_own_is_a_page_and_a_line_in_its_log(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    site.store.close()
    instructor = site.instructor()
    answer = instructor.get("/qr/0/HERON-MAPLE-417.svg")
    assert (answer.status_code, answer.mimetype) == (500, "text/html")
    assert "Something went wrong in the server." in answer.text
    assert "Traceback" not in answer.text
    assert instructor.get("/api/rooms").get_json()["error"].startswith("Something went wrong")
    assert "Exception on" in caplog.text


def test_another_pages_script_can_change_nothing_with_the_consoles_cookie(site: Site) -> None:
    """A cookie goes with requests from other ports of the same host; the origin tells (RFC 6454)."""
    code, console = site.rooms.open(), site.instructor()
    for origin in (
        "http://localhost:9000",
        "http://elsewhere.example",
        "null",
        "http://localhost.elsewhere.example",
    ):
        for path in (f"/api/rooms/{code}/erase", "/api/rooms", "/enter"):
            assert console.post(path, json={}, headers={"Origin": origin}).status_code == 403, (origin, path)
    assert console.post("/api/rooms", json={}, headers={"Origin": "http://localhost"}).status_code == 200


def test_the_policy_names_this_host_and_no_other(site: Site) -> None:
    for host, named in (("10.0.0.5:8000", "ws://10.0.0.5:8000"), ("x; script-src *", ""), ("", "")):
        with site.visitor().get("/", headers={"Host": host}) as answer:
            policy = answer.headers["Content-Security-Policy"]
        connect = policy.partition("connect-src ")[2].partition(";")[0].split()
        assert set(connect) == {"'self'", *([named, named.replace("ws", "wss", 1)] if named else [])}
        assert "script-src" not in policy


def test_what_is_for_one_person_is_stored_nowhere(site: Site) -> None:
    code, console = site.rooms.open(), site.instructor()
    for path in ("/api/rooms", f"/api/places?code={code}", "/api/sessions", f"/qr/0/{code}.svg"):
        with console.get(path) as answer:
            assert answer.headers["Cache-Control"] == "no-store", path


def test_a_session_ends_by_its_time_by_hand_and_with_its_secret(site: Site) -> None:
    first, second = site.instructor(), site.instructor()
    [old, own] = second.get("/api/sessions").get_json()
    assert (old["this"], own["this"]) == (False, True)
    assert second.post(f"/api/sessions/{old['id']}/sign_out").status_code == 200
    assert (first.get("/api/rooms").status_code, second.get("/api/rooms").status_code) == (403, 200)
    site.restart()
    third = site.instructor()
    new_secret(site.data)
    assert third.get("/api/rooms").status_code == 403
    assert site.visitor().post("/enter", json={"secret": SECRET}).status_code == 403


def test_a_session_outlives_a_restart_and_ends_after_its_days(site: Site) -> None:
    console = site.instructor()
    cookie = console.get_cookie("copyroom_console")
    site.restart()
    again = site.visitor()
    again.set_cookie("copyroom_console", cookie.value)
    assert again.get("/api/rooms").status_code == 200
    site.now_s = LASTS_S + 1.0
    assert again.get("/api/rooms").status_code == 403


def test_the_walls_link_shows_addresses_of_its_room_and_opens_nothing_else(site: Site) -> None:
    code, other, visitor = site.rooms.open(), site.rooms.open(), site.visitor()
    key = site.keys.key("wall", code)
    assert visitor.get(f"/api/places?code={code}&wall={key}").status_code == 200
    assert visitor.get(f"/qr/0/{code}.svg?wall={key}").status_code == 200
    assert visitor.get(f"/api/places?code={other}&wall={key}").status_code == 403
    assert visitor.get(f"/api/rooms?wall={key}").status_code == 403
    assert visitor.post(f"/api/rooms/{code}/erase?wall={key}").status_code == 403
