import { Oscillator } from '../oscillator.ts';
import { Random } from '../random.ts';
import type { MaterialOptions, SoundEvent, Source } from '../source.ts';
import { eventSource, inPieces, pause } from '../source.ts';

/** Rows and columns of the push-button telephone (ITU-T Q.23), Hz. */
const DTMF_ROWS = [697, 770, 852, 941];
const DTMF_COLUMNS = [1209, 1336, 1477, 1633];

/** Tones that selective calling uses (CCIR set, common practice), Hz. */
const CALL_TONES = [1124, 1197, 1275, 1358, 1446, 1540, 1640, 1747, 1860, 1981, 2110];

/** Random push-button numbers of 3 to 16 digits, 40 to 120 ms on, 40 to 150 ms off, with pauses of 0.3 to 4 s. */
export function dtmf(options: MaterialOptions): Source {
  const { random, rate, amplitude } = setUp(options, 'dtmf', 0.25);
  let left = 0;
  let sounding = false;
  let on = 0;
  let off = 0;
  return eventSource(() => {
    if (sounding) {
      sounding = false;
      if (--left > 0) return pause(off * rate);
      return pause(random.uniform(0.3, 4) * rate);
    }
    if (left <= 0) {
      left = 3 + random.integer(14);
      on = random.uniform(0.04, 0.12);
      off = random.uniform(0.04, 0.15);
    }
    sounding = true;
    return chord(rate, on * rate, [random.pick(DTMF_ROWS), random.pick(DTMF_COLUMNS)], amplitude);
  });
}

/** Five-tone calls: one tone after another without a gap, 33 to 100 ms each, pauses of 0.5 to 5 s. */
export function selectiveCall(options: MaterialOptions): Source {
  const { random, rate, amplitude } = setUp(options, 'selective call', 0.5);
  let left = 0;
  let seconds = 0;
  return eventSource(() => {
    if (left === 0) {
      left = 5 + random.integer(2);
      seconds = random.uniform(0.033, 0.1);
      return pause(random.uniform(0.5, 5) * rate);
    }
    left--;
    return chord(rate, seconds * rate, [random.pick(CALL_TONES)], amplitude);
  });
}

/** A tone that stays, such as the sub-audible tone of a repeater (67 to 254.1 Hz, EIA/TIA-603) or mains hum. */
export function steadyTone(hz: number, options: MaterialOptions): Source {
  const { random, rate, amplitude } = setUp(options, 'steady tone', 0.5);
  const oscillator = new Oscillator(rate, hz, random.uniform(0, 2 * Math.PI));
  return inPieces((piece) => oscillator.addTo(piece, 0, piece.length, amplitude));
}

/**
 * Carriers, as whistles: `count` tones in 300 to 2900 Hz, each moving at a rate of its own within
 * +-`mostDriftHzPerSecond`, turning back at the ends of that band.
 */
export function carriers(
  options: MaterialOptions & { readonly count?: number; readonly mostDriftHzPerSecond?: number },
): Source {
  const { count = 5, mostDriftHzPerSecond = 0 } = options;
  const { random, rate, amplitude } = setUp(options, 'carriers', 0.5 / count);
  const all = Array.from({ length: count }, () => {
    const hz = random.uniform(300, 2900);
    const driftHzPerSecond = random.uniform(-mostDriftHzPerSecond, mostDriftHzPerSecond);
    return { hz, driftHzPerSecond, oscillator: new Oscillator(rate, hz, random.uniform(0, 2 * Math.PI)) };
  });
  // The frequency moves in steps of 5 ms: of a drift of 50 Hz/s, a quarter of a hertz.
  const step = Math.max(1, Math.round(0.005 * rate));
  return eventSource(() => {
    for (const carrier of all) {
      carrier.hz += (carrier.driftHzPerSecond * step) / rate;
      if (carrier.hz < 300 || carrier.hz > 2900) carrier.driftHzPerSecond *= -1;
      carrier.oscillator.setHz(carrier.hz);
    }
    return {
      samples: step,
      addTo: (block, at, from, to) => {
        for (const { oscillator } of all) oscillator.addTo(block, at, to - from, amplitude);
      },
    };
  });
}

function setUp(options: MaterialOptions, label: string, amplitude: number) {
  return {
    random: new Random(options.seed).branch(label),
    rate: options.sampleRateHz,
    amplitude: amplitude * (options.gain ?? 1),
  };
}

function chord(rate: number, samples: number, tonesHz: readonly number[], amplitude: number): SoundEvent {
  const oscillators = tonesHz.map((hz) => new Oscillator(rate, hz));
  return {
    samples: Math.max(1, Math.round(samples)),
    addTo: (block, at, from, to) => {
      for (const oscillator of oscillators) oscillator.addTo(block, at, to - from, amplitude);
    },
  };
}
