"""The commands as a user and a script meet them: answers, exit status, and what wrong input leaves behind."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import soundfile

from solowright.files.load import load
from tests.conftest import SHEET, Run


def test_check_names_what_it_read(run: Run, sheet: Path) -> None:
    status, out, err = run("check", sheet)
    assert (status, err) == (0, "")
    assert "Four for the Ferry, 4 bars, 9 notes" in out


def test_check_prints_every_problem_with_its_place(run: Run, tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.solo"
    wrong.write_text(SHEET.replace("| A7 | %", "| Amaaj7 | Qm7").replace("-7---", "-77--"), "utf-8")
    status, out, err = run("check", wrong)
    lines = err.splitlines()
    assert status == 2 and out == "" and len(lines) >= 2
    assert all(line.startswith(f"{wrong}:") for line in lines)
    assert f"{wrong}:6:3:" in lines[0] and "Amaj7" in lines[0]


def test_chord_answers_as_the_contract_says(run: Run) -> None:
    status, out, _ = run("chord", "G13b9", "--json")
    answer = json.loads(out)
    assert status == 0
    assert {"symbol", "root", "bass", "pitch_classes", "degrees", "upper_triads", "scales"} <= answer.keys()
    assert {"triad": "E", "degrees": ["13", "b9", "3"]} in answer["upper_triads"]
    assert answer["scales"][0] == "G half-whole diminished"
    assert "13" in run("chord", "G13b9")[1]


def test_finger_answers_as_the_contract_says(run: Run, sheet: Path, tmp_path: Path) -> None:
    output = tmp_path / "out.musicxml"
    status, out, _ = run("finger", sheet, "--json", "--best", 2, "--tempo", 90, "-o", output)
    answer = json.loads(out)
    assert status == 0 and answer["tempo"] == 90.0 and answer["limit_tempo"] > 0
    assert {"bar", "beat", "load", "why"} <= answer["crux"].keys()
    first = answer["paths"][0]["notes"][0]
    assert first["bar"] == 1 and first["midi"] == 60 and (first["string"], first["fret"]) == (3, 5)
    assert {"beat", "finger", "entry", "load", "locked"} <= first.keys()
    assert [note.fret for note in load(output).line.notes] == [5, 6, 5, 8, 5, 8, 5, 6, 7]


def test_finger_prints_tablature(run: Run, sheet: Path) -> None:
    status, out, _ = run("finger", sheet)
    assert status == 0 and "G|-5h6" in out and "with this fingering" in out


def test_finger_tells_other_tempos_and_follows_the_player(run: Run, sheet: Path, tmp_path: Path) -> None:
    status, out, _ = run("finger", sheet, "--tempos", "--easiest")
    assert status == 0 and "100 % = 120: playable" in out and " 60 % = 72: playable" in out
    slow_hand = tmp_path / "me.toml"
    slow_hand.write_text("pick_rate = 3\n")
    limits = [
        json.loads(run("finger", sheet, "--json", *extra)[1])["limit_tempo"]
        for extra in ([], ["--player", slow_hand])
    ]
    assert limits[1] < limits[0]
    slow_hand.write_text("pick_rate = 'fast'\n")
    assert run("finger", sheet, "--player", slow_hand)[0] == 2


def test_tone_answers_with_a_gain_and_draws_it(run: Run, sheet: Path, tmp_path: Path) -> None:
    status, out, _ = run("tone", sheet, "--json", "-o", tmp_path / "gain.svg")
    answer = json.loads(out)
    assert status == 0 and 0 < answer["least_gain"] < 40
    gaps = [step["gap"] for step in answer["steps"]]
    assert gaps[0] > 3 > gaps[-1] and answer["assumptions"]
    assert (tmp_path / "gain.svg").read_text().startswith("<svg")
    status, _, err = run("tone", sheet, "-o", tmp_path / "gain.pdf")
    assert status == 2 and ".png" in err


def test_sound_in_another_key_with_drone_and_click(run: Run, sheet: Path, tmp_path: Path) -> None:
    stems = tmp_path / "stems"
    wish = ("--transpose", 2, "--drone", "--click", "--break-hats", "--gain", 30, "--rig", "bite")
    status, _, err = run("sound", sheet, "-o", tmp_path / "out.wav", "--bars", "1-1", "--stems", stems, *wish)
    assert (status, err) == (0, "")
    assert {"guitar", "drone", "click"} <= {path.stem for path in stems.iterdir()}


def test_slow_makes_a_recording_longer(run: Run, sheet: Path, tmp_path: Path) -> None:
    take, slowed = tmp_path / "take.wav", tmp_path / "slow.flac"
    assert run("sound", sheet, "-o", take, "--bars", "1-1")[0] == 0
    assert run("slow", take, "-o", slowed, "--speed", 0.5) == (0, "", "")
    assert soundfile.info(slowed).duration == pytest.approx(2 * soundfile.info(take).duration, abs=0.1)
    assert "0.25" in run("slow", take, "-o", slowed, "--speed", 60)[2]
    assert "would be lost" in run("slow", take, "-o", take)[2]


def test_explain_answers_as_the_contract_says(run: Run, sheet: Path) -> None:
    status, out, _ = run("explain", sheet, "--json")
    answer = json.loads(out)
    assert status == 0 and {"notes", "targets", "devices", "unexplained", "sentences"} <= answer.keys()
    third = answer["notes"][1]
    assert (third["name"], third["chord"], third["role"], third["degree"]) == ("C#4", "A7", "chord-tone", "3")
    assert "Vamp" in run("explain", sheet)[1]


@pytest.mark.parametrize(
    ("suffix", "magic"), [(".pdf", b"%PDF"), (".svg", b"<svg"), (".png", b"\x89PNG")]
)
def test_page_in_every_format(run: Run, sheet: Path, tmp_path: Path, suffix: str, magic: bytes) -> None:
    output = tmp_path / f"page{suffix}"
    assert run("page", sheet, "-o", output) == (0, "", "")
    assert output.read_bytes().startswith(magic)


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".opus"])
def test_sound_in_every_format_with_bars_tempo_and_stems(
    run: Run, sheet: Path, tmp_path: Path, suffix: str
) -> None:
    output, stems = tmp_path / f"take{suffix}", tmp_path / "stems"
    status, _, err = run("sound", sheet, "-o", output, "--bars", "1-2", "--tempo", 240, "--stems", stems)
    assert (status, err) == (0, "")
    # a bar of count-in and two bars at 240 quarter notes a minute
    assert soundfile.info(output).duration == pytest.approx(3.0, abs=0.01)
    twice = output.with_name(f"twice{suffix}")
    loop = ("--bars", "1-1", "--times", 2, "--style", "bossa", "--tempo", 240)
    assert run("sound", sheet, "-o", twice, *loop)[0] == 0
    assert soundfile.info(twice).duration > 3.0
    assert {path.stem for path in stems.iterdir()} >= {"guitar", "bass", "drums", "comping", "click"}


def test_convert_round_trip(run: Run, sheet: Path, tmp_path: Path) -> None:
    there, back = tmp_path / "a.musicxml", tmp_path / "b.solo"
    assert run("convert", sheet, there)[0] == 0
    assert run("convert", there, back)[0] == 0
    assert load(back).line == load(sheet).line


def hostile_mxl() -> bytes:
    """A compressed MusicXML file that unpacks to 300 MB."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>',
        )
        with pack.open("a.xml", "w", force_zip64=True) as member:
            for _ in range(300):
                member.write(b" " * 1_000_000)
    return data.getvalue()


ENTITIES = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x "xxxxxxxxxx"><!ENTITY y "&x;&x;&x;&x;&x;&x;">]>
<score-partwise><part-list/><part id="P1">&y;</part></score-partwise>"""
EXTERNAL = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]>
<score-partwise><part-list/><part id="P1">&x;</part></score-partwise>"""

# file name: its bytes, and a word of the reason
WRONG: dict[str, tuple[bytes | None, str]] = {
    "truncated.solo": (SHEET[: SHEET.index("B|") + 12].encode(), "row"),
    "latin.solo": ("title: Gr\xfc\xdfe\n| A7 |\n".encode("latin-1"), "UTF-8"),
    "symbol.solo": (b"| Amaaj7 |\n", "did you mean 'Amaj7'"),
    "beats.solo": (b"| A7 . . . . D7 |\n", "beats"),
    "low.abc": (b'X:1\nT:Low\nM:4/4\nL:1/4\nK:C\n"C"E,,, z3|\n', "lowest"),
    "one-string.abc": (b'X:1\nT:Two\nM:4/4\nL:1/1\nK:C\n"C"[E,,F,,]|\n', "both need string 6"),
    "broken.musicxml": (b"<score-partwise><part-list>", "part-list"),
    "entities.musicxml": (ENTITIES, "entit"),
    "external.musicxml": (EXTERNAL, "entit"),
    "bomb.mxl": (hostile_mxl(), "unpacks to more than"),
    "empty.mid": (b"", "empty"),
    "silent.mid": (b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk\0\0\0\4\0\xff\x2f\0", "no notes"),
    "picture.jpg": (b"\xff\xd8", ".musicxml"),
    "missing.solo": (None, "no such file"),
}


@pytest.mark.parametrize("name", WRONG)
@pytest.mark.parametrize("command", ["page", "finger"])
def test_wrong_input_is_one_line_exit_2_and_nothing_written(
    run: Run, tmp_path: Path, name: str, command: str
) -> None:
    source = tmp_path / name
    data, reason = WRONG[name]
    if data is not None:
        source.write_bytes(data)
    before = set(tmp_path.iterdir())
    output = tmp_path / ("out.pdf" if command == "page" else "out.musicxml")
    status, out, err = run(command, source, "-o", output)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1 and reason in err
    assert set(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["chord", "Cmaaj7"], "Cmaj7"),
        (["chord", "N.C."], "no chord"),
        (["convert", "{sheet}", "{sheet}"], "would be lost"),
        (["chord"], "symbol"),
        (["sing"], "sing"),
        (["page", "{sheet}", "-o", "out.doc"], ".pdf"),
        (["sound", "{sheet}", "-o", "out.mp5"], ".wav"),
        (["sound", "{sheet}", "-o", "out.wav", "--bars", "3-99"], "bar"),
        (["sound", "{sheet}", "-o", "out.wav", "--bars", "x"], "17-24"),
        (["sound", "{sheet}", "-o", "out.wav", "--bars", "²-3"], "17-24"),
        (["sound", "{sheet}", "-o", "out.wav", "--tempo", "0"], "tempo"),
        (["sound", "{sheet}", "-o", "out.wav", "--rig", "loud"], "slurs-speak"),
        (["sound", "{sheet}", "-o", "out.wav", "--style", "polka"], "bossa"),
        (["sound", "{sheet}", "-o", "guitar.wav", "--stems", "."], "guitar.wav"),
        (["finger", "{sheet}", "--best", "0"], "best"),
        (["page", "{sheet}", "-o", "nowhere/out.pdf"], "nowhere"),
    ],
)
def test_wrong_usage_says_what_to_do(
    run: Run, sheet: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], word: str
) -> None:
    monkeypatch.chdir(sheet.parent)
    status, out, err = run(*(argument.format(sheet=sheet) for argument in arguments))
    assert (status, out) == (2, "")
    assert err.count("\n") == 1 and word in err
    assert list(sheet.parent.iterdir()) == [sheet]


def test_without_a_command_the_help_is_shown(run: Run) -> None:
    status, out, err = run()
    assert (status, err) == (0, "") and "Commands:" in out and out.count("\n") > 10


def test_a_reader_that_stops_early_or_knows_few_letters_is_no_fault(sheet: Path) -> None:
    command = f"{sys.executable} -m solowright explain {sheet}"
    piped = subprocess.run(
        f"{command} | head -1; {command} > /dev/full; echo $?", shell=True, capture_output=True, text=True
    )
    assert piped.stdout.splitlines() == ["Four for the Ferry", "2"]
    assert "a fault of ours" not in piped.stderr and "Traceback" not in piped.stderr
    latin = subprocess.run(
        command.split(), capture_output=True, env={**os.environ, "PYTHONIOENCODING": "latin-1"}
    )
    assert latin.returncode == 0 and latin.stdout.decode("latin-1").startswith("Four for the Ferry")


def test_a_file_name_that_is_not_text(run: Run, tmp_path: Path) -> None:
    source = tmp_path / os.fsdecode(b"\xff.solo")
    source.write_text("| A7 |\n")
    assert run("convert", source, tmp_path / "out.musicxml")[0] == 0
    assert load(tmp_path / "out.musicxml").title == "?"


def test_a_fault_of_ours_is_told_as_ours(run: Run, sheet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("two\nlines")

    monkeypatch.setattr("solowright.neck.finger", broken)
    status, _, err = run("finger", sheet)
    assert status == 1 and err.count("\n") == 1 and "a fault of ours" in err


def test_the_installed_command_answers_without_loading_what_it_does_not_need() -> None:
    heavy = ("numba", "numpy", "scipy", "verovio", "typst", "lxml", "mido")
    code = f"import sys, solowright.cli; print([name for name in {heavy} if name in sys.modules])"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"
    command = [sys.executable, "-m", "solowright", "--version"]
    version = subprocess.run(command, capture_output=True, text=True)
    assert version.returncode == 0 and version.stdout.startswith("solowright ")


def test_what_would_steer_a_terminal_is_shown_instead(tmp_path: Path, run: Run) -> None:
    path = tmp_path / "odd.solo"
    path.write_text("title: odd\n\n| A7 | foo\x1b[31m |\n", "utf-8")
    for command in ("check", "finger"):
        status, out, err = run(command, path)
        assert status == 2 and "\x1b" not in out + err and "foo\\x1b[31m" in err


def test_another_key_and_tempo_tell_what_they_change(sheet: Path, run: Run) -> None:
    status, out, _ = run("finger", sheet, "--key", "Bb", "--tempo", 150)
    assert status == 0 and "tempo 150" in out
    told = out.partition("Against the file as it is:")[2]
    assert "At 150 it is playable" in told
    notes = json.loads(run("finger", sheet, "--json")[1])["paths"][0]["notes"]
    moved = json.loads(run("finger", sheet, "--key", "Bb", "--json")[1])["paths"][0]["notes"]
    assert {up["midi"] - note["midi"] for up, note in zip(moved, notes, strict=True)} == {1}
    chords = {note["chord"] for note in json.loads(run("explain", sheet, "--key", "C", "--json")[1])["notes"]}
    assert chords == {"C7"}


def test_the_other_mode_is_refused(sheet: Path, run: Run) -> None:
    status, out, err = run("finger", sheet, "--key", "Bm")
    assert (status, out) == (2, "") and "name a major key" in err


def test_a_line_beyond_the_hand_is_made_easier(sheet: Path, run: Run) -> None:
    plain = json.loads(run("finger", sheet, "--tempo", 420, "--json")[1])
    assert plain["limit_tempo"] < 420
    status, out, _ = run("finger", sheet, "--tempo", 420, "--easier")
    easier = json.loads(run("finger", sheet, "--tempo", 420, "--easier", "--json")[1])
    assert status == 0 and easier["limit_tempo"] > plain["limit_tempo"]
    assert "  bar 1 beat" in out or "  the" in out.lower()


def test_bars_stay_in_a_range_of_frets(sheet: Path, run: Run) -> None:
    status, out, err = run("finger", sheet, "--refinger", "--frets", "1-2 7-11", "--json")
    assert status == 0, err
    frets = [note["fret"] for note in json.loads(out)["paths"][0]["notes"]]
    assert min(frets) >= 7 and max(frets) <= 11
    status, out, err = run("finger", sheet, "--frets", "7-3 high")
    assert (status, out) == (2, "") and err.count("\n") == 1
