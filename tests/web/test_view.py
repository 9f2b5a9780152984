"""The view of the bundled tune against what it was worked out from."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from solowright.demo import bundled_tune
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import SWING, Meter, Time, steady
from solowright.music.tune import Tune
from solowright.web.view import view_json
from solowright.work import Worked, work_out


@pytest.fixture(scope="module")
def worked() -> Worked:
    return work_out(bundled_tune())


@pytest.fixture(scope="module")
def view(worked: Worked) -> dict[str, Any]:
    return view_json(worked, narrow=250.0)


def test_it_is_plain_json(view: dict[str, Any]) -> None:
    assert json.loads(json.dumps(view, allow_nan=False)) == view


def test_bars_follow_each_other_to_the_end(view: dict[str, Any], worked: Worked) -> None:
    bars = view["bars"]
    assert [bar["number"] for bar in bars] == list(range(1, 37))
    for bar, after in pairwise(bars):
        assert bar["time"] + bar["length"] == pytest.approx(after["time"], abs=1e-5)
    assert bars[-1]["time"] + bars[-1]["length"] == pytest.approx(view["length"], abs=1e-5)
    assert view["length"] == pytest.approx(36 * 4 * 60 / 186, abs=1e-5)
    assert bars[6]["hits"] == [1.0, 2.5] and bars[7]["answer"] == [3.0, 3.5, 4.0]
    assert bars[0]["answer"] is None
    assert [bar["number"] for bar in bars if bar["break"]] == [25, 26]
    assert [bar["section"] for bar in bars if bar["section"]] == [
        "Vamp", "Bridge", "Vamp", "Break", "Shout", "Ending",
    ]
    assert bars[9]["chords"][0]["text"] == "G♯m7♭5" and bars[9]["chords"][1]["beat"] == 3.0
    assert max(bar["load"] for bar in bars) == pytest.approx(view["crux"]["load"])


def test_every_note_is_where_it_is_written_and_played(view: dict[str, Any], worked: Worked) -> None:
    tune = worked.tune
    assert len(view["notes"]) == len(tune.line.notes)
    for note, written in zip(view["notes"], tune.line.notes, strict=True):
        place = tune.chart.place(written.onset)
        assert (note["bar"], note["beat"]) == (place.bar, float(place.beat))
        assert note["time"] == pytest.approx(tune.seconds(written.onset), abs=0.01)
        assert note["time"] + note["length"] == pytest.approx(tune.seconds(written.end), abs=1e-5)
        assert (note["string"], note["fret"]) == (written.string, written.fret)
        assert note["midi"] == written.pitch.midi


def test_every_note_has_one_place_in_both_sets_of_systems(view: dict[str, Any]) -> None:
    for systems, width in ((view["systems"], 500.0), (view["narrow"], 250.0)):
        assert sorted(p["note"] for s in systems for p in s["notes"]) == list(range(len(view["notes"])))
        assert [number for s in systems for number, _, _ in s["bars"]] == [b["number"] for b in view["bars"]]
        for system in systems:
            assert system["width"] == width
            ElementTree.fromstring(system["svg"])
            for place in system["notes"]:
                for left, top, right, bottom in filter(None, (place["head"], place["fret"])):
                    assert 0 <= left < right <= width and 0 <= top < bottom <= system["height"]


def test_the_clock_of_a_system_stands_on_its_notes(view: dict[str, Any]) -> None:
    for system in view["systems"]:
        clock = dict(system["clock"])
        assert list(clock.values()) == sorted(clock.values()) and list(clock) == sorted(clock)
        dots = {note: x for note, x, _ in system["hand"]["dots"]}
        for place in system["notes"]:
            left, _, right, _ = place["head"]
            time = view["notes"][place["note"]]["time"]
            assert clock[time] == pytest.approx((left + right) / 2, abs=0.5)
            assert clock[time] == pytest.approx(dots[place["note"]], abs=0.5 + 5.2 * 3)


def test_a_device_ends_where_its_last_note_does(view: dict[str, Any]) -> None:
    for device in view["devices"]:
        notes = [view["notes"][place] for place in device["notes"]]
        if notes:
            last = max(note["time"] + note["length"] for note in notes)
            assert device["end"] == pytest.approx(last, abs=1e-4)
        assert device["start"] < device["end"]
    assert any(device["runner_up"] for device in view["devices"])


def test_without_reasons_there_is_still_a_view() -> None:
    view = view_json(work_out(bundled_tune(), reasons=False))
    assert view["devices"] == [] and view["sentences"] == [] and view["summary"] == ""
    assert view["notes"][0]["role"] is None and view["notes"][0]["name"] == "C4"
    assert [section["name"] for section in view["sections"]][:2] == ["Vamp", "Bridge"]


def test_pickup_swing_graces_and_bars_without_notes() -> None:
    bars = (
        Bar(Meter(4, 4), short=Time(1)),
        Bar(chords=(ChordAt(Time(0), parse_chord("Bb7")), ChordAt(Time(2), None))),
        Bar(Meter(3, 4), answered=True),
    )
    notes = [
        Note(plain(70), Time(0), Time(1, 2)),
        Note(plain(69), Time(1, 2), Time(1, 2)),
        Note(plain(71), Time(1), Time(0)),
        Note(plain(72), Time(1), Time(1)),
    ]
    chart = Chart((Section("", bars),), pickup=True)
    tune = Tune("Up", chart, make_line(notes), feel=SWING, tempo=steady(60))
    view = view_json(work_out(tune))
    assert [bar["number"] for bar in view["bars"]] == [0, 1, 2]
    assert [(note["bar"], note["beat"]) for note in view["notes"]] == [(0, 4.0), (0, 4.5), (1, 1.0), (1, 1.0)]
    assert view["notes"][1]["time"] == pytest.approx(2 / 3, abs=1e-5)
    assert view["notes"][2]["grace"] and 2 / 3 < view["notes"][2]["time"] < 1 == view["notes"][3]["time"]
    assert view["bars"][1]["chords"] == [
        {"beat": 1.0, "symbol": "Bb7", "text": "B♭7"}, {"beat": 3.0, "symbol": "N.C.", "text": "N.C."},
    ]
    assert view["bars"][2]["answer"] == [] and view["bars"][2]["load"] == 0
    assert view["bars"][2]["pulses"] == [5.0, 6.0, 7.0]


def test_a_tune_without_a_line() -> None:
    view = view_json(work_out(replace(bundled_tune(), line=make_line([]))))
    assert view["notes"] == [] and view["hand"] == [] and view["crux"] is None and view["limit_tempo"] is None
    assert len(view["bars"]) == 36
