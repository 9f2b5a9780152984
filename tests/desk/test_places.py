"""Choices on the neck: quick, true to what follows when one is taken."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from solowright.desk.places import bar_fingerings, note_places
from solowright.desk.state import State
from solowright.desk.worked import work_out
from solowright.errors import InputError
from tests.desk.tunes import edited, free_lantern, lantern


@pytest.mark.parametrize("note", [0, 4, 11, 20])
def test_every_place_offered_can_be_taken(note: int) -> None:
    for place in note_places(free_lantern(), {"note": note}):
        state = edited(free_lantern(), "place", note=note, string=place["string"], fret=place["fret"])
        placed = work_out(state).fingering.paths[0].notes[note]
        assert (placed.string, placed.fret) == (place["string"], place["fret"])


def test_the_place_that_is_comes_first_and_is_the_easiest_found() -> None:
    places = note_places(free_lantern(), {"note": 6})
    now = work_out(free_lantern()).fingering.paths[0].notes[6]
    assert places[0]["here"] and (places[0]["string"], places[0]["fret"]) == (now.string, now.fret)
    assert places[0]["change"] == "here now" and places[0]["effort"] == 0
    assert all(place["effort"] >= -0.26 for place in places[1:])  # the search had the choice


@pytest.mark.parametrize("state", [lantern, free_lantern])
def test_every_note_has_the_place_where_it_is(state: Callable[[], State]) -> None:
    for note in range(len(state().tune.line.notes)):
        places = note_places(state(), {"note": note})
        assert [place["here"] for place in places].count(True) == 1, note


def test_the_limit_told_is_the_limit_got() -> None:
    for place in note_places(free_lantern(), {"note": 6}):
        state = edited(free_lantern(), "place", note=6, string=place["string"], fret=place["fret"])
        got = work_out(state).fingering.paths[0]
        # The whole line is found again when it is taken, so it may get better still.
        assert got.limit_tempo >= 0.9 * place["limit_tempo"]


def test_fingerings_keep_what_the_player_fixed() -> None:
    state = edited(free_lantern(), "place", note=3, string=1, fret=3)
    ways = bar_fingerings(state, {"from": 1, "to": 2})
    assert ways[0]["here"] and len(ways) > 1
    for way in ways:
        row = next(row for row in way["notes"] if row["note"] == 3)
        assert (row["string"], row["fret"]) == (1, 3)
    told = {tuple((row["string"], row["fret"], row["entry"]) for row in way["notes"]) for way in ways}
    assert len(told) == len(ways)


def test_a_fingering_taken_is_played() -> None:
    way = bar_fingerings(free_lantern(), {"from": 2, "to": 2})[-1]
    state = edited(free_lantern(), "fingering", notes=way["notes"])
    played = work_out(state).fingering.paths[0].notes
    for row in way["notes"]:
        assert (played[row["note"]].string, played[row["note"]].fret) == (row["string"], row["fret"])


def test_where_there_is_nothing_to_choose() -> None:
    with pytest.raises(InputError, match="no notes in these bars"):
        bar_fingerings(lantern(), {"from": 9, "to": 10})
    with pytest.raises(InputError, match="'note'"):
        note_places(lantern(), {"note": 999})
