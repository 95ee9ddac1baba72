"""A class played from a script: one room, driven through the wire's decoder, every answer checked.

Whatever a test does with it, the driver holds the room to its contract: a Save comes first, is of a
durable event and survives the journal's form; every payload fits its type on the wire, to the last
nested field; a refusal saves nothing and leaves the room as it was. All names and texts are invented.
"""

from __future__ import annotations

import copy
import pickle
from typing import Any, NamedTuple

import msgspec

from copyroom import wire
from copyroom.room import effects, exercises
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Message, event_declared
from copyroom.room.copies import Copy
from copyroom.room.effects import SENDER, Effect, Save, WakeAt
from copyroom.room.journal import FORM, Reader, from_record, to_record
from copyroom.room.messages.console import sheet_view
from copyroom.room.messages.learner import welcome_view
from copyroom.room.room import Room
from copyroom.room.run import Run

CODE = "HERON-0417"
WORDS = ("CAT", "TEA", "EAT", "ACT", "TACT")
LAG_MS = 700.0
"""A plausible time from the end of a sound to its key."""
SMALL_CLASS = 10
"""A larger one is not pictured before every event: that would take minutes."""
QUICK = {"wpm": 20.0, "overall_wpm": 10.0, "pitch_hz": 600.0, "lead_in_s": 3.0, "tidy_s": 30.0}
INSTRUCTOR = wire.Sender(instructor=True, seat=None, token="t-console", seed=7)


BY_JOBS = {"reveal", "plan_evening", "show_progress", "show_review", "give_review", "hand_in_count"}
"""What is answered by a job, a slice at a time."""


class Send(NamedTuple):
    """A message as a browser gets it."""

    to: int | str
    name: str
    payload: dict[str, Any]


def misfit(name: str, payload: object) -> str:
    """Why a payload is not what the wire says, "" when it is. Strict: no unknown field at any depth."""
    try:
        plain = msgspec.json.decode(msgspec.json.encode(payload))
        read = msgspec.to_builtins(msgspec.convert(plain, wire.TO_BROWSER[name]), str_keys=True)
    except (KeyError, TypeError, msgspec.ValidationError) as error:
        return f"{name}: {error}"
    return "" if read == plain else f"{name}: fields that are not known in {plain}"


def _lasting(state: Classroom) -> bytes:
    """The room without what is not journaled: how browsers stand."""
    fresh = Seat(0, "", "")
    passing = ("here", "sound", "uncertainty_ms", "lead_ms", "visible", "asks_help", "was_without")
    kept = copy.copy(state)
    kept.seats = {number: copy.copy(seat) for number, seat in state.seats.items()}
    for seat in kept.seats.values():
        for name in passing:
            setattr(seat, name, getattr(fresh, name))
    kept.runs = [_without_caches(run) for run in state.runs]
    return pickle.dumps(kept)


def _without_caches(run: Run) -> Run:
    """A run without what its state only remembers of what it has reckoned."""
    caches = [field for field in getattr(run.state, "__dataclass_fields__", {}).values() if not field.compare]
    if not caches:
        return run
    kept = copy.copy(run)
    kept.state = copy.copy(run.state)
    for field in caches:
        setattr(kept.state, field.name, None)
    return kept


def told(effect: Effect) -> Any:
    """An effect, a message as a browser gets it."""
    if not isinstance(effect, effects.Send):
        return effect
    return Send(effect.to, effect.name, plain(effect.message))


def plain(message: Message) -> Any:
    """What a browser gets of a message."""
    return msgspec.json.decode(msgspec.json.encode(message))


class ScriptedRoom:
    """A room with a clock in its hand.

    journal : what the shell would have on disk, in its form; `form` is the version of it.
    said : every payload so far that a browser sent, by event name.
    sent : every Send so far.
    """

    def __init__(self, now_ms: float = 1_000_000.0) -> None:
        self.room = Room(CODE, WORDS)
        self.now_ms = now_ms
        self.journal: list[tuple[str, str, float]] = []
        self.said: dict[str, list[dict[str, Any]]] = {}
        self.sent: list[Send] = []
        self.form = FORM
        self.of: Run | None = None  # the run that the script speaks of; None: the one at hand
        self._tokens = 0

    # ------------------------------------------------------------ events in, effects checked

    def receive(self, event: ev.Event) -> list[Effect]:
        """One event at the present time."""
        small = len(self.state.seats) <= SMALL_CLASS
        before = pickle.dumps(self.state) if small else b""
        lasting = _lasting(self.state) if small else b""
        found = [told(effect) for effect in self.room.receive(event, self.now_ms)]
        saves = [effect for effect in found if isinstance(effect, Save)]
        assert found[: len(saves)] == saves, f"a Save is not first: {found}"
        for save in saves:
            assert event_declared(save.event).kept
            record = to_record(save.event)
            assert from_record(*record) == save.event
            self.journal.append((*record, save.at_room_ms))
            assert save.number == len(self.journal), "each record has the next number"
        for effect in found:
            if isinstance(effect, Send):
                assert not misfit(effect.name, effect.payload), misfit(effect.name, effect.payload)
                self.sent.append(effect)
        if refusal(found) and not saves and small:
            assert pickle.dumps(self.state) == before, f"a refused {event} changed the room"
        durable = event_declared(event).kept or isinstance(event, ev.Repeat)
        if durable and not saves and small:
            assert _lasting(self.state) == lasting, f"{event} changed the room, and is not saved"
        return found

    def _say(self, event_name: str, payload: dict[str, Any], sender: wire.Sender) -> list[Effect]:
        self.said.setdefault(event_name, []).append(payload)
        found = self.receive(wire.decode(event_name, payload, sender))
        while event_name in BY_JOBS and self.room.figures.jobs and not refusal(found):
            found += self.tick()
        return found

    def console(self, event_name: str, **payload: Any) -> list[Effect]:
        """What the instructor's console sends."""
        return self._say(event_name, payload, INSTRUCTOR)

    def learner(self, seat: int, event_name: str, **payload: Any) -> list[Effect]:
        """What a seat's browser sends."""
        return self._say(event_name, payload, wire.Sender(False, seat))

    def join(self, name: str, token: str = "") -> list[Effect]:
        """A browser without a seat asks for one."""
        self._tokens += 1
        sender = wire.Sender(False, None, f"token-{self._tokens}")
        return self._say("join", {"code": CODE, "name": name, "token": token}, sender)

    def tick(self) -> list[Effect]:
        """The time that was asked for has come, unless it is a run's heartbeat."""
        asked_ms = self.room.wake_at_ms
        if asked_ms is not None and asked_ms < self.now_ms + 1000.0 - 1.0:
            self.now_ms = max(self.now_ms, asked_ms)
        return self.receive(ev.Tick())

    def settle(self) -> None:
        """Let the room finish what it has begun: tick as asked, until only a run's heartbeat is left."""
        for _ in range(5000):
            wakes = [effect.room_ms for effect in self.tick() if isinstance(effect, WakeAt)]
            if not wakes or wakes[0] >= self.now_ms + 1000.0:
                return
            self.now_ms = max(self.now_ms, wakes[0])
        raise AssertionError("the room never comes to rest")

    # ------------------------------------------------------------ the usual script

    @property
    def state(self) -> Classroom:
        return self.room.classroom

    @property
    def copies(self) -> dict[tuple[int, int], Copy]:
        """Every copy, by run and seat."""
        return {(run.id, seat): copy for run in self.state.runs for seat, copy in run.copies.items()}

    @property
    def push(self) -> Run:
        if self.of is not None:
            return self.of
        assert self.state.run is not None
        return self.state.run

    def seat_three(self) -> tuple[int, int, int]:
        """Three learners come in."""
        self.console("set_sound", **QUICK)
        for name in ("Amber", "Birch", "Cedar"):
            self.join(name)
        first, second, third = self.state.seats
        return first, second, third

    def send(self, text: str, **changed: Any) -> Run:
        """The instructor sends a text of their own, counted."""
        payload = {"purpose": "own", "symbols": "", "count": 10, "group": 5, "text": text}
        effects = self.console("send_text", **(payload | {"name_shown": False, "counted": True} | changed))
        assert not refusal(effects), refusal(effects)
        return self.push

    def to_symbol(self, count: int) -> None:
        """Forward to when `count` symbols have sounded to their end."""
        self.now_ms = self.push.start_room_ms + (float(self.push.end_ms[count - 1]) + 1.0 if count else 0.0)

    def to_tidying(self) -> None:
        """Forward to half a second after the last sound and a learner's lag."""
        self.now_ms = self.push.start_room_ms + self.push.last_end_ms + LAG_MS + 500.0

    def hears(self, seat: int, start: int = 0, stop: int | None = None) -> None:
        """The seat's browser reports that these symbols sounded."""
        span = [start, len(self.push.sent) if stop is None else stop]
        self.learner(seat, "report_sounded", push=self.push.id, spans=[span])

    def keys(self, signs: str, start: int = 0) -> list[dict[str, Any]]:
        """Strokes that answer symbol `start` and those after it, each a lag after its sound."""
        ends = self.push.end_ms[start : start + len(signs)]
        return [{"at_ms": float(end) + LAG_MS, "sign": s} for end, s in zip(ends, signs, strict=True)]

    def sound(self, seat: int, sound: str) -> list[Effect]:
        """The seat's browser reports how its sound stands."""
        return self.learner(
            seat, "report_device", sound=sound, uncertainty_ms=4.0, lead_ms=250.0, visible=True
        )

    def types(self, seat: int, signs: str, start: int = 0, push: Run | None = None) -> list[Effect]:
        """The seat writes on, in time."""
        push = push or self.push
        first = push.copies[seat].strokes
        return self.learner(seat, "write_keys", push=push.id, first=first, keys=self.keys(signs, start))

    def copies_all(self, seat: int, signs: str, start: int = 0) -> None:
        """The seat hears everything from `start` on and writes this."""
        self.hears(seat, start)
        self.types(seat, signs, start)

    # ------------------------------------------------------------ what is to be seen

    def view(self, name: str) -> Any:
        """One part of the console's page, or the wall, as somebody who looks now would get it."""
        self.settle()
        effects = self.receive(ev.Watch("wall" if name == "wall" else "console"))
        return next(e.payload for e in effects if isinstance(e, Send) and e.name == name)

    def cells(self, scope: str = "run") -> dict[tuple[str, str], int]:
        """A class table: {(sent, written): count}, "" for extra and missed."""
        now, before = self.view("table"), self.view("tables_before")
        cells: dict[tuple[str, str], int] = {}
        of_scope = [] if scope == "run" else before[scope]
        of_run = now["cells"] if scope == "run" or now["counted"] else []
        for sent, written, count in [*of_scope, *of_run]:
            cells[sent, written] = cells.get((sent, written), 0) + count
        return cells

    def views(self) -> dict[str, Any]:
        """Everything that console, wall and every seat can be shown."""
        looked_ms = self.now_ms
        self.settle()  # which takes some time, more or less: all is seen as of when it was asked for
        settled_ms, self.now_ms = self.now_ms, looked_ms
        looked = [*self.receive(ev.Watch("console")), *self.receive(ev.Watch("wall"))]
        parts = {e.name: e.payload for e in looked if isinstance(e, Send)}
        for seat in list(self.state.seats.values()):
            parts[f"welcome {seat.id}"] = plain(self._welcome(seat))
            parts[f"sheet {seat.id}"] = plain(sheet_view(self.room.figures, seat))
        self.now_ms = settled_ms
        return parts

    def _welcome(self, seat: Seat) -> Message:
        at_hand = exercises.at_hand(self.room.figures, seat, self.now_ms)
        return welcome_view(self.room.figures, seat, at_hand)

    def durable_views(self) -> dict[str, Any]:
        """`views` without what a restart forgets: how browsers stand, and what was shown in between."""
        parts = self.views()
        parts.pop("advice", None)  # given when a run closes, and again after the next one
        for seat in parts["seats"]["seats"]:
            for field in ("here", "long_away", "sound", "uncertainty_ms", "visible", "asks_help", "same_as"):
                del seat[field]
            welcome = parts[f"welcome {seat['seat']}"]
            del welcome["asks_help"]
            _forget_held(welcome["exercise"])
        _forget_held(parts.get("exercise"))
        for run in parts["room"]["runs"]:
            del run["settled_anew"]
        for field in ("here", "written", "expected"):
            del parts["wall"][field]
        return parts

    def replayed(self) -> ScriptedRoom:
        """The same room as a restarted server has it."""
        again = ScriptedRoom(self.now_ms)
        numbered, reader = enumerate(self.journal, start=1), Reader()
        again.form = self.form
        again.room.replay(
            (number, reader.read(self.form, name, body), at) for number, (name, body, at) in numbered
        )
        again.journal = list(self.journal)
        return again


def _forget_held(shown: Any) -> None:
    """A turn is held while its learner's page is away: a restart forgets who is here."""
    if isinstance(shown, dict):
        shown.pop("held", None)
        for inner in shown.values():
            _forget_held(inner)


def sends(effects: list[Effect], name: str = "") -> list[Send]:
    """The messages among effects, of one name or all."""
    return [e for e in effects if isinstance(e, Send) and name in ("", e.name)]


def refusal(effects: list[Effect]) -> str:
    """The sentence that says no, "" when nothing was refused."""
    return next((s.payload["sentence"] for s in sends(effects, "refused") if s.to == SENDER), "")


def kept(effects: list[Effect]) -> int:
    """How many strokes the room acknowledges."""
    return int(next(s.payload["kept"] for s in sends(effects, "kept")))


def addresses(effects: list[Effect], name: str) -> list[int | str]:
    """To whom a message goes."""
    return [s.to for s in sends(effects, name)]
