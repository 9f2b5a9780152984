"""The door: suffixes, missing and unwritable files, charts for bare lines, lines in other files."""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path

import pytest

from solowright.errors import FileError, InputError, Problem
from solowright.files.load import FORMATS, load, load_chart, save
from solowright.files.whole import write_whole
from solowright.music.tune import STANDARD_TUNING, Tune

TAB = """
   1 & 2 & 3 & 4 &
e|-----------------|
B|-5h7p5---,-------|
G|-----------------|
D|-----------------|
A|-----------------|
E|-----------------|
"""
SHEET = f"title: Try\nkey: A\n[Vamp]\n| A7 | D7 |\nline:\n{TAB}"


@pytest.fixture
def tune(tmp_path: Path) -> Tune:
    return load(write(tmp_path / "try.solo", SHEET))


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def refused(path: Path, **options: object) -> str:
    with pytest.raises(InputError) as found:
        load(path, **options)  # type: ignore[arg-type]
    assert len(str(found.value).splitlines()) == 1
    return str(found.value)


@pytest.mark.parametrize("suffix", [".solo", ".musicxml", ".xml", ".mxl", ".abc"])
def test_what_is_saved_loads_equal(tune: Tune, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"out{suffix.upper()}"
    save(tune, path)
    assert load(path) == tune


def test_midi_keeps_what_sounds(tune: Tune, tmp_path: Path) -> None:
    save(tune, tmp_path / "out.mid")
    chart = write(tmp_path / "chart.txt", "[Vamp]\n| A7 | D7 |\n")
    again = load(tmp_path / "out.mid", chart=chart)
    assert again.chart == tune.chart
    assert [(n.pitch.midi, n.onset, n.duration) for n in again.line.notes] == [
        (n.pitch.midi, n.onset, n.duration) for n in tune.line.notes
    ]


def test_equal_scores_make_equal_files(tune: Tune, tmp_path: Path) -> None:
    save(tune, tmp_path / "a.mxl")
    save(tune, tmp_path / "b.mxl")
    assert (tmp_path / "a.mxl").read_bytes() == (tmp_path / "b.mxl").read_bytes()


def test_names_that_nothing_can_be_read_from(tmp_path: Path) -> None:
    assert "there is no such file" in refused(tmp_path / "none.solo")
    assert "this is a folder" in refused(tmp_path)
    assert "did you mean '.solo'?" in refused(write(tmp_path / "x.sol", SHEET))
    unknown = refused(write(tmp_path / "x.pdf", SHEET))
    assert all(suffix in unknown for suffix in FORMATS)
    assert "no suffix" in refused(write(tmp_path / "x", SHEET))
    (tmp_path / "f.solo").mkdir()
    assert "this is a folder" in refused(tmp_path / "f.solo")


def test_names_that_nothing_can_be_written_to(tune: Tune, tmp_path: Path) -> None:
    for path, words in (
        (tmp_path / "none" / "x.solo", "its folder doesn't exist"),
        (write(tmp_path / "file", "x") / "x.solo", "its folder doesn't exist"),
        (tmp_path / "x.pdf", "not a format known here"),
    ):
        with pytest.raises(InputError, match=words):
            save(tune, path)
    (tmp_path / "f.solo").mkdir()
    with pytest.raises(InputError, match="this is a folder"):
        save(tune, tmp_path / "f.solo")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["f.solo", "file", "try.solo"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written(tune: Tune, tmp_path: Path) -> None:
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    with pytest.raises(InputError, match="nothing may be written there"):
        save(tune, locked / "x.solo")


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "x.solo", "before")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(InputError, match="No space left on device"):
        write_whole(path, b"after")
    assert [(found.name, found.read_text()) for found in tmp_path.iterdir()] == [("x.solo", "before")]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    target = write(tmp_path / "target.solo", "before")
    link = tmp_path / "link.solo"
    link.symlink_to(target)
    write_whole(link, b"after")
    assert link.is_symlink()
    assert target.read_text() == "after"


def test_a_chart_file(tmp_path: Path) -> None:
    assert len(load_chart(write(tmp_path / "c.txt", "[A] x2\n| A7 | D7 |\n")).bars) == 4
    abc = write(tmp_path / "x.abc", "X:1\nT:Bare\nM:4/4\nL:1/4\nK:A\n| A B c d | e4 |\n")
    tune = load(abc, chart=tmp_path / "c.txt")
    assert [str(chord.symbol) for _, _, chord in tune.chart.spans if chord] == ["A7", "D7", "A7", "D7"]
    assert len(tune.line.notes) == 5
    with pytest.raises(FileError, match=r"c\.txt:1:3: chord 'Ahm7'"):
        load(abc, chart=write(tmp_path / "c.txt", "| Ahm7 |"))
    assert "brings its own chart" in refused(write(tmp_path / "x.solo", SHEET), chart=tmp_path / "c.txt")


def test_a_line_longer_than_its_chart(tmp_path: Path) -> None:
    abc = write(tmp_path / "x.abc", "X:1\nT:Bare\nM:4/4\nL:1/4\nK:A\n| A B c d | e4 |\n")
    chart = write(tmp_path / "c.txt", "| A7 |\n")
    assert "chart" in refused(abc, chart=chart)


def test_parts_are_chosen_where_there_are_any(tmp_path: Path) -> None:
    assert "one part" in refused(write(tmp_path / "x.solo", SHEET), part="2")


def test_octaves_shift_the_line(tmp_path: Path) -> None:
    abc = write(tmp_path / "x.abc", "X:1\nT:Bare\nM:4/4\nL:1/4\nK:A\n| A B c d |\n")
    names = [note.pitch.name for note in load(abc, octave=-1).line.notes]
    assert names == ["A3", "B3", "C#4", "D4"]
    assert "too far" in refused(abc, octave=9)
    high = write(tmp_path / "y.abc", "X:1\nT:High\nM:4/4\nL:1/4\nK:A\n| a'' b'' c' d' |\n")
    assert "bar 1 beat 1: A7 shifted by 4 octaves can't sound" in refused(high, octave=4)


def test_refinger_drops_what_the_player_chose_but_taps_and_harmonics(tmp_path: Path) -> None:
    sheet = SHEET.replace("-5h7p5---,-------", "-5h7p5--t9-<12>--")
    path = write(tmp_path / "x.solo", sheet)
    chosen = load(path, refinger=True).line.notes
    kept = load(path).line.notes
    assert [note.entry for note in kept] == [None, "hammer", "pull", "tap", "harmonic"]
    assert [note.entry for note in chosen] == [None, None, None, "tap", "harmonic"]
    assert all((note.string, note.fret, note.finger, note.stroke) == (None,) * 4 for note in chosen)
    assert [note.pitch for note in chosen] == [note.pitch for note in kept]


def test_a_sheet_may_keep_its_line_in_another_file(tune: Tune, tmp_path: Path) -> None:
    for name in ("line.solo", "line.musicxml", "parts/line.mxl"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        save(tune, tmp_path / name)
        sheet = write(tmp_path / "x.solo", f"title: Try\nkey: A\n[Vamp]\n| A7 | D7 |\nline: {name}\n")
        assert load(sheet) == tune


def test_a_bare_line_in_another_file_stands_over_the_sheets_chart(tmp_path: Path) -> None:
    write(tmp_path / "line.abc", "X:1\nT:Bare\nM:4/4\nL:1/4\nK:A\n| A B c d |\n")
    tune = load(write(tmp_path / "x.solo", "| A7 | D7 |\nline: line.abc\n"))
    assert [note.onset for note in tune.line.notes] == [Fraction(beat) for beat in range(4)]
    assert len(tune.chart.bars) == 2


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none.mid", "there is no such file"),
        ("../other/line.solo", "outside the sheet's folder"),
        ("/etc/hosts", "outside the sheet's folder"),
        ("x.solo", "leads back to this sheet"),
        ("loop.solo", "leads back to this sheet"),
        ("bad.solo", "did you mean 'Am7'?"),
        ("tuned.solo", "another tuning"),
        ("long.solo", "goes on after the chart's 2 bars"),
        ("line.pdf", "not a format known here"),
    ],
)
def test_lines_in_files_that_can_not_be_taken(tmp_path: Path, name: str, words: str) -> None:
    folder = tmp_path / "tunes"
    write(tmp_path / "other" / "line.solo", SHEET)
    write(folder / "loop.solo", "| A |\nline: x.solo\n")
    write(folder / "bad.solo", "| Ahm7 | D77 |\nline:\n")
    tuned = SHEET.replace("key: A", "key: A\ntuning: drop d").replace("\nE|", "\nD|")
    write(folder / "tuned.solo", tuned)
    write(folder / "long.solo", f"| A | D | A |\nline:\n{TAB}{TAB}{TAB}")
    sheet = write(folder / "x.solo", f"tuning: standard\n| A7 | D7 |\nline: {name}\n")
    found = refused(sheet)
    assert words in found
    assert "x.solo:3:7: " in found


DROP_D = (64, 59, 55, 50, 45, 38)
ABC_SHEET = "title: Try\n{}[Vamp]\n| A7 |\nline:\nA,2 C2 E4 |\n"


def strung(path: Path) -> tuple[tuple[int, ...], int, list[str]]:
    remarks: list[Problem] = []
    tune = load(path, tuning=DROP_D, capo=2, remarks=remarks)
    return tune.tuning, tune.capo, [remark.text for remark in remarks]


def test_a_file_that_names_no_tuning_is_for_the_players_own(tmp_path: Path) -> None:
    assert strung(write(tmp_path / "a.solo", ABC_SHEET.format(""))) == (DROP_D, 2, [])
    assert strung(write(tmp_path / "a.abc", "X:1\nT:Try\nL:1/4\nK:C\nA C E2 |\n"))[:2] == (DROP_D, 2)


def test_a_files_own_tuning_and_capo_win_and_that_is_said(tmp_path: Path) -> None:
    own = ABC_SHEET.format("tuning: standard\ncapo: 0\n")
    said = ["the file's own tuning (E2 A2 D3 G3 B3 E4) counts, not the player's",
            "the file's own neck without a capo counts, not the player's"]
    assert strung(write(tmp_path / "own.solo", own)) == (STANDARD_TUNING, 0, said)
    assert strung(write(tmp_path / "tab.solo", SHEET)) == (STANDARD_TUNING, 0, said)
    half = ABC_SHEET.format("capo: 5\n")
    assert strung(write(tmp_path / "half.solo", half)) == (
        DROP_D, 5, ["the file's own capo at fret 5 counts, not the player's"]
    )


def test_a_score_with_a_tablature_tuning_keeps_it(tmp_path: Path) -> None:
    tune = load(write(tmp_path / "a.solo", ABC_SHEET.format("tuning: open g\n")))
    save(tune, tmp_path / "a.musicxml")
    assert strung(tmp_path / "a.musicxml")[:2] == (tune.tuning, 2)
    plain = load(write(tmp_path / "b.solo", ABC_SHEET.format("")))
    save(plain, tmp_path / "b.musicxml")
    assert strung(tmp_path / "b.musicxml") == (DROP_D, 2, [])
