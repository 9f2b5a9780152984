"""The lesson's folder: everything in it, written whole or not at all."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path

import pytest
import soundfile

from solowright.errors import InputError
from solowright.files.load import load
from solowright.lesson import pack as packing
from solowright.lesson.captions import write_vtt
from solowright.lesson.pack import STEPS, write_lesson
from solowright.lesson.video import FPS
from solowright.music.tune import Tune
from solowright.work import Worked


def words_of(pdf: Path) -> str:
    made = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True)
    return " ".join(made.stdout.decode().split())


def test_everything_is_in_it(pack: Path) -> None:
    names = {str(path.relative_to(pack)) for path in pack.rglob("*") if path.is_file()}
    assert names >= {
        "lesson.html", "booklet.pdf", "filming-sheet.pdf", "plainer-line.pdf", "film.mp4", "film.vtt",
        "line.solo", "line.musicxml", "line.mid", "plainer-line.solo", "plainer-line.musicxml",
        "plainer-line.mid", "audio/full.mp3", "audio/without-guitar.mp3", "audio/guitar-alone.mp3",
        "audio/plainer-line.mp3", "audio/60-percent-full.mp3", "audio/60-percent-without-guitar.mp3",
        "audio/60-percent-guitar-alone.mp3", "audio/60-percent-plainer-line.mp3", "parts/concert.pdf",
        "parts/b-flat.pdf", "parts/e-flat.pdf", "parts/bass-clef.pdf",
    }  # fmt: skip


def test_the_lines_come_back_as_they_were(pack: Path, steps: Tune) -> None:
    for suffix in (".solo", ".musicxml"):
        back = load(pack / f"line{suffix}")
        assert [(n.onset, n.pitch.midi, n.string, n.fret) for n in back.line.notes] == [
            (n.onset, n.pitch.midi, n.string, n.fret) for n in steps.line.notes
        ]
    plain = load(pack / "plainer-line.musicxml")
    assert len(plain.line.notes) < len(steps.line.notes)


def test_slow_audio_is_slow(pack: Path) -> None:
    full = soundfile.info(pack / "audio" / "full.mp3").duration
    slow = soundfile.info(pack / "audio" / "60-percent-full.mp3").duration
    assert slow - 2.5 == pytest.approx((full - 2.5) / 0.6, abs=0.05)


def test_the_filming_sheet_has_a_take_for_each_phrase(pack: Path, worked: Worked) -> None:
    words = words_of(pack / "filming-sheet.pdf")
    assert "Head, bars 1–2" in words and "Tail, bars 3–4" in words
    assert "At tempo 210" in words and "Slowly 126" in words
    assert "Begin on string 3, fret 5 with finger 1." in words
    assert worked.reading is not None
    for sentence in worked.reading.sentences:
        # Accidentals are set from another face, and pdftotext puts them where it likes.
        assert sentence.text.split(":")[0].split("♯")[0].split(" C")[0] in words


def test_a_run_that_fails_leaves_all_as_it_was(
    worked: Worked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At every place where something is written, and with a folder that was there."""
    folder = tmp_path / "old"
    folder.mkdir()
    (folder / "lesson.html").write_text("mine")

    def broken(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    assert worked.reading is not None
    steps, quick = worked.tune, cache(packing.play_at)
    plain = packing.make_plainer(steps, worked.reading)
    for name in ("save", "write_video", "web_page", "filming_sheet", "_put_in_place"):
        with monkeypatch.context() as patch:
            patch.setattr(packing, "play_at", quick)
            patch.setattr(packing, "make_plainer", lambda *_: plain)
            for slow in ("teaching_booklet", "booklet", "part_pdf", "code"):
                patch.setattr(packing, slow, lambda *_: b"")
            patch.setattr(packing, "web_page", lambda *_: "")
            patch.setattr(packing, "write_video", lambda *_, **__: 1.0)
            patch.setattr(packing, name, broken)
            for place in (folder, tmp_path / "new"):
                with pytest.raises(InputError, match="No space left"):
                    write_lesson(steps, place)
        assert [path.name for path in tmp_path.iterdir()] == ["old"]
        assert [path.name for path in folder.iterdir()] == ["lesson.html"]
        assert (folder / "lesson.html").read_text() == "mine"


def test_what_else_lay_in_the_folder_stays(tmp_path: Path) -> None:
    folder, draft = tmp_path / "lesson", tmp_path / "new"
    (folder / "audio").mkdir(parents=True)
    for place, text in ((folder / "audio" / "take.mp3", "mine"), (folder / "film.vtt", "old")):
        place.write_text(text)
    draft.mkdir()
    (draft / "film.vtt").write_text("new")
    packing._put_in_place(draft, folder, tmp_path / "aside")
    assert (folder / "audio" / "take.mp3").read_text() == "mine"
    assert (folder / "film.vtt").read_text() == "new" and not draft.exists()


def test_a_file_is_no_folder(steps: Tune, tmp_path: Path) -> None:
    (tmp_path / "film.mp4").write_text("")
    with pytest.raises(InputError, match="this is a file; name a folder"):
        write_lesson(steps, tmp_path / "film.mp4")


def test_progress_tells_every_step(
    steps: Tune, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def film(*_: object, drawn: object, **__: object) -> float:
        for frame in range(0, 200, FPS):
            drawn(frame / 200)  # type: ignore[operator]
        return 1.0

    monkeypatch.setattr(packing, "write_video", film)
    for slow in ("teaching_booklet", "code"):
        monkeypatch.setattr(packing, slow, lambda *_: b"")
    told: list[None] = []
    write_lesson(steps, tmp_path / "out", step=lambda: told.append(None))
    assert len(told) == len(STEPS)
    assert write_vtt(()) == "WEBVTT\n"
