"""``arc`` and ``parts`` as they are called: answers, files, refusals."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest
from lxml import etree
from typer.testing import CliRunner

from solowright.cli import app
from solowright.demo import bundled_tune
from solowright.errors import InputError
from solowright.key_option import at_key

TUNE = str(files("solowright") / "tunes" / "tramline-nine.solo")


def call(*words: str | Path):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_arc_tells_and_draws(tmp_path: Path):
    answer = call("arc", TUNE, "-o", tmp_path / "arc.svg")
    assert answer.exit_code == 0, answer.output
    assert "The solo peaks in bar 32" in answer.stdout
    assert etree.fromstring((tmp_path / "arc.svg").read_bytes()).tag.endswith("svg")


def test_arc_answers_as_json_with_every_plainer_version():
    answer = json.loads(call("arc", TUNE, "--every", "--json").stdout)
    assert len(answer["curves"]["load"]) == len(answer["bars"]) == 36
    assert all(passage["plainer"] for passage in answer["flash"]["passages"])
    some = json.loads(call("arc", TUNE, "--json").stdout)
    assert [bool(passage["plainer"]) for passage in some["flash"]["passages"]] == [
        passage["could_be_plainer"] for passage in some["flash"]["passages"]
    ]


def test_faster_is_nearer_to_the_limit():
    usual, fast = (json.loads(call("arc", TUNE, "--json", *more).stdout) for more in ((), ("--tempo", "210")))
    assert max(fast["curves"]["load"]) > max(usual["curves"]["load"])


def test_another_key_moves_chart_and_line(tmp_path: Path):
    answer = json.loads(call("arc", TUNE, "--key", "C", "--json").stdout)
    here = json.loads(call("arc", TUNE, "--json").stdout)
    up = {there - low for low, there in zip(here["curves"]["low"], answer["curves"]["low"], strict=True)}
    assert up == {3}
    assert call("parts", TUNE, "--key", "Bb", "-o", tmp_path).exit_code == 0
    part = etree.fromstring((tmp_path / "concert.musicxml").read_bytes())
    assert part.findtext("part/measure/attributes/key/fifths") == "-2"


def test_what_another_key_changes_is_told_on_a_terminal_only(monkeypatch, capsys):
    tune = bundled_tune()
    assert at_key(tune, None) is tune
    at_key(tune, "Bb")
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    assert at_key(tune, "Bb").key.tonic.name == "Bb"
    assert capsys.readouterr().err.startswith("From A to Bb: a half step up.\n")
    with pytest.raises(InputError, match="is not a key"):
        at_key(tune, "H")


def test_figure_needs_a_suffix_that_can_be_drawn(tmp_path: Path):
    answer = call("arc", TUNE, "-o", tmp_path / "arc.gif")
    assert isinstance(answer.exception, InputError) and ".svg or .png" in str(answer.exception)
    assert not list(tmp_path.iterdir())


def test_parts_fill_a_folder(tmp_path: Path):
    answer = call("parts", TUNE, "-o", tmp_path / "new" / "parts")
    assert answer.exit_code == 0, answer.output
    names = {file.name for file in (tmp_path / "new" / "parts").iterdir()}
    readings = ("concert", "b-flat", "e-flat", "bass-clef")
    assert names == {f"{name}.{kind}" for name in readings for kind in ("pdf", "musicxml")}
    assert (tmp_path / "new/parts/b-flat.pdf").read_bytes().startswith(b"%PDF")


def test_parts_refuse_a_file_for_a_folder(tmp_path: Path):
    taken = tmp_path / "taken"
    taken.write_text("mine")
    answer = call("parts", TUNE, "-o", taken)
    assert isinstance(answer.exception, InputError) and "name a folder" in str(answer.exception)
    assert taken.read_text() == "mine"
