"""Every kind of edit: what it does, and that whatever is posted gives a state or a sentence."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.desk.edits import EDITS, apply_edit
from solowright.desk.state import State
from solowright.desk.typed import bar_texts
from solowright.desk.worked import find_arc, find_reading, find_retelling, work_out
from solowright.errors import InputError
from solowright.music.chord import parse_chord
from solowright.music.time import SWING
from tests.desk.tunes import edited, free_lantern, lantern

SLIDES = """\
   1 2 3 4
e|---------|
B|-5-5-5-5-|
G|---------|
D|---------|
A|---------|
E|---------|"""


def refused(state: State, kind: str, **facts: object) -> str:
    with pytest.raises(InputError) as told:
        edited(state, kind, **facts)
    return str(told.value)


# --- flash -------------------------------------------------------------------------------------------


def test_a_passage_gives_way_to_its_plainer_version_as_it_was_told() -> None:
    state = State(bundled_tune())
    told = next(passage["plainer"] for passage in find_arc(state)["flash"]["passages"] if passage["plainer"])
    after = edited(state, "plainer", notes=told["replaces"])
    gone = len(told["replaces"]) - len(told["notes"])
    assert gone > 0 and len(after.tune.line.notes) == len(state.tune.line.notes) - gone
    first = told["replaces"][0]
    put = work_out(after).tune.line.notes[first : first + len(told["notes"])]
    assert [(n.pitch.midi, n.string, n.fret, n.finger) for n in put] == [
        (n["midi"], n["string"], n["fret"], n["finger"]) for n in told["notes"]
    ]
    assert after.tune.line.notes[:first] == state.tune.line.notes[:first]
    assert find_arc(after)["flash"]["spent"] < find_arc(state)["flash"]["spent"]


def test_notes_without_a_plainer_version_are_left_alone() -> None:
    assert "no plainer version" in refused(lantern(), "plainer", notes=[0, 1])


# --- on the neck -------------------------------------------------------------------------------------


def test_a_place_taken_is_fixed_and_the_rest_is_found_around_it() -> None:
    state = edited(free_lantern(), "place", note=2, string=3, fret=9)  # E, which stood on string 2
    note, played = state.tune.line.notes[2], work_out(state).tune.line.notes[2]
    assert (note.string, note.fret, note.finger) == (3, 9, None)
    assert (played.string, played.fret) == (3, 9)
    others = [n for n in state.tune.line.notes if n.string is not None]
    assert others == [note]


def test_a_place_that_breaks_slurs_frees_them() -> None:
    note = edited(lantern(), "place", note=1, string=2, fret=2).tune.line.notes[1]  # it was hammered
    assert (note.string, note.entry) == (2, None)


def test_a_place_that_sounds_another_pitch_is_refused() -> None:
    assert "E4 isn't at string 2 fret 6; it is at string 1 fret 0" in refused(
        lantern(), "place", note=2, string=2, fret=6
    )


def test_lock_and_free_what_is_asked_for() -> None:
    state = edited(free_lantern(), "lock", notes=[0, 3], what=["finger"])
    fingered = work_out(state).tune.line.notes
    assert [n.finger for n in state.tune.line.notes if n.finger is not None] == [
        fingered[0].finger,
        fingered[3].finger,
    ]
    assert all(n.string is None for n in state.tune.line.notes)
    assert edited(state, "free", from_=1, to=10) == free_lantern()


def test_locking_changes_nothing_that_sounds() -> None:
    state = edited(free_lantern(), "lock", from_=1, to=10)
    before, after = work_out(free_lantern()).fingering.paths[0], work_out(state).fingering.paths[0]
    assert [(p.string, p.fret, p.finger, p.entry) for p in after.notes] == [
        (p.string, p.fret, p.finger, p.entry) for p in before.notes
    ]


def test_finger_and_entry() -> None:
    state = edited(free_lantern(), "finger", note=4, finger=2)
    assert work_out(state).tune.line.notes[4].finger == 2
    assert edited(state, "finger", note=4, finger=None) == free_lantern()
    state = edited(free_lantern(), "entry", note=1, entry="slide")
    assert work_out(state).tune.line.notes[1].entry == "slide"
    assert "harmonic" in refused(free_lantern(), "entry", note=1, entry="harmonic")


def test_a_fingering_as_offered() -> None:
    rows = [
        {"note": n, "string": p.string, "fret": p.fret, "finger": p.finger, "entry": p.entry}
        for n, p in enumerate(work_out(free_lantern()).fingering.paths[0].notes[:5])
    ]
    state = edited(free_lantern(), "fingering", notes=rows)
    assert [n.string for n in state.tune.line.notes[:6]] == [row["string"] for row in rows] + [None]


# --- bars --------------------------------------------------------------------------------------------


def test_a_bar_retyped_as_tablature() -> None:
    tab = "   1 2 3 4\ne|-5-3-----|\nB|-----5---|\nG|---------|\nD|---------|\nA|---------|\nE|---------|"
    state = edited(lantern(), "bar_tab", bar=4, text=tab)
    start = state.tune.chart.starts[3]
    new = [n for n in state.tune.line.notes if start <= n.onset < start + 4]
    assert [(n.string, n.fret, n.onset - start) for n in new] == [(1, 5, 0), (1, 3, 1), (2, 5, 2)]
    others = [n for n in lantern().tune.line.notes if not start <= n.onset < start + 4]
    assert [n for n in state.tune.line.notes if n not in new] == others


def test_a_bar_retyped_as_abc_is_free_to_be_fingered() -> None:
    state = edited(lantern(), "bar_abc", bar=2, text="A2 c2 e4")
    notes = [n for n in state.tune.line.notes if 4 <= n.onset < 8]
    assert [(n.pitch.name, n.duration, n.string) for n in notes] == [
        ("A4", 1, None),
        ("C#5", 1, None),
        ("E5", 2, None),
    ]


def test_a_bar_emptied_is_a_rest() -> None:
    state = edited(lantern(), "bar_tab", bar=1, text="")
    assert min(n.onset for n in state.tune.line.notes) >= 4


def test_a_slur_over_the_barline_outlives_retyping() -> None:
    state = edited(lantern(), "bar_tab", bar=1, text=SLIDES)
    first = next(i for i, n in enumerate(state.tune.line.notes) if n.onset == 4)
    state = edited(state, "entry", note=first, entry="hammer")
    for bar in (1, 2):
        text = bar_texts(state, {"bar": bar})["tab"]
        assert edited(state, "bar_tab", bar=bar, text=text) == state
    other = edited(state, "bar_tab", bar=1, text=SLIDES.replace("-5-|", "-3-|"))
    assert other.tune.line.notes[first].entry is None


def test_what_is_typed_wrong_is_told_with_its_place() -> None:
    told = refused(lantern(), "bar_tab", bar=1, text="   1 2 3 4\ne|-5-Q-----|\nB|---------|")
    assert told.startswith("line 2, column")
    assert "bar 2 holds 1 quarter" in refused(lantern(), "bar_abc", bar=2, text="A2")
    assert "goes on" in refused(lantern(), "bar_abc", bar=2, text="A8 | c8")


def test_a_chord_in_a_section_that_is_played_twice_changes_one_bar() -> None:
    state = edited(lantern(), "chord", bar=5, text="Am7 D7")
    symbols = [[c.chord.symbol for c in bar.chords if c.chord] for bar in state.tune.chart.bars]
    assert symbols[4] == ["Am7", "D7"] and symbols[0] == ["A7"]
    assert "'Q'" in refused(lantern(), "chord", bar=5, text="Q")


def test_percent_repeats_and_nothing_holds() -> None:
    assert edited(lantern(), "chord", bar=2, text="%").tune.chart.bars[1].chords[0].chord == parse_chord("A7")
    assert edited(lantern(), "chord", bar=2, text="").tune.chart.bars[1].chords == ()


def test_bars_put_in_move_what_follows() -> None:
    state = edited(lantern(), "insert_bars", before=3, count=2)
    before, after = lantern().tune, state.tune
    assert len(after.chart.bars) == 12
    assert [n.onset for n in after.line.notes] == [
        n.onset + (8 if n.onset >= 8 else 0) for n in before.line.notes
    ]
    assert after.chart.bars[4].chords == before.chart.bars[2].chords


def test_bars_with_chords_put_in_leave_the_harmony_after_them() -> None:
    held = edited(lantern(), "chord", bar=3, text="")
    state = edited(held, "insert_bars", after=2, text="| F7 | F#7 |")
    assert str(state.tune.chart.chord_at(Fraction(16)).symbol) == "D7"


def test_bars_put_in_and_taken_out_again_leave_the_tune() -> None:
    state = edited(edited(lantern(), "insert_bars", before=3, count=2), "remove_bars", from_=3, to=4)
    assert state.tune.chart.bars == lantern().tune.chart.bars
    assert state.tune.line == lantern().tune.line


def test_not_all_bars_can_go() -> None:
    assert "leave one" in refused(lantern(), "remove_bars", from_=1, to=10)


def test_sections_open_are_renamed_and_join() -> None:
    def names(state: State) -> list[tuple[int, str]]:
        return list(state.tune.chart.section_starts)

    opened = edited(lantern(), "section", bar=7, name="Bridge")
    assert names(opened) == [(0, "Head"), (4, "Head"), (6, "Bridge"), (8, "Out")]
    assert names(edited(opened, "section", bar=7, name="Vamp"))[2] == (6, "Vamp")
    joined = edited(opened, "section", bar=7, name=None)
    assert names(joined) == [(0, "Head"), (4, "Head"), (8, "Out")]
    assert joined.tune.chart.bars == lantern().tune.chart.bars


def test_hits_breaks_and_answers() -> None:
    bar = edited(lantern(), "hits", bar=4, beats=[2.5, 1, 4]).tune.chart.bars[3]
    assert bar.hits == (0, Fraction(3, 2), 3)
    assert edited(lantern(), "hits", bar=2, beats=[]).tune.chart.bars[1].hits == ()
    assert [b.pause for b in edited(lantern(), "break", from_=3, to=4, on=True).tune.chart.bars[2:5]] == [
        True,
        True,
        False,
    ]
    bar = edited(lantern(), "answer", bar=4, on=True, beats=[3, 3.5]).tune.chart.bars[3]
    assert bar.answer == (2, Fraction(5, 2))
    assert edited(lantern(), "answer", bar=4, on=True).tune.chart.bars[3].answered
    assert "bar 4 has no beat 5" in refused(lantern(), "hits", bar=4, beats=[5])


# --- the whole, and words ------------------------------------------------------------------------------


def test_tempo_key_and_heading() -> None:
    assert edited(lantern(), "tempo", tempo=150).tune.tempo.first == 150
    up = edited(free_lantern(), "transpose", semitones=3).tune
    assert (
        up.key.name == "C" and up.line.notes[0].pitch.midi == free_lantern().tune.line.notes[0].pitch.midi + 3
    )
    head = edited(lantern(), "heading", title=" Two  Lanterns", key="F#m", feel="swing").tune
    assert (head.title, head.key.name, head.feel) == ("Two Lanterns", "F#m", SWING)
    assert "not a tempo" in refused(lantern(), "tempo", tempo=2) or "a tempo is" in refused(
        lantern(), "tempo", tempo=2
    )


@pytest.mark.parametrize("semitones", [-12, -5, -2, 1, 2, 7, 12])
def test_what_is_fixed_moves_with_the_key_where_the_neck_allows(semitones: int) -> None:
    for state in (lantern(), State(bundled_tune())):
        try:
            up = edited(state, "transpose", semitones=semitones)
            played = work_out(up).tune.line.notes
        except InputError as error:
            told = ("this neck", "lowest string", "last fret", "both need string")
            assert abs(semitones) > 2 and any(words in str(error) for words in told)
            continue
        pairs = list(zip(state.tune.line.notes, up.tune.line.notes, strict=True))
        assert {new.pitch.midi - old.pitch.midi for old, new in pairs} == {semitones}
        kept = [new for old, new in pairs if new.string is not None]
        assert len(kept) > 0.8 * len(pairs) or abs(semitones) > 2
        assert all(
            note.string == was.string
            for was, note in zip(up.tune.line.notes, played, strict=True)
            if was.string
        )


def test_a_sentence_is_edited_hidden_and_found_again() -> None:
    first = find_retelling(lantern()).sentences[0]
    state = edited(lantern(), "sentence", sentence=first.id, text="My own words.")
    told = work_out(state).reading.sentences
    assert told[0].text == "My own words." and len(told) == len(find_reading(lantern())[1].sentences)
    hidden = edited(state, "sentence", sentence=first.id, hidden=True)
    assert first.sentence.text not in [s.text for s in work_out(hidden).reading.sentences]
    assert edited(hidden, "sentence", sentence=first.id, text=None) == lantern()


def test_own_words_outlive_the_sentence_they_replaced() -> None:
    first = find_retelling(lantern()).sentences[0]
    state = edited(lantern(), "sentence", sentence=first.id, text="My own words.")
    state = edited(state, "bar_tab", bar=1, text="")
    assert "My own words." in [s.text for s in work_out(state).reading.sentences]


def test_a_remark_is_made_changed_and_taken_away() -> None:
    state = edited(
        lantern(), "remark", from_={"bar": 2, "beat": 1}, to={"bar": 3, "beat": 2.5}, text="breathe"
    )
    made = find_retelling(state).sentences
    mine = next(one for one in made if one.whose == "own")
    assert (mine.sentence.start, mine.sentence.end) == (4, Fraction(19, 2))
    changed = edited(state, "remark", remark=mine.id, text="breathe here")
    assert changed.extras.remarks[0].text == "breathe here"
    assert edited(changed, "remark", remark=mine.id, text="") == lantern()


def test_the_other_telling_is_chosen_and_given_up() -> None:
    state = State(bundled_tune())
    _, found = find_reading(state)
    device = next(device for device in found.devices if device.runner_up)
    name = f"{device.start}~{device.end}~{device.kind}"
    other = edited(state, "reading", device=name, other=True)
    devices = work_out(other).reading.devices
    assert device not in devices
    assert {one.kind for one in device.runner_up} <= {one.kind for one in devices}
    assert edited(other, "reading", device=name, other=False) == state


# --- whatever is posted ----------------------------------------------------------------------------------

FACTS = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 12), st.floats(), st.text(max_size=8),
    st.sampled_from(("| A7 |", "1~2~0", "0~4~scale-run", "remark~0", "pick", "hammer", "A4 B4")),
    st.lists(st.one_of(st.integers(-1, 9), st.floats(0, 6)), max_size=3),
    st.lists(st.sampled_from(("place", "finger", "entry", "x")), max_size=2),
    st.dictionaries(st.sampled_from(("bar", "beat", "note")), st.integers(-1, 9), max_size=3),
)  # fmt: skip
NAMES = ("note", "notes", "from", "to", "bar", "what", "string", "fret", "finger", "entry", "text", "beats",
         "on", "name", "before", "after", "count", "tempo", "semitones", "title", "key", "feel", "device",
         "other", "sentence", "hidden", "remark")  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(st.sampled_from((*EDITS, "outside", "x")), st.dictionaries(st.sampled_from(NAMES), FACTS, max_size=6))
def test_whatever_is_posted_gives_a_state_or_a_sentence(kind: str, facts: dict[str, object]) -> None:
    fingered = work_out(lantern()).tune
    try:
        state = apply_edit(lantern(), {"kind": kind, **facts}, fingered)
    except InputError as error:
        assert str(error).strip() and "\n" not in str(error)
    else:
        assert isinstance(state, State) and hash(state) is not None
