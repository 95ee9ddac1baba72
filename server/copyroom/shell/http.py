"""Pages, files and the few questions that are no room's business."""

from __future__ import annotations

import datetime
from importlib.metadata import version
from pathlib import Path
from urllib.parse import urlsplit

from flask import Blueprint, Flask, Response, abort, jsonify, request, send_from_directory
from werkzeug.exceptions import HTTPException

from copyroom.room.classroom import NEW_TITLE
from copyroom.settings import Settings
from copyroom.shell.housekeeping import NOTICE_S
from copyroom.shell.places import Place, join_url, places, qr_svg
from copyroom.shell.problems import problem
from copyroom.shell.rooms import Rooms, SetAsideError, as_kept
from copyroom.shell.secret import LinkKeys
from copyroom.shell.sessions import LASTS_S, Sessions
from copyroom.shell.sockets import COOKIE, Sockets
from copyroom.shell.store import Store
from copyroom.shell.transport import LARGEST_BODY

LEARNERS_PAGE = "index.html"
WITH_INPUT = "camera=(), microphone=(self), geolocation=()"
"""A key may come in through the audio input of whoever sends; the page asks, and the person says so."""
EXERCISE_FILES = "js/exercises/"


class Pages:
    """The HTTP side of the server."""

    def __init__(
        self,
        settings: Settings,
        static: Path,
        store: Store,
        rooms: Rooms,
        sockets: Sockets,
        sessions: Sessions,
        keys: LinkKeys,
    ) -> None:
        self._settings, self._static, self._store = settings, static, store
        self._rooms, self._sockets, self._sessions, self._keys = rooms, sockets, sessions, keys
        self._reached = bool(settings.public_url)

    def register(self, app: Flask) -> None:
        """Tie the routes to the app."""
        app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
        routes = Blueprint("pages", __name__)
        page = routes.add_url_rule
        page("/", view_func=lambda: self._page(LEARNERS_PAGE), endpoint="join")
        page("/r/<code>", view_func=lambda code: self._page(LEARNERS_PAGE), endpoint="room")
        page("/console", view_func=lambda: self._page("console.html"), endpoint="console")
        page("/wall", view_func=lambda: self._page("wall.html"), endpoint="wall")
        page("/static/<path:name>", view_func=self._file, endpoint="static")
        page("/enter", view_func=self._enter, methods=["POST"])
        page("/api/about", view_func=self._about)
        page("/api/places", view_func=self._places)
        page("/qr/<int:n>/<code>.svg", view_func=self._qr)
        page("/api/rooms", view_func=self._list_rooms, methods=["GET"])
        page("/api/rooms", view_func=self._open_room, methods=["POST"], endpoint="open_room")
        page("/api/rooms/<code>/erase", view_func=self._erase_room, methods=["POST"])
        page("/api/sessions", view_func=self._list_sessions, methods=["GET"])
        page("/api/sessions/<ident>/sign_out", view_func=self._sign_out, methods=["POST"])
        routes.before_request(self._same_origin)
        page("/api/rooms/<code>/keep", view_func=self._keep_room, methods=["POST"])
        page("/api/rooms/<code>/told-due", view_func=self._tell_due, methods=["POST"])
        page("/api/rooms/<code>/download", view_func=self._download_room)
        app.register_blueprint(routes)
        app.register_error_handler(HTTPException, problem)
        app.register_error_handler(SetAsideError, lambda aside: (jsonify(error=str(aside)), 409))
        app.after_request(self._finish)

    def _finish(self, response: Response) -> Response:
        if request.remote_addr not in ("127.0.0.1", "::1") and request.path.startswith(("/r/", "/static/")):
            self._reached = True
        return response

    def _page(self, name: str) -> Response:
        response = send_from_directory(self._static, name, max_age=0)
        response.headers["Cache-Control"] = "no-cache"
        if name == LEARNERS_PAGE:
            response.headers["Permissions-Policy"] = WITH_INPUT
        return response

    def _file(self, name: str) -> Response:
        # Vendored files change with their version only; ours are asked for again (and found unchanged).
        folder, more = self._static, self._settings.exercises
        if more is not None and name.startswith(EXERCISE_FILES) and not (folder / name).is_file():
            folder, name = more, name.removeprefix(EXERCISE_FILES)
        return send_from_directory(folder, name, max_age=86_400 if name.startswith("vendor/") else 0)

    def _same_origin(self) -> None:
        """Another page's script may have this browser send something, cookie and all; its origin tells."""
        origin = request.headers.get("Origin")
        if request.method == "GET" or origin is None or origin == self._settings.public_url.rstrip("/"):
            return
        if urlsplit(origin).netloc != request.host:
            abort(403)

    def _instructor_only(self) -> None:
        if not self._sessions.valid(request.cookies.get(COOKIE, "")):
            abort(403)

    def _watcher_only(self, code: str) -> None:
        """A console, or whoever has the link of this room's wall."""
        if not self._keys.opens("wall", as_kept(code), request.args.get("wall", "")):
            self._instructor_only()

    def _enter(self) -> Response:
        body = request.get_json(silent=True)
        secret = body.get("secret") if isinstance(body, dict) else None
        if not isinstance(secret, str) or not self._sessions.admits(secret):
            response = jsonify(
                error="That console link is not this server's. Copy it anew from the terminal."
            )
            response.status_code = 403
            return response
        response = jsonify(ok=True)
        secure = request.is_secure or self._settings.public_url.startswith("https:")
        shown = self._sessions.open(request.user_agent.string)
        response.set_cookie(
            COOKIE, shown, max_age=int(LASTS_S), httponly=True, samesite="Strict", secure=secure
        )
        return response

    def _about(self) -> Response:
        now = datetime.datetime.now().astimezone().isoformat()
        return jsonify(keep_days=self._settings.keep_days, now=now, version=version("copyroom"))

    def _list_sessions(self) -> Response:
        self._instructor_only()
        own = self._sessions.id_of(request.cookies.get(COOKIE, ""))
        return jsonify(
            [
                {
                    "id": one.id,
                    "browser": one.browser,
                    "opened": _iso(one.opened_s * 1000.0),
                    "this": one.id == own,
                }
                for one in self._sessions.open_now()
            ]
        )

    def _sign_out(self, ident: str) -> Response:
        self._instructor_only()
        self._sessions.sign_out(ident)
        self._sockets.end_signed_out()
        return jsonify(ok=True)

    def _all_places(self) -> list[Place]:
        return places(self._settings)

    def _places(self) -> Response:
        code = request.args.get("code", "")
        self._watcher_only(code)
        code = code or self._rooms.latest()
        if self._rooms.find(code) is None:
            abort(404)
        code, found = as_kept(code), self._all_places()
        wall = self._keys.key("wall", code)
        urls = [
            {
                "url": join_url(place, code),
                "interface": place.interface,
                "qr_svg": f"/qr/{n}/{code}.svg?wall={wall}",
                "wall": f"{place.url}/wall?room={code}#{wall}",
            }
            for n, place in enumerate(found)
        ]
        return jsonify(urls=urls, reached=self._reached)

    def _qr(self, n: int, code: str) -> Response:
        self._watcher_only(code)  # whether there is such a room is not for everybody to try out
        found, room = self._all_places(), self._rooms.find(code)
        if n >= len(found) or room is None:
            abort(404)
        scanned = join_url(found[n], room.code, self._keys.key("door", room.code))
        return Response(qr_svg(scanned), mimetype="image/svg+xml")

    def _list_rooms(self) -> Response:
        self._instructor_only()
        titles, set_aside = self._rooms.titles(), self._rooms.set_aside()
        listed = []
        for kept in self._store.rooms():
            untouched_days, aside = self._rooms.untouched_days(kept), kept.code in set_aside
            listed.append(
                {
                    "code": kept.code,
                    "title": titles.get(kept.code, NEW_TITLE),
                    "opened": _iso(self._rooms.wall_ms(kept.opened_room_ms)),
                    "last": _iso(self._rooms.wall_ms(kept.last_room_ms)),
                    "untouched_days": untouched_days,
                    "due": untouched_days >= self._settings.keep_days and not aside,
                    "left_h": None if kept.stood_s is None else max(0, (NOTICE_S - kept.stood_s) / 3600),
                    "set_aside": aside,
                    "seats": kept.seats,
                }
            )
        return jsonify(listed)

    def _open_room(self) -> Response:
        self._instructor_only()
        body = request.get_json(silent=True)
        title = body.get("title", "") if isinstance(body, dict) else ""
        return jsonify(code=self._rooms.open(title[:60] if isinstance(title, str) else ""))

    def _erase_room(self, code: str) -> Response:
        code = self._known_room(code)
        self._sockets.erased(code)
        self._rooms.erase(code)
        return jsonify(ok=True)

    def _keep_room(self, code: str) -> Response:
        self._rooms.keep(self._known_room(code))
        return jsonify(ok=True)

    def _tell_due(self, code: str) -> Response:
        """A console shows that the room is due: from now on its time runs."""
        self._rooms.told_due(self._known_room(code))
        return jsonify(ok=True)

    def _download_room(self, code: str) -> Response:
        """A database with this room alone."""
        code = self._known_room(code)
        response = Response(self._store.alone(code), mimetype="application/vnd.sqlite3")
        response.headers["Content-Disposition"] = f'attachment; filename="copyroom-{code}.sqlite3"'
        response.headers["Cache-Control"] = "no-store"
        return response

    def _known_room(self, code: str) -> str:
        self._instructor_only()
        code = as_kept(code)
        if not self._store.has_room(code):
            abort(404)
        return code


def _iso(wall_ms: float) -> str:
    return datetime.datetime.fromtimestamp(wall_ms / 1000.0).astimezone().isoformat()
