"""A net played from a script: begun with known calls, its parts copied, its turns waited for."""

from __future__ import annotations

import json
from typing import Any

from copyroom.core.alphabet import BLANK
from copyroom.core.procedure import first_gap, question_text, smallest
from copyroom.room.exercises.net.state import Net
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, refusal

KNOWN = "AEKMNRST5?WBD"
CALLS = ("K2KF", "B7RM", "D2DU")
"""Practice calls: invented."""


def begun(play: ScriptedRoom, **drawn: Any) -> ScriptedRoom:
    """A net under way whose calls are known to the tests: as a journal that has these tells of it."""
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    setup = {"stations": [1, 2, 3], "groups": 4, "chance": 0.0}
    assert not refusal(play.console("start_exercise", kind="net", setup=setup, seed=3))
    name, body, at_ms = play.journal[-1]
    event = json.loads(body)
    event["setup"] |= {"calls": CALLS} | drawn
    told_of = ScriptedRoom(play.now_ms)
    told_of.journal = [*play.journal[:-1], (name, json.dumps(event), at_ms)]
    again = told_of.replayed()
    for seat in (1, 2, 3):
        again.join("", again.state.seats[seat].token)
        again.sound(seat, "on")
    return again


def state(play: ScriptedRoom) -> Net:
    net: Net = play.push.state
    return net


def part_run(play: ScriptedRoom) -> Run:
    return play.state.run_of(state(play).stations[state(play).at].run)


def copy_part(play: ScriptedRoom, missed: dict[int, tuple[int, ...]] | None = None) -> None:
    """Everybody but its own station copies the part at hand, but for the groups that a seat missed."""
    part, station = part_run(play), state(play).stations[state(play).at]
    play.now_ms = part.start_room_ms + part.last_end_ms + 1500.0
    for seat in play.state.seats:
        play.learner(seat, "report_sounded", push=part.id, spans=[[0, len(part.sent)]])
        if seat == station.holder:
            continue
        gone = (missed or {}).get(seat, ())
        signs = "".join(
            BLANK * len(group) if place in gone else group for place, group in enumerate(station.groups)
        )
        keys = [
            {"at_ms": float(end) + 700.0, "sign": sign} for end, sign in zip(part.end_ms, signs, strict=True)
        ]
        play.learner(seat, "write_keys", push=part.id, first=0, keys=keys)
    for seat in play.state.seats:
        play.learner(seat, "hand_in", push=part.id)
    play.settle()


def to_fills(play: ScriptedRoom, missed: dict[int, dict[int, tuple[int, ...]]] | None = None) -> None:
    """All parts are sent and copied; `missed`: per part, per seat."""
    for part in range(len(state(play).stations)):
        assert (state(play).phase, state(play).at) == ("parts", part)
        copy_part(play, (missed or {}).get(part))
    play.settle()
    assert state(play).phase == "fills"


def told(play: ScriptedRoom, to: int | str) -> Any:
    """What a page was shown last."""
    return [s for s in play.sent if s.name == "exercise" and s.to == to][-1].payload["shown"]


def rest(play: ScriptedRoom, ms: float = 0.0) -> None:
    """Until what sounds, or is waited for, is over."""
    turn = state(play).turn
    assert turn is not None
    play.now_ms = max(play.now_ms, turn.sounded_ms + ms)
    play.settle()


def question(play: ScriptedRoom, seat: int) -> str:
    """The smallest for this seat's first gap."""
    rows = told(play, seat)["rows"]
    part = next(i for i, row in enumerate(rows) if "m" in row["states"])
    gap = first_gap([i for i, one in enumerate(rows[part]["states"]) if one == "m"])
    return question_text(rows[part]["call"], CALLS[seat - 1], smallest(rows[part]["groups"], gap))
