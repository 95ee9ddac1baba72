"""The wire: what may come in, from whom, within which limits; what goes out; and the journal's form."""

from __future__ import annotations

import json
import math
import typing
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from copyroom import wire
from copyroom.core.alphabet import SYMBOLS
from copyroom.core.bursts import Speed
from copyroom.core.purpose import Because
from copyroom.core.steps import timed_step
from copyroom.room import events as ev
from copyroom.room.contract import EVENTS, By, event_declared
from copyroom.room.journal import FORM, Reader, RecordError, from_record, to_record
from copyroom.room.limits import Symbols
from copyroom.wire import ClockOut
from declared import any_of
from scripted_room import INSTRUCTOR, misfit
from wire_samples import FILE, samples

NOBODY = wire.Sender(instructor=False, seat=None, token="fresh")
SEAT = wire.Sender(instructor=False, seat=5)
SAMPLES = json.loads(FILE.read_text("utf-8"))
BY_LEARNERS = {"choose_way", "report_device", "write_keys", "report_sounded", "hand_in", "cannot_hear"}
BY_LEARNERS |= {"hear_now", "hand_in_count"}
BY_ANYBODY = {"join"}
IN_EXERCISES = ("copyroom.room.exercises.", "copyroom.room.keyed.")
OF_EXERCISES = sorted(
    name for name in wire.TO_SERVER if EVENTS[name].kind.__module__.startswith(IN_EXERCISES)
)
"""Each kind's own: its tests play it, and below each is held to what was declared of it."""
OF_THE_ROOM = sorted(set(wire.TO_SERVER) - set(OF_EXERCISES))


def refused(name: str, payload: object, sender: wire.Sender) -> str:
    """The sentence of a refusal, "" when it was taken."""
    try:
        wire.decode(name, payload, sender)
    except wire.WireError as error:
        return str(error)
    return ""


# ------------------------------------------------------------------ samples, one per event


def shape(value: object) -> object:
    """Fields and kinds of values: an aligner that grows wiser changes figures, not what the pages read."""
    if isinstance(value, dict):
        return {field: shape(inner) for field, inner in value.items()}
    if isinstance(value, list):
        return sorted({json.dumps(shape(inner), sort_keys=True) for inner in value})
    return "number" if type(value) in (int, float) else type(value).__name__


def test_samples_are_fresh() -> None:
    assert shape(json.loads(json.dumps(samples()))) == shape(SAMPLES), "run: python tests/wire_samples.py"


def test_there_is_a_sample_for_every_event() -> None:
    assert set(SAMPLES["to_server"]) == set(OF_THE_ROOM)
    assert SAMPLES["to_browser"].keys() == wire.TO_BROWSER.keys()


@pytest.mark.parametrize("name", wire.TO_BROWSER)
def test_a_sample_to_browsers_fits_its_type(name: str) -> None:
    assert misfit(name, SAMPLES["to_browser"][name]) == ""


@pytest.mark.parametrize("name", OF_THE_ROOM)
def test_a_sample_to_the_server_decodes(name: str) -> None:
    sender = SEAT if name in BY_LEARNERS else INSTRUCTOR
    assert (
        refused(
            name,
            SAMPLES["to_server"][name] | {"seat": 5}
            if name in ("write_keys", "hand_in", "hand_in_count")
            else (SAMPLES["to_server"][name]),
            sender,
        )
        == ""
    )


@pytest.mark.parametrize("name", OF_THE_ROOM)
def test_a_refusal_names_the_event_as_the_page_did(name: str) -> None:
    sender = SEAT if name in BY_LEARNERS else INSTRUCTOR
    assert event_declared(wire.decode(name, SAMPLES["to_server"][name], sender)).name == name


def test_the_clocks_sample_fits() -> None:
    asked, answered = SAMPLES["clock"]["asked"], SAMPLES["clock"]["answered"]
    assert msgspec.structs.asdict(msgspec.convert(asked, wire.Clock)) == asked
    assert msgspec.structs.asdict(msgspec.convert(answered, ClockOut)) == answered


@pytest.mark.parametrize("name", OF_THE_ROOM)
def test_every_field_left_out_or_made_up_is_refused(name: str) -> None:
    sample = SAMPLES["to_server"][name]
    sender = SEAT if name in BY_LEARNERS else INSTRUCTOR
    for field in (field.name for field in msgspec.structs.fields(wire.TO_SERVER[name]) if field.required):
        assert field in refused(name, {k: v for k, v in sample.items() if k != field}, sender)
    assert "madeup" in refused(name, sample | {"madeup": 1}, sender)


# ------------------------------------------------------------------ who may say what


@pytest.mark.parametrize("name", OF_THE_ROOM)
def test_a_seat_cannot_act_as_instructor_nor_a_stranger_as_a_seat(name: str) -> None:
    sample = {k: v for k, v in SAMPLES["to_server"][name].items() if k != "seat" or name not in BY_LEARNERS}
    from_seat, from_nobody = refused(name, sample, SEAT), refused(name, sample, NOBODY)
    if name in BY_ANYBODY:
        assert (from_seat, from_nobody) == ("", "")
    elif name in BY_LEARNERS:
        assert (from_seat, bool(from_nobody)) == ("", True)
    else:
        assert from_seat == from_nobody == "Only the instructor's console may do that."


@pytest.mark.parametrize("name", OF_EXERCISES)
@given(data=st.data())
def test_an_event_of_an_exercise_is_taken_from_whom_it_is_declared_for(
    name: str, data: st.DataObject
) -> None:
    sample = msgspec.to_builtins(data.draw(any_of(wire.TO_SERVER[name])))
    sample = {field: value for field, value in sample.items() if field != "seat" or name not in OF_SEATS}
    by_instructor = EVENTS[name].by is By.INSTRUCTOR
    assert bool(refused(name, sample, SEAT)) == by_instructor
    assert bool(refused(name, sample, NOBODY))
    if by_instructor:
        assert refused(name, sample, INSTRUCTOR) == ""
    assert "madeup" in refused(name, sample | {"madeup": 1}, INSTRUCTOR if by_instructor else SEAT)


OF_SEATS = {name for name in OF_EXERCISES if EVENTS[name].by is not By.INSTRUCTOR}


@pytest.mark.parametrize(
    ("sender", "seat", "whose"),
    [
        (SEAT, None, (5, 5)),
        (SEAT, 0, (5, 5)),
        (SEAT, 5, (5, 5)),
        (SEAT, 6, None),
        (NOBODY, None, None),
        (NOBODY, 5, None),
        (INSTRUCTOR, None, None),
        (INSTRUCTOR, 6, (6, ev.CONSOLE)),
        (wire.Sender(instructor=True, seat=5), None, (5, 5)),
        (wire.Sender(instructor=True, seat=5), 6, (6, ev.CONSOLE)),
    ],
)
def test_a_copy_is_written_by_its_seat_or_from_the_console(
    sender: wire.Sender, seat: int | None, whose: tuple[int, int] | None
) -> None:
    for name, payload in [
        ("write_keys", {"push": 1, "first": 0, "keys": [{"at_ms": 1.0, "sign": "E"}]}),
        ("hand_in", {"push": 1}),
        ("hand_in_count", {"push": 1, "right": 3, "of": 4}),
    ]:
        payload = payload | ({} if seat is None else {"seat": seat})
        if whose is None:
            assert refused(name, payload, sender) == "That is not your seat."
            continue
        event = wire.decode(name, payload, sender)
        assert isinstance(event, ev.WriteKeys | ev.HandIn | ev.HandInCount)
        assert (event.seat, event.by) == whose


@pytest.mark.parametrize("name", sorted(BY_LEARNERS - {"write_keys", "hand_in", "hand_in_count"}))
def test_a_learner_speaks_for_the_own_seat_alone(name: str) -> None:
    assert "seat" in refused(name, SAMPLES["to_server"][name] | {"seat": 6}, SEAT)
    event: Any = wire.decode(name, SAMPLES["to_server"][name], SEAT)
    assert event.seat == 5


def test_a_new_seats_token_is_the_servers_and_not_the_learners() -> None:
    event = wire.decode("join", {"code": "X", "name": "Amber", "token": "mine"}, NOBODY)
    assert event == ev.Join("Amber", "mine", "fresh")
    assert "fresh_token" in refused(
        "join", {"code": "X", "name": "A", "token": "", "fresh_token": "a"}, NOBODY
    )


# ------------------------------------------------------------------ limits

KEY = {"at_ms": 1.0, "sign": "E"}
SOUND = {"wpm": 20.0, "overall_wpm": 10.0, "pitch_hz": 600.0, "lead_in_s": 3.0, "tidy_s": 30.0}
TEXT = {
    "purpose": "own",
    "symbols": "",
    "count": 1,
    "group": 5,
    "text": "E",
    "name_shown": False,
    "counted": True,
}
KEYS = {"push": 1, "first": 0, "keys": [KEY]}


@pytest.mark.parametrize(
    ("name", "payload", "field", "good", "bad"),
    [
        ("join", {"code": "X", "name": "A", "token": ""}, "name", ["", "x" * 24], ["x" * 25, 7, None]),
        ("join", {"code": "X", "name": "A", "token": ""}, "token", ["", "x" * 64], ["x" * 65, None]),
        ("join", {"code": "X", "name": "A", "token": ""}, "code", ["x" * 24], ["", "x" * 25]),
        ("set_sound", SOUND, "pitch_hz", [300, 1000.0], [299.9, 1000.1, "600", math.nan, math.inf]),
        ("set_sound", SOUND, "wpm", [1, 60], [0.9, 60.1]),
        ("set_sound", SOUND, "lead_in_s", [0, 30], [-0.1, 30.1]),
        ("set_sound", SOUND, "tidy_s", [0, 600], [-1, 601]),
        ("send_text", TEXT, "count", [1, 1000], [0, 1001, 1.5, True]),
        ("send_text", TEXT, "group", [1, 20], [0, 21]),
        ("send_text", TEXT, "text", ["x" * 4000], ["x" * 4001]),
        ("send_text", TEXT, "purpose", ["own", "mix"], ["other", ""]),
        ("send_text", TEXT, "counted", [True], [1, "yes", None]),
        ("send_text", TEXT, "seed", [0, 2**53 - 1], [-1, 2**53]),
        ("write_keys", KEYS, "push", [1, 999_999], [0, -1, 1_000_000, True, 1.0]),
        ("write_keys", KEYS, "first", [0, 99_999], [-1, 100_000]),
        ("write_keys", KEYS, "keys", [[KEY] * 200], [[], [KEY] * 201, KEY, None]),
        (
            "write_keys",
            KEYS,
            "keys",
            [[{"at_ms": -60_000, "sign": "E"}]],
            [[{"at_ms": math.nan, "sign": "E"}]],
        ),
        ("write_keys", KEYS, "keys", [[{"at_ms": 1, "erase": 2999}]], [[{"at_ms": 1, "erase": 3000}]]),
        (
            "write_keys",
            KEYS,
            "keys",
            [[{"at_ms": 1, "sign": "_"}]],
            [[{"at_ms": 1, "sign": "EE"}], [{"sign": "E"}]],
        ),
        (
            "report_sounded",
            {"push": 1, "spans": []},
            "spans",
            [[[0, 1000]]],
            [[], [[0]], [[0, 1, 2]], [[-1, 2]]],
        ),
        (
            "report_sounded",
            {"push": 1, "spans": []},
            "spans",
            [[[0, 1]] * 100],
            [[[0, 1]] * 101, [[0, 1001]]],
        ),
        ("set_title", {"title": ""}, "title", ["x" * 60], ["x" * 61]),
    ],
)
def test_limits_hold_at_their_edges(
    name: str, payload: dict[str, Any], field: str, good: list[object], bad: list[object]
) -> None:
    sender = SEAT if name in BY_LEARNERS else INSTRUCTOR
    for value in good:
        assert refused(name, payload | {field: value}, sender) == ""
    for value in bad:
        assert field in refused(name, payload | {field: value}, sender), value


def test_a_field_that_is_not_known_is_refused_inside_a_stroke_or_a_pin_too() -> None:
    keys = [{"at_ms": 1.0, "sign": "E"}, {"at_ms": 2.0, "sign": "T", "more": 1}]
    assert "`more`" in refused("write_keys", {"push": 1, "first": 0, "keys": keys}, wire.Sender(False, 1))
    course = {
        "emphasis": "words",
        "signs": "",
        "pins": [{"sign": "E", "place": 0, "why": "x"}],
        "meetings": 3,
    }
    assert "`why`" in refused("set_course", course, INSTRUCTOR)


def test_all_symbols_fit_into_one_message() -> None:
    (limit,) = typing.get_args(Symbols)[1:]
    assert limit.max_length >= len(SYMBOLS)


@pytest.mark.parametrize("name", ["", "stop ", "STOP", "disconnect", "__class__", "tick", "leave", "clock"])
def test_unknown_events_are_refused(name: str) -> None:
    assert refused(name, {}, INSTRUCTOR) == "That event is not known."


junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=60), inner, max_size=3),
    max_leaves=8,
)


@given(
    name=st.sampled_from(sorted(wire.TO_SERVER)),
    payload=junk,
    sender=st.sampled_from([NOBODY, SEAT, INSTRUCTOR]),
)
def test_any_junk_gets_one_clear_sentence(name: str, payload: object, sender: wire.Sender) -> None:
    sentence = refused(name, payload, sender)
    assert sentence.isprintable()
    assert len(sentence) < 200


@given(data=st.data(), name=st.sampled_from(OF_THE_ROOM))
def test_one_field_of_junk_gets_one_clear_sentence(data: st.DataObject, name: str) -> None:
    sample = SAMPLES["to_server"][name]
    field = data.draw(st.sampled_from([*sample, "more"]))
    sentence = refused(name, sample | {field: data.draw(junk)}, SEAT if name in BY_LEARNERS else INSTRUCTOR)
    assert sentence.isprintable()
    assert len(sentence) < 200


# ------------------------------------------------------------------ the journal's form

NOT_KEPT = {
    "Leave",
    "ReportDevice",
    "CannotHear",
    "HearNow",
    "Compose",
    "Repeat",
    "SeenHelp",
    "ShowCell",
    "ShowSheet",
    "ShowProgress",
    "ShowCourse",
    "PlanEvening",
    "SendStep",
    "TakeChoice",
    "ShowReview",
    "Watch",
    "Tick",
}
KEPT = [said.kind for said in EVENTS.values() if said.kept]
durable = st.sampled_from(KEPT).flatmap(any_of)


def test_every_event_is_either_kept_or_says_how_things_stand_now() -> None:
    kept = {kind.__name__ for kind in KEPT}
    assert kept & NOT_KEPT == set()
    of_exercises = {EVENTS[name].kind.__name__ for name in OF_EXERCISES}
    assert NOT_KEPT | kept | of_exercises == {said.kind.__name__ for said in EVENTS.values()}


@given(durable)
def test_a_record_reads_back_as_the_event_it_was_made_of(event: ev.Event) -> None:
    assert from_record(*to_record(event)) == event


def test_a_record_of_an_older_program_can_be_read() -> None:
    older = json.dumps(TEXT | {"seed": 0})
    sent_again = json.dumps(TEXT | {"seed": 0, "count": 0})
    reader = Reader()
    assert reader.read(1, "SendText", older) == ev.SendText(**TEXT, seed=0, push=1)
    assert reader.read(1, "SendText", sent_again) == ev.SendText(**TEXT | {"count": 1}, seed=0, push=2)


def test_seats_that_were_numbered_by_counting_name_their_numbers() -> None:
    reader = Reader()
    told = [
        ("Join", {"name": "Amber", "token": "", "fresh_token": "a"}),
        ("AddSeat", {"name": "Birch", "fresh_token": "b"}),
        ("Join", {"name": "", "token": "a", "fresh_token": "c"}),
        ("RemoveSeat", {"seat": 1}),
        ("Join", {"name": "Amber again", "token": "a", "fresh_token": "d"}),
    ]
    events: list[Any] = [reader.read(1, name, json.dumps(fields)) for name, fields in told]
    assert [getattr(event, "seat", 0) for event in events] == [1, 2, 1, 0, 3]
    assert events[3] == ev.RemoveSeats((1,))


def test_a_record_of_a_newer_form_is_not_read() -> None:
    with pytest.raises(RecordError, match="newer program"):
        Reader().read(FORM + 1, "SetTitle", '{"title":"Wednesday"}')


def test_a_record_with_a_field_of_a_newer_program_is_not_read_as_something_else() -> None:
    with pytest.raises(RecordError, match="colour"):
        from_record("SetTitle", '{"title":"Wednesday","colour":"red"}')


@pytest.mark.parametrize(
    ("name", "body", "event"),
    [
        ("SetWaitingRoom", '{"on":true}', ev.HoldAtDoor(True)),
        ("SetWaitingRoom", '{"on":false}', ev.HoldAtDoor(False)),
        ("Admit", '{"seat":4}', ev.LetIn(4)),
    ],
)
def test_a_record_under_an_older_name_is_the_event_of_today(name: str, body: str, event: ev.Event) -> None:
    assert Reader().read(1, name, body) == event


def test_an_added_step_of_an_older_form_is_as_long_as_at_the_speed_of_then() -> None:
    reader = Reader()
    sound = {"wpm": 20.0, "overall_wpm": 10.0, "pitch_hz": 600.0, "lead_in_s": 3.0, "tidy_s": 30.0}
    reader.read(2, "SetSound", json.dumps(sound))
    older = {"kind": "mix", "title": "Practice calls", "text": "K1ATM"}
    added: Any = reader.read(2, "AddStep", json.dumps(older))
    expected = timed_step("calls", "K1ATM", Speed(20.0, 10.0), Because("wanted"))
    assert (added.purpose, added.planned) == ("calls", expected)
    ours: Any = reader.read(2, "AddStep", json.dumps(older | {"title": "Ours"}))
    assert ours.title == ours.planned.title == "Ours"
    with pytest.raises(RecordError):
        reader.read(2, "AddStep", json.dumps(older | {"text": "~"}))
