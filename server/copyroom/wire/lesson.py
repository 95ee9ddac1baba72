"""What the console is told of the course, the plan, the advice and the progress: one TypedDict an event."""

from __future__ import annotations

from typing import TypedDict

from copyroom.room.limits import Emphasis


class PinOut(TypedDict):
    sign: str
    place: int


class EmphasisOut(TypedDict):
    emphasis: Emphasis
    title: str
    summary: str


class PlacementOut(TypedDict):
    sign: str
    reasons: list[str]
    pinned: bool


class CourseOut(TypedDict):
    """An order with the reason of each place. `all_signs`: what may be left out or taken in."""

    emphases: list[EmphasisOut]
    order: list[PlacementOut]
    all_signs: str


class StepOut(TypedDict):
    """`push`: 0 not done, -1 done without sound, else the run it became. `text` "": nothing to send."""

    step: int
    kind: str
    title: str
    symbols: str
    text: str
    sounds: int
    seconds: float
    reason: str
    push: int


class PlanOut(TypedDict):
    """The course as chosen, and the evening's steps. `changes`: what the last copies changed, and why."""

    emphasis: Emphasis
    order: str
    pins: list[PinOut]
    meetings: int
    review_days: int
    minutes: float
    begun_room_ms: float | None
    steps: list[StepOut]
    changes: list[str]


class ChoiceOut(TypedDict):
    """action: "go on", "repeat", "go back" or "contrast"; `introduce` comes before a text on `symbols`."""

    action: str
    sentence: str
    introduce: str
    symbols: str
    sounds: int
    reasons: list[str]


class LackOut(TypedDict):
    name: str
    missed_days: list[int]
    never_heard: str


class SlowOut(TypedDict):
    """Medians of right answers, from the end of the sound to the key."""

    sign: str
    median_s: float
    usual_s: float


class AdviceOut(TypedDict):
    """What could be done after run `push`, the proposed one first; taken with `take_choice`."""

    push: int
    choices: list[ChoiceOut]
    lacking: list[LackOut]
    slow: list[SlowOut]


class MeetingProgress(TypedDict):
    """recall: as in EvidenceOut, of the class; seats: [seat, right, sendings, low, high]."""

    number: int
    day: int
    recall: list[list[str | int | float | bool]]
    seats: list[list[int | float]]


class SeatName(TypedDict):
    seat: int
    name: str


class CourseProgressOut(TypedDict):
    """The course so far, meeting by meeting; for the instructor alone."""

    meetings: list[MeetingProgress]
    seats: list[SeatName]
