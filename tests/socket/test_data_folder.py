"""The data folder and the servers on it: one at a time, whole at the end, clear words when it is no use."""

from __future__ import annotations

import shutil
import socket
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from classroom import PATIENCE_S, Instructor, Learner, Server, free_port, keys_for
from copyroom.shell.store import Store

BOTH = pytest.mark.parametrize("mortal", ["eventlet", "threading"], indirect=True)


def started(data: Path, port: int, *flags: str) -> subprocess.CompletedProcess[str]:
    """A server that is expected to refuse."""
    serve = [
        sys.executable,
        "-m",
        "copyroom",
        "serve",
        "--local-only",
        "--port",
        str(port),
        "--data",
        str(data),
    ]
    return subprocess.run([*serve, *flags], capture_output=True, text=True, timeout=PATIENCE_S)


def assert_refused(ended: subprocess.CompletedProcess[str]) -> str:
    """Exit code 2, one line of words, no traceback; the line."""
    assert (ended.returncode, ended.stdout) == (2, "")
    (line,) = ended.stderr.strip().splitlines()
    assert line.endswith(".")
    return line


@BOTH
def test_second_server_on_the_folder_is_told_where_the_first_one_runs(mortal: Server):
    for port in (mortal.port, free_port()):
        line = assert_refused(started(mortal.data, port))
        assert f"http://127.0.0.1:{mortal.port}" in line
        assert str(mortal.data) in line


def test_folder_is_free_again_after_its_server_was_killed(mortal: Server):
    code = mortal.open_room()
    mortal.kill()
    mortal.port = free_port()
    mortal.url = f"http://127.0.0.1:{mortal.port}"
    mortal.start()
    assert Learner(mortal, code, "Wren").welcome["code"] == code
    assert str(mortal.port) in assert_refused(started(mortal.data, free_port()))


def test_port_that_another_program_has_is_named(tmp_path: Path):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        assert f"port {port}" in assert_refused(started(tmp_path / "data", port))


@BOTH
def test_database_file_alone_is_a_backup_after_a_clean_end(mortal: Server, tmp_path: Path):
    code = mortal.open_room()
    instructor, learner = Instructor(mortal, code), Learner(mortal, code, "Wren")
    instructor.set_sound()
    push = instructor.send("KEN")
    learner.write(push["push"], keys_for(push, "KEN"))
    learner.kept(push["push"], 3)
    mortal.send_home()
    assert mortal.interrupt() == 0, mortal.log()
    copied = tmp_path / "copied.sqlite3"
    shutil.copyfile(mortal.data / "copyroom.sqlite3", copied)
    with sqlite3.connect(copied) as database:
        assert database.execute("pragma quick_check").fetchone() == ("ok",)
    database.close()
    store = Store(f"sqlite:///{copied}", lambda call, *given: call(*given))
    assert code in [kept.code for kept in store.rooms()]
    assert [kept.name for kept in store.journal(code) if kept.name == "WriteKeys"] == ["WriteKeys"]
    store.close()
    assert not (mortal.data / "copyroom.sqlite3-wal").exists()


def codes(server: Server) -> set[str]:
    with server.instructor_session() as session:
        return {room["code"] for room in session.get(f"{server.url}/api/rooms").json()}


@pytest.mark.parametrize("killed", [False, True])
def test_rehearsal_has_a_room_of_its_own_and_leaves_no_trace(tmp_path: Path, killed: bool):
    real = Server(tmp_path / "data")
    own = codes(real)
    real.stop()
    rehearsal = Server(tmp_path / "data", "--with-learners", "2")
    (room,) = codes(rehearsal) - own
    assert f"Room {room} is a rehearsal with 2 simulated learners" in rehearsal.log()
    console = Instructor(rehearsal, "")  # the console's link leads there
    assert console.wait("room")["code"] == room
    assert "Rehearsal" in console.wait("room")["title"]
    console.wait("seats", lambda told: any(seat["here"] for seat in told["seats"]))
    if killed:
        rehearsal.kill()
    rehearsal.stop()
    assert ("The rehearsal is erased, every other room is kept." in rehearsal.log()) is not killed
    again = Server(tmp_path / "data")
    assert codes(again) == own
    again.stop()
    with sqlite3.connect(tmp_path / "data" / "copyroom.sqlite3") as database:
        assert database.execute("select count(*) from events where body like '%sim %'").fetchone() == (0,)
    database.close()


@BOTH
def test_server_that_nobody_is_connected_to_ends_when_it_is_told_to(mortal: Server):
    """An event loop with nothing to do sleeps for up to a minute."""
    begun_s = time.monotonic()
    assert mortal.interrupt() == 0, mortal.log()
    assert time.monotonic() - begun_s < 5.0
    assert mortal.log().count("The server has ended. What the class wrote is kept.") == 1


def test_damaged_database_is_refused_in_one_line_and_left_as_it_is(tmp_path: Path):
    database = tmp_path / "copyroom.sqlite3"
    database.write_bytes(b"no database\n" * 500)
    assert str(database) in assert_refused(started(tmp_path, free_port()))
    assert database.read_bytes() == b"no database\n" * 500


def test_folder_that_cannot_be_written_is_refused_in_one_line(tmp_path: Path):
    (tmp_path / "file").touch()
    data = tmp_path / "file" / "data"
    assert str(data) in assert_refused(started(data, free_port()))


def test_bad_record_sets_its_room_aside_and_the_console_says_so(mortal: Server):
    bad, good = mortal.open_room(), mortal.open_room()
    mortal.interrupt()
    with sqlite3.connect(mortal.data / "copyroom.sqlite3") as database:
        database.execute(
            "insert into events (code, number, form, at_room_ms, name, body) values (?, 9, 2, 1.0, 'X', '{')",
            (bad,),
        )
    database.close()
    mortal.start()
    with mortal.instructor_session() as session:
        listed = session.get(f"{mortal.url}/api/rooms").json()
        assert {room["code"]: room["set_aside"] for room in listed if room["code"] in (bad, good)} == {
            bad: True,
            good: False,
        }
        places = session.get(f"{mortal.url}/api/places?code={bad}")
        assert places.status_code == 409
        assert f"Room {bad} is set aside" in places.json()["error"]
    learner = Learner(mortal, good, "Wren")
    asked = {"code": bad, "name": "Otter", "token": ""}
    assert f"Room {bad} is set aside" in learner.ask("join", asked, "refused")["sentence"]
    assert "Traceback" not in mortal.log()
