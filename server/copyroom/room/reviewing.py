"""What to review until the next meeting: shown to the console, and given to the learners."""

from __future__ import annotations

from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import answers, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.figures import Figures
from copyroom.room.messages.lesson import ReviewOut, review_view


@answers(ev.ShowReview)
def show_review(figures: Figures, event: ev.ShowReview, now_ms: float) -> ReviewOut:
    """What to review on which day, for the class or one learner."""
    return review_view(figures, event.days, event.seat)


@handles(ev.GiveReview)
def give_review(room: Classroom, event: ev.GiveReview, now_ms: float) -> list[Effect]:
    """Each learner sees their own days on their own page, until something is sent again."""
    if not room.symbols:
        raise Refused("There is nothing to review yet: no sound is known.")
    room.review_days = event.days
    return []
