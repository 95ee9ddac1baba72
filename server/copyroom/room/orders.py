"""What the instructor can do to the run at hand; a part of what can happen in a room."""

from __future__ import annotations

from dataclasses import dataclass

ANY = -1
"""Whatever run is at hand."""


@dataclass(frozen=True, slots=True)
class Order:
    """What the instructor does to the run at hand, as the console showed it: its number and phase.

    Where they are not what the room has by then, the order was meant for something else. ANY and "" ask
    for no such look; the journal keeps orders that way.
    """

    push: int = ANY
    seen: str = ""


@dataclass(frozen=True, slots=True)
class Pause(Order):
    """All sound ends at once; the run can go on."""


@dataclass(frozen=True, slots=True)
class GoOn(Order):
    """A paused run goes on with the symbol that was cut off, at a time that the room sets."""

    start_room_ms: float = 0.0


@dataclass(frozen=True, slots=True)
class Stop(Order):
    """All sound ends at once, for good; what did not sound is not part of the run.

    Before its first sound it is cancelled, as if it had not been sent.
    """


@dataclass(frozen=True, slots=True)
class Repeat(Order):
    """Send the last text again, as a run of its own."""


@dataclass(frozen=True, slots=True)
class Close(Order):
    """End the run: copies are final, and the result stands."""


@dataclass(frozen=True, slots=True)
class Reveal(Order):
    """Show each learner their own copy under what was sent, and the wall the class table."""
