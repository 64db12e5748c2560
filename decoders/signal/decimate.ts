import { FiveunitError } from '../errors.ts';
import { kaiserAttenuationDb, kaiserBeta, kaiserTapCount, lowPassTaps } from './fir.ts';
import type { Kernel } from './kernel/kernel.ts';
import { usualKernel } from './kernel/kernel.ts';

/** Rate at which bursts are searched. */
export const WORKING_RATE_HZ = 8000;

/** Frequencies up to here pass unharmed; nothing may fold to below it. */
const PASS_HZ = 3200;
const ATTENUATION_DB = 50;
/** Whole-number stages go no lower than this, so that they stay short; the last stage does the steep part. */
const LAST_STAGE_HZ = 14_000;
/** Input samples taken through all stages at once: small enough to stay in the cache. */
const CHUNK = 4096;
/** Taps, or pairs of taps, that a kernel takes at once. */
const GROUP = 8;
/** Phases of the interpolation table where the exact ratio would need more. */
const MOST_PHASES = 1024;

/**
 * Brings a stream to `WORKING_RATE_HZ`. Output sample n stands for input time n / WORKING_RATE_HZ exactly: the filters'
 * delay is taken out. The same stream in other blocks gives the same bits.
 */
export interface Decimator {
  /** Blocks handed to `onBlock` are reused: copy what must last. */
  push(samples: Float32Array, onBlock: (block: Float32Array) => void): void;
  /** Gives what the filters still hold; ceil(input samples * WORKING_RATE_HZ / input rate) samples in all. */
  end(onBlock: (block: Float32Array) => void): void;
}

/** @throws FiveunitError `sample-rate-out-of-range` unless the rate lies in 8000..192000 Hz. */
export function createDecimator(sampleRateHz: number, kernel: Kernel = usualKernel()): Decimator {
  if (!(sampleRateHz >= WORKING_RATE_HZ && sampleRateHz <= 192_000)) {
    throw new FiveunitError(
      'sample-rate-out-of-range',
      `the sample rate is ${sampleRateHz} Hz; rates from 8000 to 192000 Hz can be searched: resample the recording`,
    );
  }
  const stages = planStages(sampleRateHz, kernel);
  const delay = Math.ceil(stages.reduce((sum, stage) => sum + stage.delaySeconds, 0) * sampleRateHz);
  let taken = 0;
  let given = 0;

  function pass(samples: Float32Array, limit: number, onBlock: (block: Float32Array) => void): void {
    for (let from = 0; from < samples.length; from += CHUNK) {
      let block = samples.subarray(from, Math.min(samples.length, from + CHUNK));
      for (const stage of stages) block = stage.run(block);
      if (block.length > limit - given) block = block.subarray(0, limit - given);
      given += block.length;
      if (block.length > 0) onBlock(block);
    }
  }

  return {
    push(samples, onBlock) {
      taken += samples.length;
      pass(samples, Number.POSITIVE_INFINITY, onBlock);
    },
    end(onBlock) {
      const total = Math.ceil((taken * WORKING_RATE_HZ) / sampleRateHz);
      pass(new Float32Array(delay + Math.ceil(sampleRateHz / WORKING_RATE_HZ)), total, onBlock);
    },
  };
}

interface Stage {
  readonly delaySeconds: number;
  /** The result is a view of the stage's own array. */
  run(input: Float32Array): Float32Array;
}

function planStages(sampleRateHz: number, kernel: Kernel): Stage[] {
  const stages: Stage[] = [];
  let rate = sampleRateHz;
  for (;;) {
    const factors = ([3, 2] as const).filter((factor) => rate / factor >= LAST_STAGE_HZ);
    if (factors.length === 0) break;
    const factor = factors.find((f) => rate % (f * WORKING_RATE_HZ) === 0) ?? factors[0];
    stages.push(wholeStage(rate, factor, kernel));
    rate /= factor;
  }
  if (rate === WORKING_RATE_HZ) return stages;
  const factor = ([3, 2] as const).find((each) => rate === each * WORKING_RATE_HZ);
  stages.push(factor === undefined ? fractionStage(rate) : wholeStage(rate, factor, kernel));
  return stages;
}

/** Keeps one sample in `factor`. */
function wholeStage(rateHz: number, factor: 2 | 3, kernel: Kernel): Stage {
  const transition = (rateHz / factor - 2 * PASS_HZ) / rateHz;
  // Every second tap of a half-band filter is zero but for the centre.
  const step = factor === 2 ? 2 : 1;
  const needed = (kaiserTapCount(ATTENUATION_DB, transition) - 1) / 2 / step;
  const pairs = GROUP * Math.ceil(needed / GROUP);
  const middle = step * (pairs - 1) + 1;
  const count = 2 * middle + 1;
  const taps = lowPassTaps(count, 0.5 / factor, kaiserBeta(kaiserAttenuationDb(count, transition)));
  const half = Float32Array.from({ length: pairs }, (_, i) => taps[middle + 1 + step * i]);
  const filter = { factor, middle, centreTap: taps[middle], half, step } as const;
  const held = new Float32Array(count + CHUNK + factor);
  const output = new Float32Array(Math.ceil(held.length / factor));
  let filled = middle;
  return {
    delaySeconds: middle / rateHz,
    run(input) {
      held.set(input, filled);
      filled += input.length;
      const outputs = filled < count ? 0 : Math.floor((filled - count) / factor) + 1;
      kernel.filterDown(filter, held, outputs, output);
      held.copyWithin(0, outputs * factor, filled);
      filled -= outputs * factor;
      return output.subarray(0, outputs);
    },
  };
}

/** Any ratio above one: a table of delayed copies of one low-pass, of which each output takes the one it needs. */
function fractionStage(rateHz: number): Stage {
  const scale = Number.isInteger(rateHz) ? 1 : 1000;
  const common = greatestCommonDivisor(Math.round(rateHz * scale), WORKING_RATE_HZ * scale);
  const up = (WORKING_RATE_HZ * scale) / common;
  const down = Math.round(rateHz * scale) / common;
  const phases = Math.min(up, MOST_PHASES);
  const transition = (WORKING_RATE_HZ - 2 * PASS_HZ) / rateHz;
  const width = GROUP * Math.ceil(kaiserTapCount(ATTENUATION_DB, transition) / GROUP);
  const reach = width / 2;
  // One tap longer than a row can hold: the far end, which phase 0 would need, is as good as zero.
  const cutoff = WORKING_RATE_HZ / 2 / rateHz / phases;
  const prototype = lowPassTaps(width * phases + 1, cutoff, kaiserBeta(kaiserAttenuationDb(width + 1, transition)));
  const table = new Float32Array((phases + 1) * width);
  for (let phase = 0; phase <= phases; phase++) {
    for (let i = 0; i < width; i++) table[phase * width + i] = phases * prototype[(i + 1) * phases - phase];
  }
  const held = new Float32Array(width + CHUNK + Math.ceil(down / up) + 1);
  const output = new Float32Array(Math.ceil((held.length * up) / down) + 1);
  const state = { position: 0, remainder: 0 };
  let filled = reach - 1;
  return {
    delaySeconds: reach / rateHz,
    run(input) {
      held.set(input, filled);
      filled += input.length;
      const outputs = interpolate(held, filled, table, width, phases, up, down, state, output);
      const spent = Math.min(state.position, filled);
      held.copyWithin(0, spent, filled);
      filled -= spent;
      state.position -= spent;
      return output.subarray(0, outputs);
    },
  };
}

function interpolate(
  input: Float32Array,
  filled: number,
  table: Float32Array,
  width: number,
  phases: number,
  up: number,
  down: number,
  state: { position: number; remainder: number },
  output: Float32Array,
): number {
  const whole = Math.floor(down / up);
  const part = down - whole * up;
  let { position, remainder } = state;
  let n = 0;
  while (position + width <= filled) {
    const row = Math.round((remainder / up) * phases) * width;
    let sum = 0;
    for (let i = 0; i < width; i += 8) {
      const at = position + i;
      const tap = row + i;
      sum +=
        table[tap] * input[at] +
        table[tap + 1] * input[at + 1] +
        table[tap + 2] * input[at + 2] +
        table[tap + 3] * input[at + 3] +
        table[tap + 4] * input[at + 4] +
        table[tap + 5] * input[at + 5] +
        table[tap + 6] * input[at + 6] +
        table[tap + 7] * input[at + 7];
    }
    output[n++] = sum;
    position += whole;
    remainder += part;
    if (remainder >= up) {
      remainder -= up;
      position++;
    }
  }
  state.position = position;
  state.remainder = remainder;
  return n;
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}
