"""The booklet for teaching, read back as text; and tunes that have little to teach."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from solowright.demo import bundled_tune
from solowright.harmony import read_line
from solowright.harmony.short_names import SHORT
from solowright.lesson.booklet import teaching_booklet
from solowright.lesson.captions import make_cues
from solowright.lesson.device_texts import DEVICE_TEXTS
from solowright.lesson.phrases import find_phrases
from solowright.lesson.plainer import make_plainer
from solowright.music.line import EMPTY_LINE, make_line
from solowright.music.tune import Tune
from solowright.practice import find_loops
from solowright.work import work_out
from tests.lesson.tunes import steps_tune


@pytest.fixture(scope="module")
def words(tmp_path_factory: pytest.TempPathFactory) -> str:
    worked = work_out(bundled_tune())
    assert worked.reading is not None
    path = tmp_path_factory.mktemp("booklet") / "booklet.pdf"
    path.write_bytes(teaching_booklet(worked, make_plainer(worked.tune, worked.reading)))
    made = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    return " ".join(made.stdout.decode().split())


def test_every_section_and_every_device_once(words: str) -> None:
    tune = bundled_tune()
    for first, last, name in ((1, 8, "Vamp"), (9, 16, "Bridge"), (25, 26, "Break"), (33, 36, "Ending")):
        assert f"{name} bars {first}–{last}" in words
    kinds = {device.kind for device in read_line(tune).devices}
    for kind, text in DEVICE_TEXTS.items():
        assert words.count(text.what[:40]) == (kind in kinds), kind


def test_hard_spots_sound_and_the_plainer_line(words: str) -> None:
    tune = bundled_tune()
    for loop in find_loops(tune, work_out(tune).fingering.paths[0]):
        assert f"{loop.crux}: {loop.why}"[:60] in words
    assert "are slurred" in words and "dB of gain they speak" in words
    assert "68 of 68 targets stay" in words


def test_every_kind_of_device_is_explained() -> None:
    """The kinds that have a short name, and those that the demo shows."""
    assert SHORT and set(SHORT) <= set(DEVICE_TEXTS)
    assert {device.kind for device in read_line(bundled_tune()).devices} <= set(DEVICE_TEXTS)


def bare_tunes() -> Iterator[Tune]:
    tune = steps_tune()
    yield replace(tune, line=EMPTY_LINE)
    yield replace(tune, line=make_line(list(tune.line.notes[:1])))


def test_a_line_with_nothing_in_it_is_no_fault() -> None:
    for tune in bare_tunes():
        worked = work_out(tune)
        assert worked.reading is not None
        plainer = make_plainer(tune, worked.reading)
        assert plainer.reached and not plainer.left
        assert teaching_booklet(worked, plainer).startswith(b"%PDF")
        assert len(find_phrases(tune)) == len(tune.line.notes)
        make_cues(tune, worked.reading, tune.seconds, 10.0)


def test_the_folder_of_templates_is_in_the_package() -> None:
    folder = Path(teaching_booklet.__code__.co_filename).parent
    assert {"booklet.typ", "filming.typ"} <= {path.name for path in folder.iterdir()}
