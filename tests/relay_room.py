"""A scripted room in which a relay goes on: who is where was drawn, so tests ask. Messages are invented."""

from __future__ import annotations

from typing import Any

from copyroom.room.run import Run
from scripted_room import LAG_MS, ScriptedRoom, refusal

MESSAGE = "KMRS TA"


class RelayRoom(ScriptedRoom):
    """Three learners and a relay of a given message; its chains are drawn, so tests ask who is where."""

    def begin(self, message: str = MESSAGE, learners: int = 3, **setup: Any) -> RelayRoom:
        self.seat_three()
        for n in range(learners - 3):
            self.join(f"Learner {n}")
        chosen = {"what": "own", "text": message} | setup
        effects = self.console("start_exercise", kind="relay", setup=chosen)
        assert not refusal(effects), refusal(effects)
        self.settle()
        return self

    @property
    def chain(self) -> list[int]:
        """The seats of the first chain in their order, those taken out as 0."""
        return [station.seat for station in self.push.state.chains[0].stations]

    def leg(self, seat: int) -> Run:
        """The last leg that was sent to this seat."""
        return next(run for run in reversed(self.state.runs) if run.within and run.has(seat))

    def after_sound(self, seat: int) -> Run:
        leg = self.leg(seat)
        self.now_ms = max(self.now_ms, leg.start_room_ms + leg.last_end_ms + LAG_MS + 500.0)
        return leg

    def writes(self, seat: int, signs: str) -> Run:
        """Hear the whole leg and write this, mark for mark, as long as there are sounds for them."""
        leg = self.after_sound(seat)
        self.learner(seat, "report_sounded", push=leg.id, spans=[[0, len(leg.sent)]])
        ends = [float(leg.end_ms[min(i, len(leg.sent) - 1)]) + LAG_MS for i in range(len(signs))]
        keys = [{"at_ms": at_ms, "sign": sign} for at_ms, sign in zip(ends, signs, strict=True)]
        if keys:
            self.learner(seat, "write_keys", push=leg.id, first=leg.copies[seat].strokes, keys=keys)
        return leg

    def passes(self, seat: int, signs: str) -> None:
        """Write it, and say that this is all."""
        leg = self.writes(seat, signs)
        self.learner(seat, "hand_in", push=leg.id)
        self.settle()

    def told(self, to: int | str) -> dict[str, Any]:
        """What this page was last shown of the exercise."""
        found: dict[str, Any] = next(
            s.payload["shown"] for s in reversed(self.sent) if s.to == to and s.name == "exercise"
        )
        return found

    def rows(self) -> list[dict[str, Any]]:
        """The stations of the first chain as the console sees them."""
        found: list[dict[str, Any]] = self.told("console")["paths"][0]["stations"]
        return found

    def evening(self) -> dict[tuple[str, str], int]:
        """The evening's table once this is over and something else is at hand."""
        self.console("reveal")
        self.settle()
        self.send("E")
        return self.cells("evening")

    def statuses(self) -> list[str]:
        return [row["status"] for row in self.rows()]
