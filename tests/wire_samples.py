"""One sample per event on the wire, out of a scripted lesson: data/wire_samples.json.

pytest holds the samples against the wire's types, the browser's tests read the same file. `python
tests/wire_samples.py` writes it anew; a test fails when it is stale.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from copyroom.room import events as ev
from copyroom.room.contract import message_declared
from copyroom.room.effects import Sound
from copyroom.room.messages.exercise import exercise_view
from copyroom.room.messages.running import MoreOut, sound_view
from scripted_room import CODE, ScriptedRoom, plain

FILE = Path(__file__).parent / "data" / "wire_samples.json"

_READY = {"sound": "on", "uncertainty_ms": 3.5, "lead_ms": 420.0, "visible": True}
_MIX = {"purpose": "mix", "symbols": "AKMNT", "count": 10, "group": 5, "text": "", "seed": 11}


def lesson() -> ScriptedRoom:
    """An evening that has every event in it at least once. All names are invented."""
    play = ScriptedRoom()
    play.console("open_meeting")
    play.console("reveal")  # nothing has been sent: refused
    play.console("set_title", title="Wednesday class")
    play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.console("set_hearing", way="loudspeaker", source=2)
    play.console("set_class_size", size=3)
    play.console("shut_door", on=False)
    play.console("hold_at_door", on=True)
    play.join("Dahlia")
    play.console("let_in", seat=4)
    play.console("add_seat", name="Erle")
    play.console("rename", seat=3, name="Cedar two")
    play.learner(1, "report_device", **_READY)
    play.learner(2, "cannot_hear")
    play.learner(2, "hear_now")
    play.learner(2, "cannot_hear")
    play.console("seen_help", seat=2)
    play.learner(3, "choose_way", way="paper")
    play.console("show_course", emphasis="own", signs="KMATNRS", pins=[])
    play.console(
        "set_course", emphasis="words", signs="KMATNRS", pins=[{"sign": "K", "place": 0}], meetings=12
    )
    play.console("plan_evening", minutes=45.0)
    steps = [step.id for step in play.state.plan]
    play.console("edit_plan", steps=steps[::-1])
    play.console("add_step", purpose="mix", symbols="KMATN", title="Once more", text="KMATN")
    play.console("mark_step", step=steps[0])
    play.console("allow_additions", on=False)
    play.console("keep_words", words="tea, tent")
    play.console("compose", **_MIX)
    play.console("send_text", **_MIX, name_shown=False, counted=True, after=0)
    text = play.push.sent
    play.to_symbol(4)
    play.console("pause", push=1, seen="sounding")
    play.console("go_on", push=1, seen="paused")
    play.to_tidying()
    wrong = "".join("_" if k == 2 else "N" if k == 5 else sign for k, sign in enumerate(text))
    for seat, signs in ((1, text), (2, wrong), (3, wrong), (4, text[:8])):
        play.copies_all(seat, signs)
    play.learner(
        1, "write_keys", push=1, first=10, keys=[{**play.keys("K")[0], "at_ms": 60_000.0, "change": 0}]
    )
    play.learner(3, "hand_in", push=1)
    play.console("close", push=1, seen="tidying")
    play.views()
    play.console("take_choice", push=1, choice=0, send=False)
    play.console("show_review", days=7, seat=0)
    play.console("give_review", days=7)
    play.console("reveal", push=1, seen="closed")
    _after_the_reveal(play, text)
    return play


def _after_the_reveal(play: ScriptedRoom, text: str) -> None:
    play.learner(5, "hand_in_count", push=1, right=8, of=10)
    play.join("", play.state.seats[2].token)
    play.console("show_cell", sent=text[2], written="_", scope="run")
    play.console("show_sheet", seat=2)
    play.console("show_progress")
    play.console("set_aside", push=1, seat=2, first=6, reason="Loudspeaker off")
    play.console("set_aside", push=1, seat=0, first=8, reason="Fire alarm")
    play.views()
    play.console("bring_back", aside=2)
    play.console("repeat", push=1, seen="revealed")
    play.to_symbol(3)
    play.console("stop", push=2, seen="sounding")
    play.console("close")
    play.console(
        "send_step",
        step=next(step.id for step in play.state.plan if step.step.text and not step.push),
        after=2,
    )
    play.console("stop")
    _exercises(play)
    play.console("remove_seats", seats=[4])
    play.console("clear_away")
    play.join("Fern")
    play.receive(ev.Leave(6))
    play.join("Fern")
    play.console("make_one", seat=7, into=6)
    play.console("make_two", seat=7)
    play.console("watch", code=CODE, view="console")
    play.console("watch", code="", view="wall")


def _exercises(play: ScriptedRoom) -> None:
    """What leads any of them; each kind's own events and messages are its own tests' matter."""
    play.console("start_exercise", kind="no_such", setup={}, after=3)
    play.console("add_exercise", kind="no_such", setup={})
    play.console("skip_turn", push=3, seen="closed")
    play.console("hand_over", push=3, seen="closed", seat=1, to=2)


OF_OTHER_EXERCISES = (
    exercise_view(2, "clap", None),
    sound_view(Sound((1,), 2, 1, [[0.0, 180.0]], 600.0, 1e6)),
    MoreOut(push=2, first=12, edges=[[15_000.0, 15_060.0]]),
)
"""What copying, the exercise of this evening, does not say, or not in so short a text."""


def _richest(payloads: list[dict[str, Any]]) -> dict[str, Any]:
    return max(payloads, key=lambda payload: len(json.dumps(payload)))


def samples() -> dict[str, dict[str, Any]]:
    """{"to_server", "to_browser"}: the richest payload of each event; {"clock"}: one exchange."""
    play = lesson()
    sent: dict[str, list[dict[str, Any]]] = {}
    for told in play.sent:
        sent.setdefault(told.name, []).append(told.payload)
    for message in OF_OTHER_EXERCISES:
        sent[message_declared(message).name] = [plain(message)]
    return {
        "clock": {
            "asked": {"page_ms": 1234.5},
            "answered": {"received_room_ms": 1e6, "sent_room_ms": 1e6 + 0.25, "epoch": "e0"},
        },
        "to_server": {name: _richest(payloads) for name, payloads in sorted(play.said.items())},
        "to_browser": {name: _richest(payloads) for name, payloads in sorted(sent.items())},
    }


if __name__ == "__main__":
    FILE.write_text(json.dumps(samples(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
