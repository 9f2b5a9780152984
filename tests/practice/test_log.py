"""The log keeps every try that was answered, whatever happens to the process."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path

import pytest

from solowright.errors import InputError
from solowright.practice.ladder import Try
from solowright.practice.log import Entry, drop_last, read_tries, write_try

NOW = datetime(2027, 3, 1, 20, 15)

_WRITER = """
import sys
from datetime import datetime
from pathlib import Path
from solowright.practice.ladder import Try
from solowright.practice.log import Entry, write_try
now = datetime(2027, 3, 1, 20, 15)
for number in range(100000):
    write_try(Path(sys.argv[1]), Entry(now, "Ferry", "bar 3", Try(now.date(), 100.0 + number, True)))
    print(number, flush=True)
"""


def _entry(loop: str = "bar 3", clean: bool = True, tune: str = "Ferry") -> Entry:
    return Entry(NOW, tune, loop, Try(NOW.date(), 104.5, clean, "loop"))


def test_tries_come_back_as_written(tmp_path: Path) -> None:
    log = tmp_path / "log"
    made = [_entry(), _entry(clean=False), _entry("bars 5-6 from beat 2"), _entry(tune="Quay")]
    for entry in made:
        write_try(log, entry)
    assert read_tries(log, "Ferry") == tuple(made[:3])
    assert read_tries(log, "Ferry", "bar 3") == tuple(made[:2])
    assert read_tries(log, "Quay") == (made[3],)


def test_the_last_try_can_be_taken_back(tmp_path: Path) -> None:
    log = tmp_path / "log"
    for entry in (_entry(), _entry(tune="Quay")):
        write_try(log, entry)
    assert drop_last(log, "Ferry") and not drop_last(log, "Ferry")
    assert read_tries(log, "Ferry") == () and len(read_tries(log, "Quay")) == 1


def test_no_log_is_no_tries(tmp_path: Path) -> None:
    assert read_tries(tmp_path / "none", "Ferry") == ()
    assert not (tmp_path / "none").exists()


def test_another_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("not a log, but mine " * 50, "utf-8")
    with pytest.raises(InputError, match="log"):
        read_tries(other, "Ferry")
    assert other.read_text("utf-8").startswith("not a log")


@pytest.mark.parametrize("after", [1, 3, 10, 25])
def test_killed_at_any_moment_nothing_answered_is_lost(tmp_path: Path, after: int) -> None:
    log = tmp_path / "log"
    writer = subprocess.Popen([sys.executable, "-c", _WRITER, str(log)], stdout=subprocess.PIPE, text=True)
    assert writer.stdout is not None
    for _ in range(after):
        writer.stdout.readline()
    time.sleep(0.003 * after)  # somewhere inside a later write
    writer.send_signal(signal.SIGKILL)
    answered = after + len(writer.stdout.read().splitlines())
    writer.wait()
    tempos = [entry.made.tempo for entry in read_tries(log, "Ferry")]
    assert tempos == [100.0 + number for number in range(len(tempos))]
    assert answered <= len(tempos) <= answered + 1
    write_try(log, _entry())
    assert len(read_tries(log, "Ferry")) == len(tempos) + 1
