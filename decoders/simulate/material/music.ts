import { Oscillator } from '../oscillator.ts';
import { Random } from '../random.ts';
import type { MaterialOptions, Source } from '../source.ts';
import { eventSource } from '../source.ts';

/** Triads on the steps of a major scale, semitones above the key note. */
const TRIADS: readonly (readonly number[])[] = [
  [0, 4, 7],
  [2, 5, 9],
  [4, 7, 11],
  [5, 9, 12],
  [7, 11, 14],
  [9, 12, 16],
];

const HARMONICS = 6;

/**
 * Chords of three notes with a bass and a melody over them, six harmonics a note, plucked, in strict tempo (72 to 144
 * beats a minute); key, tempo and figures change every sixteen beats. Equal temperament on A = 440 Hz (ISO 16).
 */
export function music(options: MaterialOptions): Source {
  const random = new Random(options.seed).branch('music');
  const { sampleRateHz } = options;
  const amplitude = 0.12 * (options.gain ?? 1);
  let beat = 0;
  let tempo = 100;
  let key = 57;
  let triad = TRIADS[0];
  return eventSource(() => {
    if (beat % 16 === 0) {
      tempo = random.uniform(72, 144);
      key = 52 + random.integer(12);
    }
    if (beat % 4 === 0) triad = random.pick(TRIADS);
    const melody = [12 + random.pick(triad), 12 + random.pick(triad)];
    const isBassBeat = beat % 2 === 0;
    beat++;
    const samples = Math.round((sampleRateHz * 60) / tempo);
    const chord = new Pluck(
      sampleRateHz,
      triad.map((step) => key + step),
      amplitude,
    );
    const bass = new Pluck(sampleRateHz, isBassBeat ? [key + triad[0] - 12] : [], 1.5 * amplitude);
    const half = Math.round(samples / 2);
    const melodies = melody.map((step) => new Pluck(sampleRateHz, [key + step], 1.5 * amplitude));
    return {
      samples,
      addTo: (block, at, from, to) => {
        chord.addTo(block, at, from, to, 0.5 * sampleRateHz);
        bass.addTo(block, at, from, to, 0.4 * sampleRateHz);
        const first = Math.min(to, Math.max(from, half));
        melodies[0].addTo(block, at, from, first, 0.25 * sampleRateHz);
        melodies[1].addTo(block, at + first - from, first - half, to - half, 0.25 * sampleRateHz);
      },
    };
  });
}

/** Two or three notes in turn, again and again, 5 to 40 a second: what imitates keying most. Figures last 2 to 10 s. */
export function arpeggios(options: MaterialOptions): Source {
  const random = new Random(options.seed).branch('arpeggios');
  const { sampleRateHz } = options;
  const amplitude = 0.3 * (options.gain ?? 1);
  let left = 0;
  let index = 0;
  let noteSeconds = 0.1;
  let notes: readonly number[] = [69];
  return eventSource(() => {
    if (left <= 0) {
      left = random.uniform(2, 10);
      noteSeconds = 1 / random.uniform(5, 40);
      const first = 60 + random.integer(24);
      notes = [first, first + 1 + random.integer(7), first + 8 + random.integer(5)].slice(0, 2 + random.integer(2));
    }
    left -= noteSeconds;
    const note = new Pluck(sampleRateHz, [notes[index++ % notes.length]], amplitude);
    return {
      samples: Math.max(1, Math.round(noteSeconds * sampleRateHz)),
      addTo: (block, at, from, to) => note.addTo(block, at, from, to, 0.3 * sampleRateHz),
    };
  });
}

/** Notes struck together, dying away. */
class Pluck {
  readonly #partials: { readonly oscillator: Oscillator; readonly amplitude: number }[] = [];

  constructor(sampleRateHz: number, notes: readonly number[], amplitude: number) {
    for (const note of notes) {
      const hz = 440 * 2 ** ((note - 69) / 12);
      for (let k = 1; k <= HARMONICS && k * hz < 0.45 * sampleRateHz; k++) {
        this.#partials.push({ oscillator: new Oscillator(sampleRateHz, k * hz), amplitude: amplitude / k ** 1.5 });
      }
    }
  }

  /** Adds samples `from`..`to` after the stroke; the amplitude falls to 1/e in `decaySamples`. */
  addTo(block: Float32Array, at: number, from: number, to: number, decaySamples: number): void {
    if (to <= from) return;
    const first = Math.exp(-from / decaySamples);
    const last = Math.exp(-to / decaySamples);
    for (const { oscillator, amplitude } of this.#partials) {
      oscillator.addTo(block, at, to - from, amplitude * first, amplitude * last);
    }
  }
}
