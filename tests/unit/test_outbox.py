"""Nothing leaves before what it says is on disk, and nothing is lost on the way."""

from __future__ import annotations

import logging
import threading

import pytest

from copyroom.room.effects import Send
from copyroom.room.messages.learner import KeptOut
from copyroom.room.messages.running import HaltOut
from copyroom.shell.claims import LostRoomsError
from copyroom.shell.outbox import BATCHES_AT_ONCE, RETRY_S, Outbox, Outgoing
from copyroom.shell.store import Record

HALT = HaltOut(push=1, at_room_ms=0.0, for_good=True, sent=0)


def kept(k: int) -> KeptOut:
    return KeptOut(push=1, seat=1, kept=k)


class Desk:
    """A disk that fails as often as told, and a post that writes down what went out when."""

    def __init__(self, failures: int = 0, unsendable: int = -1) -> None:
        self.failures, self.unsendable = failures, unsendable
        self.disk: list[str] = []
        self.commits = 0
        self.out: list[tuple[str, frozenset[str]]] = []
        self.pauses_s: list[float] = []
        self.outbox = Outbox(self._append, self._emit, self.pauses_s.append)

    def _append(self, records: list[Record]) -> None:
        if self.failures:
            self.failures -= 1
            raise OSError("no space left on device")
        assert records, "a commit of nothing"
        self.commits += 1
        self.disk += [record.body for record in records]

    def _emit(self, outgoing: Outgoing) -> None:
        for send in outgoing.sends:
            k = send.message.kept if isinstance(send.message, KeptOut) else send.name
            if k == self.unsendable:
                raise RuntimeError("a connection in a state that nobody thought of")
            self.out.append((str(k), frozenset(self.disk)))

    def put(self, k: int, records: int = 1) -> None:
        saved = [Record("HERON-0417", k, 2, float(k), "SetTitle", f"{k}") for _ in range(records)]
        self.outbox.put(Outgoing("HERON-0417", "sid", saved, [Send("sender", kept(k))]))

    def let_out(self) -> None:
        self.outbox.stop()
        self.outbox.run()


def test_a_message_leaves_only_after_its_record_is_appended() -> None:
    desk = Desk()
    for k in range(20):
        desk.put(k)
    desk.let_out()
    assert all(k in on_disk for k, on_disk in desk.out)


def test_order_is_kept_of_records_and_of_messages() -> None:
    desk = Desk()
    for k in range(3 * BATCHES_AT_ONCE):
        desk.put(k, records=k % 3)
    desk.let_out()
    assert [k for k, _ in desk.out] == [str(k) for k in range(3 * BATCHES_AT_ONCE)]
    assert desk.disk == [str(k) for k in range(3 * BATCHES_AT_ONCE) for _ in range(k % 3)]


def test_what_has_gathered_is_committed_together() -> None:
    desk = Desk()
    for k in range(BATCHES_AT_ONCE + 1):
        desk.put(k)
    desk.let_out()
    assert desk.commits == 2


def test_messages_without_records_cost_no_commit() -> None:
    desk = Desk()
    desk.put(1, records=0)
    desk.let_out()
    assert (desk.commits, [k for k, _ in desk.out]) == (0, ["1"])


def test_a_failing_disk_is_tried_again_and_loses_nothing(caplog: pytest.LogCaptureFixture) -> None:
    desk = Desk(failures=3)
    for k in range(5):
        desk.put(k)
    with caplog.at_level(logging.ERROR):
        desk.let_out()
    assert desk.pauses_s == [RETRY_S] * 3
    assert desk.disk == [str(k) for k in range(5)], "once each, in order"
    assert [k for k, _ in desk.out] == ["refused", *(str(k) for k in range(5))]
    assert all(k in on_disk for k, on_disk in desk.out[1:]), "nothing was acknowledged while the disk failed"
    assert caplog.text.count("journal write=failed") == 3


def test_sound_can_be_stopped_while_the_disk_fails_and_the_console_is_told() -> None:
    desk = Desk(failures=2)
    saved = [Record("HERON-0417", 1, 2, 1.0, "Stop", "{}")]
    desk.outbox.put(
        Outgoing(
            "HERON-0417",
            "sid",
            saved,
            [Send("seats", HALT), Send("sender", kept(1))],
        )
    )
    desk.let_out()
    assert [name for name, on_disk in desk.out if not on_disk] == ["halt", "refused"]
    assert [name for name, on_disk in desk.out if on_disk] == ["halt", "1"]


def test_a_halt_does_not_wait_for_the_disk_and_is_said_again_in_its_place() -> None:
    """A locked database held it up for nine seconds. It may overtake the sound that it ends."""
    desk = Desk()
    desk.put(1)
    saved = [Record("HERON-0417", 2, 2, 2.0, "Pause", "{}")]
    desk.outbox.put(Outgoing("HERON-0417", "sid", saved, [Send("seats", HALT)]))
    assert desk.out == [("halt", frozenset())]
    desk.let_out()
    assert [name for name, _ in desk.out] == ["halt", "1", "halt"]


def test_a_message_that_cannot_be_sent_holds_up_no_other(caplog: pytest.LogCaptureFixture) -> None:
    desk = Desk(unsendable=2)
    for k in range(5):
        desk.put(k)
    with caplog.at_level(logging.ERROR):
        desk.let_out()
    assert [k for k, _ in desk.out] == ["0", "1", "3", "4"]
    assert desk.disk == [str(k) for k in range(5)]


def test_the_end_waits_until_all_is_on_disk_but_not_for_a_disk_that_fails() -> None:
    failing = Desk(failures=3)
    failing.put(1)
    assert not failing.outbox.finish(0.0), "nobody has let anything out yet"
    writer = threading.Thread(target=failing.outbox.run)
    writer.start()
    assert failing.outbox.finish(60.0)
    assert failing.disk == ["1"]
    writer.join()


def test_many_may_put_while_one_runs() -> None:
    desk = Desk()
    runner = threading.Thread(target=desk.outbox.run)
    runner.start()
    writers = [
        threading.Thread(target=lambda n=n: [desk.put(n * 1000 + k) for k in range(200)]) for n in range(4)
    ]
    for thread in writers:
        thread.start()
    for thread in writers:
        thread.join(10.0)
    desk.outbox.stop()
    runner.join(10.0)
    assert not runner.is_alive()
    sent = [int(k) for k, _ in desk.out]
    assert len(sent) == 800
    for n in range(4):
        own = [k for k in sent if k // 1000 == n]
        assert own == sorted(own)
    assert all(k in on_disk for k, on_disk in desk.out)


def test_a_room_that_another_server_has_by_now_lets_nothing_out_and_keeps_no_other_back() -> None:
    out: list[str] = []
    lost: list[str] = []

    def append(records: list[Record]) -> None:
        if any(record.code == "WREN-0001" for record in records):
            raise LostRoomsError({"WREN-0001"})

    outbox = Outbox(append, lambda outgoing: out.append(outgoing.code), lambda _s: None, lost.append)
    for code in ("HERON-0417", "WREN-0001", "HERON-0417"):
        record = Record(code, 1, 2, 0.0, "SetTitle", "{}")
        outbox.put(Outgoing(code, "sid", [record], [Send("sender", kept(1))]))
    outbox.stop()
    outbox.run()
    assert (out, lost) == (["HERON-0417"] * 2, ["WREN-0001"])
