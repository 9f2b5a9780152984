"""The player against sound rendered to memory, and its follow mark against what leaves the context."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

# A tune of four bars of four quarters at 120: a bar is two seconds. Stems are noise, so that any sample
# out of place shows.
SETUP = """
window.RATE = 44100;
window.AHEAD = Math.round(0.06 * RATE); // samples from play to the first sound
window.small = {
  length: 8, bars: [1, 2, 3, 4].map(number => ({number, time: 2 * number - 2, length: 2, quarters: 4,
    pulses: [0, 1, 2, 3].map(beat => 2 * number - 2 + beat / 2), chords: [], hits: []})), notes: [],
};
window.noise = (context, seconds, seed) => {
  const buffer = context.createBuffer(1, Math.round(seconds * RATE), RATE);
  const wave = buffer.getChannelData(0);
  let state = seed;
  for (let n = 0; n < wave.length; n += 1) {
    state = (state * 1103515245 + 12345) % 2147483648;
    wave[n] = state / 2147483648 - 0.5;
  }
  return buffer;
};
window.made = async (seconds, percent = 100, lead = 0.3) => {
  const context = new OfflineAudioContext(1, Math.round(seconds * RATE), RATE);
  const made = document.createElement("sw-player");
  document.body.append(made);
  made.context = context;
  made.view = small;
  made.counts = false;
  const long = lead + 800 / percent + 1;
  const stems = {guitar: noise(context, long, 7), bass: noise(context, long, 99)};
  made.percent = percent;
  await made.give({percent, lead, stems});
  return {context, made, stems};
};
// The first sample of `sound` that is off what `wanted(n)` says by more than rounding, or -1.
window.firstOff = (sound, from, to, wanted) => {
  for (let n = from; n < to; n += 1) if (Math.abs(sound[n] - wanted(n)) > 1e-6) return n;
  return -1;
};
"""


@pytest.fixture
def setup(page: Page) -> Page:
    page.evaluate(SETUP)
    return page


@pytest.mark.parametrize("percent", [100, 73])
def test_a_loop_is_exact_to_the_sample_for_every_stem(setup: Page, percent: int) -> None:
    """Bars 2 and 3, three times round: every sample is the one that the two stems hold there, but for the
    last 3 ms of a round, which pass over into what comes before bar 2, so that the seam doesn't click."""
    told: Any = setup.evaluate(
        """async percent => {
        const {context, made: player, stems} = await made(13 * 100 / percent, percent);
        player.loop = {first: 2, last: 3};
        await player.play();
        const sound = (await context.startRendering()).getChannelData(0);
        const start = Math.round((0.3 + 2 * 100 / percent) * RATE);
        const stop = Math.round((0.3 + 6 * 100 / percent) * RATE);
        const [one, other] = [stems.guitar, stems.bass].map(stem => stem.getChannelData(0));
        const seam = Math.round(0.003 * RATE);
        const both = n => one[n] + other[n];
        const wanted = n => {
          const place = start + (n - AHEAD) % (stop - start);
          const share = Math.max(0, place - (stop - seam) + 1) / (seam + 1);
          return (1 - share) * both(place) + (share && share * both(place - stop + start));
        };
        return {
          off: firstOff(sound, AHEAD + seam + 2, sound.length, wanted),
          silent: firstOff(sound, 0, AHEAD, () => 0), round: stop - start, length: sound.length};
    }""",
        percent,
    )
    assert told["off"] == -1 and told["silent"] == -1
    assert told["length"] > 3 * told["round"]


def test_a_steady_tone_goes_round_without_a_click(setup: Page) -> None:
    """A tone that doesn't fit into the loop: no step at the seam is larger than four of the tone's own."""
    told: Any = setup.evaluate(
        """async () => {
        const {context, made: player} = await made(10);
        const tone = context.createBuffer(1, 9 * RATE, RATE);
        const wave = tone.getChannelData(0);
        for (let n = 0; n < wave.length; n += 1) wave[n] = Math.sin(2 * Math.PI * 187.3 * n / RATE);
        await player.give({percent: 100, lead: 0, stems: {guitar: tone}});
        player.setStem("bass", {on: false});
        player.loop = {first: 2, last: 2};
        await player.play();
        const sound = (await context.startRendering()).getChannelData(0);
        const steps = (from, to) => {
          let most = 0;
          for (let n = from; n < to; n += 1) most = Math.max(most, Math.abs(sound[n] - sound[n - 1]));
          return most;
        };
        const seam = AHEAD + 2 * RATE;
        return {tone: steps(RATE, 1.5 * RATE), seam: steps(seam - 300, seam + 300)};
    }"""
    )
    assert told["seam"] < 4 * told["tone"] < 0.2


def test_a_place_behind_the_loop_plays_on_to_the_end(setup: Page) -> None:
    """As the browser's own sources do: and the follow mark says the same."""
    told: Any = setup.evaluate(
        """async () => {
        const {placeIn} = await import("/web/timeline.js");
        const span = from => ({at: 10, from, loop: [2, 4], lead: 0, rate: 1});
        return [placeIn(span(5), 13), placeIn(span(3), 13), placeIn(span(1), 14.5), placeIn(span(1), 9)];
    }"""
    )
    assert told == [8, 2, 3.5, 0]


def test_a_handover_of_equal_sound_cannot_be_heard(setup: Page) -> None:
    """The same audio handed over in the middle of playing, as after an edit elsewhere: no sample changes."""
    told: Any = setup.evaluate(
        """async () => {
        const {context, made: player, stems} = await made(6);
        await player.play();
        context.suspend(2).then(async () => {
          await player.give({percent: 100, lead: 0.3, stems});
          context.resume();
        });
        const sound = (await context.startRendering()).getChannelData(0);
        const start = Math.round(0.3 * RATE) - AHEAD;
        const [one, other] = [stems.guitar, stems.bass].map(stem => stem.getChannelData(0));
        return firstOff(sound, AHEAD, sound.length, n => one[start + n] + other[start + n]);
    }"""
    )
    assert told == -1


def test_another_tempo_takes_over_where_the_music_is(setup: Page) -> None:
    """From 100 to 50 percent after two seconds: from then on the slow audio at the same show time."""
    told: Any = setup.evaluate(
        """async () => {
        const {context, made: player} = await made(8);
        await player.play();
        const slow = {guitar: noise(context, 18, 3), bass: noise(context, 18, 4)};
        let where;
        context.suspend(2).then(async () => {
          await player.give({percent: 50, lead: 0.1, stems: slow});
          where = context.currentTime;
          player.percent = 50;
          context.resume();
        });
        const sound = (await context.startRendering()).getChannelData(0);
        const at = Math.round((where + 0.06) * RATE);
        const show = at / RATE - 0.06;
        const from = Math.round((0.1 + show * 2) * RATE);
        const [one, other] = [slow.guitar, slow.bass].map(stem => stem.getChannelData(0));
        const faded = Math.round(0.012 * RATE) + 2;
        return firstOff(sound, at + faded, sound.length, n => one[from + n - at] + other[from + n - at]);
    }"""
    )
    assert told == -1


def test_stems_go_off_and_on_without_a_jump(setup: Page) -> None:
    """A steady stem of ones: its level moves by steps that can't be heard, and goes all the way."""
    told: Any = setup.evaluate(
        """async () => {
        const {context, made: player} = await made(4);
        const ones = context.createBuffer(1, 5 * RATE, RATE);
        ones.getChannelData(0).fill(1);
        await player.give({percent: 100, lead: 0, stems: {guitar: ones}});
        await player.play();
        const set = wish => { player.setStem("guitar", wish); context.resume(); };
        context.suspend(1).then(() => set({on: false}));
        context.suspend(2).then(() => set({on: true, level: 0.5}));
        const sound = (await context.startRendering()).getChannelData(0);
        let jump = 0;
        for (let n = RATE; n < 3 * RATE; n += 1) jump = Math.max(jump, Math.abs(sound[n] - sound[n - 1]));
        return {jump, off: Math.abs(sound[Math.round(1.9 * RATE)]), half: sound[Math.round(2.9 * RATE)]};
    }"""
    )
    assert told["jump"] < 0.002 and told["off"] < 1e-3 and told["half"] == pytest.approx(0.5, abs=1e-3)


def test_a_bar_is_counted_in_at_the_tempo(setup: Page) -> None:
    """Four clicks half a second apart (a whole one at half tempo), and then the first sample of bar 3."""
    told: Any = setup.evaluate(
        """async () => {
        const {context, made: player, stems} = await made(6, 50);
        for (const name of ["guitar", "bass"]) player.setStem(name, {on: name === "guitar"});
        player.counts = true;
        player.loop = {first: 3, last: 3};
        await player.play();
        const sound = (await context.startRendering()).getChannelData(0);
        const clicks = [];
        for (let n = 1; n < 4.05 * RATE; n += 1)
          if (Math.abs(sound[n]) > 0.02 && !clicks.some(click => n - click < 0.3 * RATE)) clicks.push(n);
        const at = AHEAD + 4 * RATE;
        const wave = stems.guitar.getChannelData(0);
        const from = Math.round((0.3 + 4 * 2) * RATE);
        const faded = Math.round(0.003 * RATE) + 2;
        return {clicks: clicks.map(click => (click - AHEAD) / RATE),
          off: firstOff(sound, at + faded, sound.length, n => wave[from + n - at])};
    }"""
    )
    assert told["clicks"] == pytest.approx([0, 1, 2, 3], abs=0.002)
    assert told["off"] == -1


def test_a_pickup_is_counted_as_the_bar_after_it(setup: Page) -> None:
    told: Any = setup.evaluate(
        """async () => {
        const {countIn} = await import("/web/timeline.js");
        const bars = [{number: 0, time: 0, length: 0.5, pulses: [0]},
          {number: 1, time: 0.5, length: 2, pulses: [0.5, 1, 1.5, 2]}];
        return countIn(bars, 0, 0.5);
    }"""
    )
    assert told == {"clicks": [0, 1, 2, 3], "length": 4}


def test_the_slowest_answer_never_wins(page: Page) -> None:
    """Three tempos asked for in a row: the last one is played, whatever order the answers come in."""
    told: Any = page.evaluate(
        """async () => {
        const asked = [];
        player.supply = (percent, signal) => new Promise((answer, refuse) => {
          signal.addEventListener("abort", () => refuse(new Error("late")));
          asked.push(percent);
          setTimeout(() => answer({percent, lead: 0, stems: {guitar: ticks(view, percent, player.context)}}),
            percent === 50 ? 300 : 20);
        });
        player.percent = 50; player.percent = 60; player.percent = 70;
        player.counts = false;
        await player.play();
        await new Promise(done => setTimeout(done, 400));
        return {asked, percent: player.percent, playing: player.playing, time: player.time};
    }"""
    )
    assert told["asked"][:3] == [50, 60, 70]
    assert told["playing"] and told["percent"] == 70 and told["time"] < 0.7 * 0.5


def test_a_fault_is_told_and_play_can_be_pressed_again(page: Page) -> None:
    told: Any = page.evaluate(
        """async () => {
        const supply = player.supply;
        player.supply = async () => { throw new Error("no sound"); };
        let said = 0;
        player.addEventListener("sw-silent", () => { said += 1; });
        const failed = await player.play().then(() => false, () => true);
        const fault = transport.shadowRoot.querySelector("[role=alert]").textContent;
        player.supply = supply;
        await player.play();
        return {said, failed, fault, playing: player.playing, waiting: player.waiting};
    }"""
    )
    assert told["said"] == 1 and told["failed"] and "didn't come" in told["fault"]
    assert told["playing"] and not told["waiting"]


def test_it_stops_at_the_end_and_starts_again(page: Page) -> None:
    told: Any = page.evaluate(
        """async () => {
        player.counts = false;
        player.seek(view.length - 0.3);
        await player.play();
        await new Promise(done => player.addEventListener("sw-state", () => player.playing || done()));
        return player.time;
    }"""
    )
    assert told == 0


EDITING = """async () => {
  const context = player.context;
  const ones = percent => {
    const long = Math.ceil((1.3 + view.length * 100 / percent) * context.sampleRate);
    const buffer = context.createBuffer(1, long, context.sampleRate);
    buffer.getChannelData(0).fill(1);
    return {percent, lead: 0.3, stems: {guitar: buffer}};
  };
  player.supply = async percent => ones(percent);
  player.counts = false;
  await context.audioWorklet.addModule("/tap.js");
  const range = new AudioWorkletNode(context, "range");
  const asked = () => new Promise(done => {
    range.port.onmessage = event => done(event.data);
    range.port.postMessage(0);
  });
  player.output.connect(range);
  await player.play();
  await new Promise(done => setTimeout(done, 300));
  await asked();
  let state = 5;
  const draw = many => (state = (state * 1103515245 + 12345) % 2147483648) % many;
  const acts = [
    () => player.renew(), () => player.renew(),
    () => { player.percent = 50 + 10 * draw(6); },
    () => { player.loop = {first: 1 + draw(10), last: 12 + draw(10)}; },
    () => { player.loop = null; },
    () => player.seek(draw(20)),
  ];
  let done = 0;
  const until = performance.now() + 4000;
  while (performance.now() < until) {
    acts[draw(acts.length)]();
    done += 1;
    await new Promise(next => setTimeout(next, 5 + draw(120)));
  }
  const [low, high] = await asked();
  return {low, high, done, playing: player.playing};
}"""


def test_playing_while_everything_changes_never_drops_out(page: Page) -> None:
    """Four seconds of new sound, other tempos, loops and places every few hundredths of a second, over a
    stem of ones: handing over in step keeps the sum at one, and any hole or doubling would show."""
    told: Any = page.evaluate(EDITING)
    assert told["playing"] and told["done"] > 20
    assert told["low"] > 0.98 and told["high"] < 1.02


FOLLOW = """async () => {
  const context = player.context;
  player.counts = false;
  const heard = [];
  const frames = [];
  await context.audioWorklet.addModule("/tap.js");
  const tap = new AudioWorkletNode(context, "tap");
  tap.port.onmessage = event => heard.push(event.data);
  player.output.connect(tap);
  // What is lit at every frame, and the context time that is then at the loudspeaker.
  const look = () => {
    const lit = pages.parts.flatMap(part =>
      (part.sounds?.getAttribute("data-notes") || "").split(",").filter(Boolean).map(Number));
    const stamp = context.getOutputTimestamp();
    const now = stamp.contextTime + (performance.now() - stamp.performanceTime) / 1000;
    frames.push([now, lit, now <= context.currentTime + 0.03]);
    if (player.playing) requestAnimationFrame(look);
  };
  await player.play();
  requestAnimationFrame(look);
  await new Promise(done => setTimeout(done, 4500));
  player.pause();
  return {heard, frames, notes: view.notes.map(({time, length}) => [time, time + length])};
}"""


def test_the_highlight_is_in_step_with_the_sound(page: Page) -> None:
    """At every frame of 4.5 seconds, what is lit is what sounds then or within 30 ms of it.

    Two clocks that know nothing of each other: a tap on the output that finds the ticks, and the lit
    notes looked at every frame against the context's output time. Frames in which a busy machine lets
    the sound itself stand still are left out.
    """
    told: Any = page.evaluate(FOLLOW)
    frames = [(now, lit) for now, lit, sounds in told["frames"] if sounds]
    assert len(frames) > 0.7 * len(told["frames"])
    notes = told["notes"]
    onsets = sorted({start for start, _ in notes})
    heard = told["heard"]
    assert len(heard) >= 15
    # The ticks are those of the tune, one after the other: so the tune's time at a context time is known.
    first = min(
        range(len(onsets) - len(heard) + 1),
        key=lambda n: max(abs(heard[k] - heard[0] - onsets[n + k] + onsets[n]) for k in range(len(heard))),
    )
    offset = sorted(onsets[first + k] - at for k, at in enumerate(heard))[len(heard) // 2]
    assert all(abs(onsets[first + k] - at - offset) < 0.001 for k, at in enumerate(heard))
    late = [
        (now + offset, note, notes[note])
        for now, lit in frames
        for note in lit
        if not notes[note][0] - 0.030 <= now + offset <= notes[note][1] + 0.030
    ]
    missing = [
        (now + offset, note)
        for now, lit in frames
        for note, (start, end) in enumerate(notes)
        if start + 0.030 <= now + offset <= end - 0.030 and note not in lit
    ]
    assert len({note for _, lit in frames for note in lit}) >= 15
    assert not late and not missing
