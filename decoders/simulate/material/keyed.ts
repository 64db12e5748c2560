import type { KeyingStep } from '../keying.ts';
import { morseKeying } from '../morse.ts';
import { Oscillator } from '../oscillator.ts';
import { Random } from '../random.ts';
import type { MaterialOptions, Source } from '../source.ts';
import { eventSource, pause } from '../source.ts';

const MORSE_CHARACTERS = 'ABCDEFGHIJKLMNOPRSTUVWXYZ0123456789';

/** Morse on one tone of 400 to 1200 Hz: random words at 10 to 35 words a minute, a new sender every 3 to 12 words. */
export function morse(options: MaterialOptions): Source {
  const random = new Random(options.seed).branch('morse');
  const { sampleRateHz } = options;
  const amplitude = 0.5 * (options.gain ?? 1);
  let words = 0;
  let dotSeconds = 0.06;
  let oscillator = new Oscillator(sampleRateHz, 700);
  let steps: KeyingStep[] = [];
  return eventSource(() => {
    if (steps.length === 0) {
      if (words-- <= 0) {
        words = 3 + random.integer(10);
        dotSeconds = 1.2 / random.uniform(10, 35);
        oscillator = new Oscillator(sampleRateHz, random.uniform(400, 1200));
      }
      const word = Array.from({ length: 2 + random.integer(6) }, () => random.pick([...MORSE_CHARACTERS])).join('');
      steps = morseKeying(word, dotSeconds).reverse();
    }
    const { tone, seconds } = steps.pop() ?? { tone: 'off', seconds: dotSeconds };
    const samples = Math.max(1, Math.round(seconds * sampleRateHz));
    if (tone === 'off') return pause(samples);
    const ramp = Math.min(samples / 2, 0.005 * sampleRateHz);
    return {
      samples,
      addTo: (block, at, from, to) => {
        for (let i = from; i < to; i += 8) {
          const count = Math.min(8, to - i);
          const rise = Math.min(1, i / ramp, (samples - i) / ramp);
          oscillator.addTo(block, at + i - from, count, amplitude * rise);
        }
      },
    };
  });
}

/**
 * Data that is keyed as two tones but not start-stop: random elements without pause. Each transmission lasts 3 to 30 s
 * and has a speed of 30 to 300 Bd, a shift of 80 to 900 Hz and a centre of its own; pauses of 1 to 5 s.
 */
export function synchronousFsk(options: MaterialOptions): Source {
  const random = new Random(options.seed).branch('synchronous fsk');
  const { sampleRateHz } = options;
  const amplitude = 0.5 * (options.gain ?? 1);
  let elements = 0;
  let elementSeconds = 0.02;
  let tonesHz = [1000, 1200];
  // Whole samples only come up exactly by carrying the rest over to the next element.
  let owed = 0;
  const oscillator = new Oscillator(sampleRateHz, tonesHz[0]);
  return eventSource(() => {
    if (elements <= 0) {
      const baud = 30 * 10 ** random.uniform();
      elementSeconds = 1 / baud;
      elements = Math.round(random.uniform(3, 30) * baud);
      const shift = random.uniform(80, 900);
      const centre = random.uniform(400 + shift / 2, 2900 - shift / 2);
      tonesHz = [centre - shift / 2, centre + shift / 2];
      return pause(random.uniform(1, 5) * sampleRateHz);
    }
    elements--;
    owed += elementSeconds * sampleRateHz;
    const samples = Math.max(1, Math.floor(owed));
    owed -= samples;
    oscillator.setHz(random.pick(tonesHz));
    return {
      samples,
      addTo: (block, at, from, to) => oscillator.addTo(block, at, to - from, amplitude),
    };
  });
}

/**
 * Data on 4 to 16 evenly spaced tones, one after another without pause: 5 to 60 tones a second, 20 to 120 Hz apart. Each
 * transmission lasts 3 to 30 s and has a speed and tones of its own; pauses of 1 to 5 s.
 */
export function multiToneFsk(options: MaterialOptions): Source {
  const random = new Random(options.seed).branch('multi-tone fsk');
  const { sampleRateHz } = options;
  const amplitude = 0.5 * (options.gain ?? 1);
  let symbols = 0;
  let samples = 1;
  let tonesHz = [1000];
  const oscillator = new Oscillator(sampleRateHz, tonesHz[0]);
  return eventSource(() => {
    if (symbols <= 0) {
      const rate = 5 * 12 ** random.uniform();
      samples = Math.max(1, Math.round(sampleRateHz / rate));
      symbols = Math.round(random.uniform(3, 30) * rate);
      const count = random.pick([4, 8, 16]);
      const spacing = random.uniform(20, 120);
      const lowest = random.uniform(400, 2900 - (count - 1) * spacing);
      tonesHz = Array.from({ length: count }, (_, k) => lowest + k * spacing);
      return pause(random.uniform(1, 5) * sampleRateHz);
    }
    symbols--;
    oscillator.setHz(random.pick(tonesHz));
    return {
      samples,
      addTo: (block, at, from, to) => oscillator.addTo(block, at, to - from, amplitude),
    };
  });
}
