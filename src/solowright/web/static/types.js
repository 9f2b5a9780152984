/**
 * The view of a tune, as `web/view.py` gives it, and the events by which the elements talk.
 *
 * Times are seconds at the show tempo, feel applied, count-in left out. Beats are quarters from 1.0
 * inside the bar. String 1 is the highest, frets count from the capo, finger 0 is open. Lengths on the
 * page are points, lengths on the neck millimetres.
 *
 * Every element takes `element.view = view`; those that follow the music take `element.time = seconds`,
 * those that show a choice `element.selection = {first, last}` (bar numbers, or null) and
 * `element.note = index` (place in `view.notes`, or null). All events bubble and cross shadow roots.
 *
 * | event            | detail                | sent by                                           |
 * |------------------|-----------------------|---------------------------------------------------|
 * | `sw-time`        | {@link TimeDetail}    | player, each frame while it plays and after a seek |
 * | `sw-state`       | {@link StateDetail}   | player: playing, loop, tempo, stems changed       |
 * | `sw-seek`        | {time}                | strip, pages, hand path, transport                |
 * | `sw-choose-note` | {note}                | pages, hand path, neck (null: none)               |
 * | `sw-choose-bars` | {first, last}, or null fields | strip, pages: bars to loop, or none       |
 * | `sw-point`       | {bar, note}           | strip, pages, hand path: what the pointer is over (null: nothing) |
 * | `sw-choose-place` | {place}              | neck: one of its `places` is taken                 |
 * | `sw-silent`      | {fault}               | player: the audio of a tempo didn't come           |
 */

/**
 * @typedef {{bar: number, beat: number}} Place
 * @typedef {{beat: number, symbol: string, text: string}} ChordAt  text: as printed, with ♭ and ♯
 *
 * @typedef {object} Bar
 * @property {number} number  as players count; a pickup bar is 0
 * @property {string|null} section  name where one opens here
 * @property {ChordAt[]} chords  empty: the chord before is held
 * @property {number[]} hits  beats that the band strikes together
 * @property {boolean} break  the band is silent
 * @property {number[]|null} answer  beats of the band's answer, [] where no rhythm is written, null: none
 * @property {number} time
 * @property {number} length
 * @property {number} quarters
 * @property {string} meter  as "4/4"
 * @property {number[]} pulses  seconds of the felt beats
 * @property {number} load  the highest of its notes
 *
 * @typedef {object} Note
 * @property {number} bar
 * @property {number} beat
 * @property {number} time
 * @property {number} length  0 at a grace note that sounds no longer than it takes
 * @property {number} midi
 * @property {string} name  as heard, with octave
 * @property {number} string
 * @property {number} fret
 * @property {number} finger
 * @property {number} position  fret of the index finger, 0 while none is set
 * @property {"pick"|"hammer"|"pull"|"slide"|"tap"|"harmonic"} entry
 * @property {number} load
 * @property {boolean} locked
 * @property {boolean} grace
 * @property {boolean} dead
 * @property {string|null} role
 * @property {string|null} degree
 * @property {string} chord
 *
 * @typedef {object} Stay  the hand in one position
 * @property {number} from
 * @property {number} to
 * @property {number} fret  of the index finger
 * @property {[number, number]} reach  lowest and highest fret under the hand
 * @property {[number, number]} notes  first and last, places in `notes`
 *
 * @typedef {object} Shift  between two stays
 * @property {number} leave  when the hand must leave to be there in time
 * @property {number} time  when it is there
 * @property {number} from_fret
 * @property {number} to_fret
 * @property {number} mm
 * @property {number} ms  since the hand last had something to do
 * @property {number} load
 * @property {boolean} slide
 * @property {number} note  the note it is made for
 *
 * @typedef {[number, number, number, number]} Box  left, top, right, bottom in points
 * @typedef {{note: number, head: Box, fret: Box|null}} NotePlace
 *
 * @typedef {object} System
 * @property {string} svg
 * @property {number} width
 * @property {number} height
 * @property {number} first
 * @property {number} last
 * @property {[number, number, number][]} bars  number, left, right
 * @property {NotePlace[]} notes
 * @property {[number, number][]} clock  second and x, in order: where the system has come to when
 * @property {{svg: string, height: number, dots: [number, number, number][]}} hand  the hand path under
 *   it, as wide as the system; dots: note, x, y
 *
 * @typedef {{kind: string, short: string, sentence: string}} Telling
 * @typedef {Telling & {from: Place, to: Place, start: number, end: number, notes: number[],
 *   runner_up: Telling[]}} Device
 * @typedef {{text: string, from: Place, to: Place, start: number, end: number}} Sentence
 * @typedef {{name: string, first: number, last: number, text: string}} Section
 *
 * @typedef {object} View
 * @property {string} title
 * @property {string} composer
 * @property {string} key
 * @property {number} tempo  quarters a minute, the show tempo
 * @property {number|null} limit_tempo
 * @property {{bar: number, beat: number, load: number, why: string}|null} crux
 * @property {number} length
 * @property {number[]} tuning  MIDI of the open strings before the capo, highest string first
 * @property {number} capo
 * @property {number} frets
 * @property {number} scale_mm
 * @property {Bar[]} bars
 * @property {Note[]} notes
 * @property {Stay[]} hand
 * @property {Shift[]} shifts
 * @property {System[]} systems
 * @property {System[]} narrow  the same for a phone; may be empty
 * @property {Device[]} devices
 * @property {Sentence[]} sentences
 * @property {{note: number, approach: string}[]} targets
 * @property {string} summary
 * @property {Section[]} sections
 * @property {Arc|null} arc
 * @property {boolean} [left_handed]
 *
 * @typedef {Record<string, any>} Arc  see `form.arc_json`
 *
 * @typedef {{first: number, last: number}} Bars  numbers of the first and last bar
 *
 * @typedef {object} TimeDetail
 * @property {number} time  where the music is that is heard now; below 0 in a count-in
 * @property {boolean} playing
 * @property {boolean} counting  a count-in is heard
 *
 * @typedef {object} StateDetail
 * @property {boolean} playing
 * @property {boolean} waiting  play was asked for and the sound isn't there yet
 * @property {Bars|{start: number, end: number}|null} loop
 * @property {number} percent  of the show tempo
 * @property {boolean} ready  there is sound for this tempo
 * @property {{name: string, on: boolean, level: number}[]} stems
 */

export {};
