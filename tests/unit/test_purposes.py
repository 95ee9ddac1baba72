"""One vocabulary of what is sent: each purpose can be composed or planned, sent, kept and shown."""

from __future__ import annotations

import json
import re
import typing
from collections.abc import Iterator

import pytest

from copyroom.core import phrases
from copyroom.core.purpose import PURPOSES, Because, Change, Composed, Purpose, Recalled, Sounding, What, Why
from copyroom.core.steps import MOST_SOUNDS, READINGS, TALK_S
from copyroom.core.usage import EXAMINED_SIGNS
from scripted_room import ScriptedRoom, refusal, sends
from wire_samples import lesson

KNOWN = EXAMINED_SIGNS
SENTENCE = re.compile(r"[a-z]+ [a-z]+ [a-z]+|[a-z][.!?]( |$)")
GIVEN = {"name", "text", "reason", "fresh_token", "token"}
"""Fields that a person fills, or a machine with no words."""


def test_the_traits_and_words_of_every_purpose_are_known() -> None:
    purposes = set(typing.get_args(Purpose))
    for table in (PURPOSES, phrases.TITLES, TALK_S, MOST_SOUNDS):
        assert set(table) == purposes
    assert {purpose for purpose in purposes if PURPOSES[purpose].composed} == set(typing.get_args(Composed))
    assert {purpose for purpose in purposes if PURPOSES[purpose].silent} == purposes - set(
        typing.get_args(Sounding)
    )
    assert {purpose for purpose in purposes if PURPOSES[purpose].read} == set(READINGS)


def test_a_title_names_few_sounds_and_counts_many() -> None:
    assert phrases.title("apart", "NA") == "A and N apart"
    assert phrases.title("practise", "NAT") == "Practise A, N, T"
    assert phrases.title("practise", "ETANIM") == "Practise 6 sounds"
    assert phrases.title("meet", "NA") == "Meet N"
    assert (phrases.title("mix", "N"), phrases.title("mix", "NA")) == ("N alone", "2 sounds mixed")


def ready() -> ScriptedRoom:
    play = ScriptedRoom()
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    return play


@pytest.mark.parametrize("purpose", typing.get_args(Composed))
def test_each_purpose_of_the_composer_is_composed_planned_sent_and_shown(purpose: Composed) -> None:
    play, own = ready(), "TEAM" if purpose == "own" else ""
    symbols = {"none": "", "one": "K", "few": "AN", "many": KNOWN}[PURPOSES[purpose].takes]
    wanted = {"purpose": purpose, "symbols": symbols}
    composed = play.console("compose", **wanted, count=20, group=5, text=own, seed=3)
    (proposal,) = sends(composed, "proposal")
    play.console("add_step", **wanted, text=proposal.payload["text"])
    (step,) = play.view("plan")["steps"]
    assert (step["purpose"], step["reason"]) == (purpose, "You put it here.")
    assert not refusal(play.console("send_step", step=step["step"]))
    play.settle()
    (run,) = play.view("room")["runs"]
    assert (run["purpose"], run["counted"]) == (purpose, not PURPOSES[purpose].shown)
    assert run["title"] == step["title"] != ""
    assert play.replayed().view("room")["runs"] == [run]


def test_each_purpose_of_an_evening_is_planned_sent_and_shown() -> None:
    play = ready()
    play.console("plan_evening", minutes=90.0)
    planned = {step["purpose"]: step for step in play.view("plan")["steps"]}
    of_evening = {purpose for purpose in PURPOSES if not PURPOSES[purpose].composed}
    assert of_evening - {"practise", "together"} <= set(planned), (
        "a class that knows all practises nothing new"
    )
    for step in planned.values():
        order = "mark_step" if PURPOSES[step["purpose"]].silent else "send_step"
        assert not refusal(play.console(order, step=step["step"]))
        assert step["title"]
        assert step["reason"]
        if order == "send_step":
            play.settle()
            assert play.view("room")["runs"][-1]["title"] == step["title"]
            assert play.push.purpose == step["purpose"]
            play.to_tidying()


def test_a_step_that_sends_nothing_cannot_be_sent() -> None:
    play = ready()
    play.console("plan_evening", minutes=45.0)
    close = next(step for step in play.state.plan if step.step.purpose == "close")
    assert "sends nothing" in refusal(play.console("send_step", step=close.id))


# ------------------------------------------------------------------ the journal


def strings(value: object, at: str = "") -> Iterator[tuple[str, str]]:
    """Every string of a record with the field that it stands in."""
    if isinstance(value, str):
        yield at, value
    elif isinstance(value, dict):
        for field, inner in value.items():
            yield from strings(inner, field)
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner, at)


def sentences_in(body: str) -> list[tuple[str, str]]:
    return [
        (field, said)
        for field, said in strings(json.loads(body))
        if field not in GIVEN and field != "title" and SENTENCE.search(said)
    ]


def test_no_record_of_an_evening_holds_a_sentence_or_a_title_that_nobody_gave() -> None:
    play = lesson()
    names = {name for name, *_ in play.journal}
    assert {"SetPlan", "SendText", "AddStep", "SetAside", "GiveReview"} <= names
    fitted = [body for name, body, _ in play.journal if name == "SetPlan" and '"weakest"' in body]
    assert fitted, "an evening with reasons and figures"
    for name, body, _ in play.journal:
        assert sentences_in(body) == [], name
        if name != "SetTitle":
            titles = {said for field, said in strings(json.loads(body)) if field == "title"}
            assert titles <= {"", "Once more"}, name


def test_the_sentences_of_an_older_form_would_be_found() -> None:
    """The search above is not blind."""
    older = {
        "step": {"because": "New sounds need many turns at once."},
        "changes": ["3 minutes to spare went."],
    }
    assert len(sentences_in(json.dumps(older))) == 2


# ------------------------------------------------------------------ reasons in words


def test_every_reason_and_every_change_has_words_of_its_own() -> None:
    reasons = {
        key: phrases.why("mix", Because(key, "KM", (0.4, None), copied=0.5)) for key in typing.get_args(Why)
    }
    known = Recalled(0.5, 4, "M")
    changes = {
        key: phrases.changed(Change(key, "KM", (0.4, None), known, 0.78, "", 12.0, ("words", "mix")))
        for key in typing.get_args(What)
    }
    for worded in (reasons, changes):
        assert len(set(worded.values())) == len(worded)
        assert all(said.endswith(".") for said in worded.values())
    assert "K (40 %), M (not tested yet)" in reasons["weakest"]
    assert "of which the class copied 50 %" in reasons["go back"]
    assert changes["left out"] == "Left out, with 12 minutes left: Words, Mix."
    assert changes["another evening"].endswith("M is not tested yet, and new ones come at 78 % of all.")
