"""Who is taken out of the room is struck out of its journal, and nobody else is touched."""

from __future__ import annotations

from copyroom.room.contract import Event
from copyroom.room.forgetting import without_the_removed
from copyroom.room.journal import from_record, to_record
from scripted_room import ScriptedRoom


def events_of(play: ScriptedRoom) -> list[Event]:
    return [from_record(name, body) for name, body, _ in play.journal]


def struck_out(play: ScriptedRoom) -> ScriptedRoom:
    """The same room, replayed from what its journal may keep."""
    left = ScriptedRoom(play.now_ms)
    for event, (_, _, at_ms) in zip(without_the_removed(events_of(play)), play.journal, strict=True):
        if event is not None:
            left.journal.append((*to_record(event), at_ms))
    return left.replayed()


def a_lesson(*, leaves: str) -> ScriptedRoom:
    """Three copy two runs; one of them has been in and out, is called anew, hands in, and is taken out."""
    play = ScriptedRoom()
    seats = dict(zip(("Amber", "Birch", "Cedar"), play.seat_three(), strict=True))
    gone = seats[leaves]
    play.join("", play.state.seats[gone].token)
    play.console("rename", seat=gone, name="Quillfeather")
    for text in ("ATNKM", "KMATN"):
        play.send(text)
        play.to_tidying()
        for seat in seats.values():
            play.copies_all(seat, text if seat != gone else "EEEEE")
        play.console("close")
        play.settle()
    play.console("remove_seats", seats=[gone])
    play.join("Dahlia")
    play.settle()
    return play


def test_the_room_is_the_same_without_what_was_struck_out():
    for leaves in ("Amber", "Birch", "Cedar"):
        play = a_lesson(leaves=leaves)
        left = struck_out(play)
        assert left.durable_views() == play.replayed().durable_views()
        assert list(left.state.seats) == list(play.state.seats)


def test_nothing_that_the_removed_one_wrote_or_was_called_is_left():
    play = a_lesson(leaves="Birch")
    (token,) = (event.fresh_token for event in events_of(play) if getattr(event, "name", "") == "Birch")
    assert "Quillfeather" in str(play.journal)
    left = [event for event in without_the_removed(events_of(play)) if event is not None]
    text = str([to_record(event) for event in left])
    assert not [trace for trace in ("Quillfeather", "Birch", token) if trace in text]
    assert all(name in text for name in ("Amber", "Cedar", "Dahlia"))
    assert sum(event is None for event in without_the_removed(events_of(play))) >= 4


def test_a_journal_struck_out_once_stays_as_it_is():
    once = [event for event in without_the_removed(events_of(a_lesson(leaves="Cedar"))) if event is not None]
    assert without_the_removed(once) == once


def test_who_comes_back_with_the_token_of_a_seat_taken_out_is_somebody_new():
    play = ScriptedRoom()
    play.seat_three()
    token = play.state.seats[2].token
    play.console("remove_seats", seats=[2])
    play.join("Birch again", token)
    play.console("rename", seat=4, name="Elder")
    left = without_the_removed(events_of(play))
    assert {"Elder", "Birch again"} <= {getattr(event, "name", "") for event in left}
    assert [seat.name for seat in struck_out(play).state.seats.values()] == ["Amber", "Cedar", "Elder"]


def test_a_paper_seat_that_was_added_at_the_console_goes_too():
    play = ScriptedRoom()
    play.seat_three()
    play.console("add_seat", name="Foxglove")
    play.console("remove_seats", seats=[4])
    play.console("add_seat", name="Gorse")
    left = struck_out(play)
    assert [(seat.id, seat.name) for seat in left.state.seats.values()][-1] == (5, "Gorse")
    assert "Foxglove" not in str(left.journal)
