"""What the instructor does with the class's sound, from composing to reveal."""

from __future__ import annotations

from typing import Annotated, Literal

from copyroom.core.purpose import Composed, Sounding
from copyroom.room.contract import By, Event, Settled, event
from copyroom.room.limits import (
    About,
    Count,
    Group,
    Phase,
    Place,
    PushNumber,
    RawText,
    Reason,
    RunAtHand,
    SeatNumber,
    Seed,
    StepNumber,
    Symbols,
)

ANY = -1
"""Whatever run is at hand."""
Chance = Annotated[Seed, Settled.CHANCE]
Start = Annotated[float, Settled.ROOM]


@event(By.INSTRUCTOR)
class Compose(Event, frozen=True):
    """Ask for a text to look at before it is sent, answered by `proposal`. Changes nothing."""

    purpose: Composed
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    seed: Chance
    about: About = ""


@event(By.INSTRUCTOR, kept=True)
class SendText(Event, frozen=True):
    """Send a run. An empty `text` is composed from purpose, symbols, count, group and seed.

    The room settles the text, the start and the run's number before the event is kept. `after` is the run at
    hand as the console showed it; where the room has another by then, nothing is sent. `title` is somebody's
    own; "" says that purpose and symbols name the run. `named`: each sound is named after a gap, as a new one
    is met; a journal that does not say so is of a program whose meetings showed the name beside the sound.
    """

    purpose: Sounding
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    name_shown: bool
    counted: bool
    seed: Chance
    start_room_ms: Start = 0.0
    step: Annotated[int, Settled.ROOM] = 0
    title: Annotated[str, Settled.ROOM] = ""
    push: Annotated[int, Settled.ROOM] = 0
    after: RunAtHand = ANY
    named: Annotated[bool, Settled.ROOM] = False
    about: About = ""


@event(By.INSTRUCTOR)
class SendStep(Event, frozen=True):
    """Send a step of the plan. Kept as the SendText that it becomes."""

    step: StepNumber
    after: RunAtHand = ANY


class Order(Event, frozen=True):
    """What is to be done to the run at hand. `push`, `seen`: its number and phase as the console showed them.

    Where the room has another by then, the order was meant for something else, and nothing is done. ANY and
    "" ask for no such look; the journal keeps orders that way.
    """

    push: RunAtHand = ANY
    seen: Phase | Literal[""] = ""


@event(By.INSTRUCTOR)
class Repeat(Order, frozen=True):
    """Send the last text again, as a run of its own. Kept as the SendText that it becomes."""


@event(By.INSTRUCTOR, kept=True)
class Pause(Order, frozen=True):
    """All sound ends at once; the run can go on."""


@event(By.INSTRUCTOR, kept=True)
class GoOn(Order, frozen=True):
    """A paused run, or one just stopped, goes on with the symbol that was cut off, when the room sets."""

    start_room_ms: Start = 0.0


@event(By.INSTRUCTOR, kept=True)
class Stop(Order, frozen=True):
    """All sound ends at once, for good; what did not sound is not part of the run.

    Before its first sound it is cancelled, as if it had not been sent.
    """


@event(By.INSTRUCTOR, kept=True)
class Close(Order, frozen=True):
    """End the run: copies are final, and the result stands."""


@event(By.INSTRUCTOR, kept=True)
class Reveal(Order, frozen=True):
    """Show each learner their own copy under what was sent, and the wall the class table.

    away : who cannot be shown theirs yet, and may still bring what they wrote in time.
    """

    away: Annotated[tuple[int, ...], Settled.ROOM] = ()


@event(By.SERVER, kept=True)
class Shown(Event, frozen=True):
    """A learner who was away when a run's copies were shown has been shown theirs."""

    seat: SeatNumber
    push: PushNumber


@event(By.INSTRUCTOR, kept=True)
class SetAside(Event, frozen=True):
    """Symbols of a closed run from `first` on are not to count; for one seat, or for all (0).

    The room gives it a number, by which it can be brought back.
    """

    push: PushNumber
    seat: SeatNumber
    first: Place
    reason: Reason
    aside: Annotated[int, Settled.ROOM] = 0


@event(By.INSTRUCTOR, kept=True)
class BringBack(Event, frozen=True):
    """What was set aside under this number counts again; `push` is the run that it was of."""

    aside: PushNumber
    push: Annotated[int, Settled.ROOM] = 0
