"""The projector's page: the class as a whole, without names, and no solution before its time."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from copyroom.room.contract import Audience, Message, message
from copyroom.room.figures import Figures
from copyroom.room.messages.evidence import Cell, PairOut, cells_of, pairs_view
from copyroom.room.messages.running import RunShape, on_the_wall
from copyroom.room.run import Run
from copyroom.room.scoring import results, run_table


@message(Audience.WALL, name="wall")
class WallOut(Message, frozen=True, kw_only=True):
    """No names, and nothing of the text before the reveal. `written`: of `expected` sounds so far."""

    code: str
    title: str
    here: int
    run: RunShape | None = None
    pairs: Sequence[PairOut] = ()
    written: int = 0
    expected: int = 0
    cells: Sequence[Cell] = ()
    copies: int = 0


def wall_view(figures: Figures, now_ms: float) -> WallOut:
    """The class at this moment."""
    room, run = figures.room, figures.room.run
    here = [seat for seat in room.seats.values() if seat.here and seat.inside]
    wall = WallOut(code=room.code, title=room.title, here=len(here))
    if run is None:
        return wall
    typed = [c for seat in here if (c := run.copies.get(seat.id)) and c.way == "typing"]
    wall = replace(
        wall,
        run=on_the_wall(run, now_ms),
        written=sum(len(copy.marks) for copy in typed),
        expected=run.sent_count * len(typed),
    )
    return _with_table(figures, run, wall) if run.revealed and run.text else wall


def _with_table(figures: Figures, run: Run, wall: WallOut) -> WallOut:
    found = figures.findings.get("run")
    return replace(
        wall,
        pairs=pairs_view(found) if found and found.made_of == (run.id,) else [],
        cells=cells_of(run_table(figures, run)),
        copies=len(results(figures, run)),
    )
