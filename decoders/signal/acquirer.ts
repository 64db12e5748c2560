import type { BlockRing } from './blocks.ts';
import { BLOCK_SAMPLES, createBlockBuilder } from './blocks.ts';
import { BLOCK_SECONDS, shearOf, smooth } from './boxes.ts';
import { findCharacterRate, highestCharacterRate } from './character-rate.ts';
import { createDecimator, WORKING_RATE_HZ } from './decimate.ts';
import type { ToneSums } from './envelopes.ts';
import { keying } from './envelopes.ts';
import { presentShare } from './gate.ts';
import type { Kernel } from './kernel/kernel.ts';
import { FRAMES_AT_ONCE, usualKernel } from './kernel/kernel.ts';
import type { Hit, Suspect } from './measure.ts';
import { speedsFor } from './measure.ts';
import type { Pair } from './peaks.ts';
import { collectLobes, collectPairs, findPeaks } from './peaks.ts';
import { append, createSampleRing, placeOf } from './sample-ring.ts';
import type { SearchClass } from './search-plan.ts';
import { baudsToSearch, searchClasses, servesBaud, USUAL_DRIFT } from './search-plan.ts';
import { createSearchWorkshop, type SearchWorkshop, SLOTS } from './search-workshop.ts';
import { BIN_HZ, BINS, FIRST_BIN, FRAMES_SPAN, HOP } from './spectrogram.ts';
import { createStretches } from './stretches.ts';
import type { Acquirer, Acquisition, SearchHint } from './types.ts';

export interface AcquirerOptions {
  /** 8000 to 192000. */
  readonly sampleRateHz: number;
  readonly hints?: readonly SearchHint[];
  readonly kernel?: Kernel;
  /** Shared with other searches that are fed in turn; in place of `kernel`. Default: one of its own. */
  readonly workshop?: SearchWorkshop;
  /** Fastest drift that is looked for. Default 50. */
  readonly mostDriftHzPerSecond?: number;
  /** Told of every sight of keying at once; a stretch is reported when it has ended. */
  readonly onKeying?: (keying: Acquisition) => void;
}

/** 8 s of samples: the longest window with what is looked at around it, the frames at its end and a block of input. */
const RING_SAMPLES = 1 << 16;
const MOST_SUSPECTS = 4;
/** A burst's own pair is among the first; the others are its side lobes. */
const MOST_PAIRS = 8;
/** Mean |keying| of pairs that are worth reading without a character rate: strong two-tone signals only. */
const LEAST_CLEAR = 0.5;
const MOST_CLEAR = 2;
/** A class with what it looks for, and where its box means go. */
interface Window {
  readonly searchClass: SearchClass;
  readonly bauds: readonly number[];
  /** Samples of half an element. */
  readonly slot: number;
  readonly shears: readonly Int32Array[];
  readonly means: readonly Float32Array[];
}

/** @throws FiveunitError `sample-rate-out-of-range`. */
export function createAcquirer(options: AcquirerOptions): Acquirer {
  const { sampleRateHz, hints = [], onKeying, mostDriftHzPerSecond = USUAL_DRIFT } = options;
  const workshop = options.workshop ?? createSearchWorkshop(options.kernel ?? usualKernel());
  const { kernel, spectrograph, measurer, irregular, tones, rateFfts, row: scratch, keying: d } = workshop;
  const decimator = createDecimator(sampleRateHz, kernel);
  const ring = createSampleRing(RING_SAMPLES);
  const builder = createBlockBuilder();
  const bauds = baudsToSearch(hints);
  const classes = searchClasses(mostDriftHzPerSecond).filter((c) => bauds.some((baud) => servesBaud(c, baud)));
  const windows: Window[] = classes.map((searchClass) => ({
    searchClass,
    bauds: bauds.filter((baud) => servesBaud(searchClass, baud)),
    slot: Math.round(WORKING_RATE_HZ / searchClass.centreBaud / SLOTS),
    shears: searchClass.driftsHzPerSecond.map((drift) => shearOf(searchClass.blocks, drift)),
    means: searchClass.driftsHzPerSecond.map(() => new Float32Array(BINS)),
  }));
  const longest = Math.max(0, ...classes.map(({ blocks, margin, hop }) => blocks + margin + hop));
  const stretches = createStretches(longest * BLOCK_SECONDS);
  let frames = 0;

  function search(window: Window): void {
    const { searchClass, slot } = window;
    const first = builder.ring.blocks - searchClass.margin - searchClass.blocks;
    const startSample = first * BLOCK_SAMPLES;
    const endSample = startSample + searchClass.blocks * BLOCK_SAMPLES;
    const count = Math.floor((endSample - startSample) / slot);
    const found: { suspect: Suspect; hz: number; strength: number }[] = [];
    const clear: { suspect: Suspect; openness: number }[] = [];
    for (const { suspect, low, high } of correlated(window, first, startSample, endSample, count)) {
      const values = keying(high, low, count, SLOTS, d);
      const openness = meanMagnitude(d, values);
      if (openness < searchClass.openness) continue;
      if (openness > LEAST_CLEAR) clear.push({ suspect, openness });
      const rate = rateOf(values, slot, searchClass);
      if (rate.strength > searchClass.rateStrength) found.push({ suspect, ...rate });
    }
    found.sort((a, b) => b.strength - a.strength);
    const hits: Hit[] = [];
    for (const { suspect, hz } of found.slice(0, MOST_SUSPECTS)) {
      if (hits.some((hit) => isNear(hit, suspect))) continue;
      const hit = measurer.measure(ring, widen(suspect, searchClass.margin), hz, speedsFor(hz, bauds));
      if (hit !== undefined) hits.push(hit);
    }
    report(hits, searchClass.blocks * BLOCK_SECONDS);
    if (hits.length > 0) return;
    clear.sort((a, b) => b.openness - a.openness);
    const read = clear
      .slice(0, MOST_CLEAR)
      .flatMap(({ suspect }) => irregular.measure(ring, suspect, window.bauds) ?? []);
    report(read, searchClass.blocks * BLOCK_SECONDS);
  }

  function report(hits: readonly Hit[], windowSeconds: number): void {
    for (const hit of hits) {
      spareLines(hit);
      onKeying?.(hit);
      stretches.add(hit, builder.ring.blocks * BLOCK_SECONDS, windowSeconds / 2);
    }
  }

  function spareLines({ markHz, spaceHz, baud, driftHzPerSecond, middleSeconds }: Hit): void {
    const moved = driftHzPerSecond * (builder.ring.blocks * BLOCK_SECONDS - middleSeconds);
    for (const hz of [markHz, spaceHz]) {
      const bin = Math.round((hz + moved) / BIN_HZ) - FIRST_BIN;
      const reach = Math.ceil(baud / BIN_HZ);
      builder.spare(bin - reach, bin + reach);
    }
  }

  /** What is worth a look in a window and not yet found, with the sums of its tones in halves of an element. */
  function correlated(
    window: Window,
    first: number,
    startSample: number,
    endSample: number,
    count: number,
  ): { suspect: Suspect; low: ToneSums; high: ToneSums }[] {
    const { searchClass, slot } = window;
    const middle = (endSample - startSample) / 2 / WORKING_RATE_HZ;
    const suspects = [];
    tones.clear();
    for (const pair of pairsOf(window, builder.ring, first)) {
      const lowHz = (FIRST_BIN + pair.low.bin) * BIN_HZ;
      const highHz = (FIRST_BIN + pair.high.bin) * BIN_HZ;
      const drift = searchClass.driftsHzPerSecond[pair.drift];
      if (stretches.covers(startSample / WORKING_RATE_HZ, endSample / WORKING_RATE_HZ, lowHz, highHz)) continue;
      suspects.push({
        suspect: { startSample, endSample, lowHz, highHz, driftHzPerSecond: drift },
        low: tones.sumsOf(lowHz - drift * middle, drift),
        high: tones.sumsOf(highHz - drift * middle, drift),
      });
    }
    const slots = { at: placeOf(ring, startSample), samples: slot, count, sampleRateHz: WORKING_RATE_HZ };
    kernel.correlateTones(ring.samples, slots, tones.tones);
    return suspects;
  }

  function pairsOf({ searchClass, shears, means }: Window, blocks: BlockRing, first: number): Pair[] {
    const rows = blocks[searchClass.width];
    const pairs: Pair[] = [];
    const lobes: Pair[] = [];
    kernel.boxMeans(rows, first, shears, means);
    for (let drift = 0; drift < shears.length; drift++) {
      smooth(means[drift], searchClass.smoothing, scratch);
      const peaks = findPeaks(means[drift], blocks.lines, searchClass.peakLevel);
      collectPairs(peaks, drift, searchClass.centreBaud, pairs);
      collectLobes(peaks, drift, searchClass.centreBaud, lobes);
    }
    return [...pairs.slice(0, MOST_PAIRS), ...lobes]
      .filter(
        (pair) =>
          presentShare(rows.cells, first, shears[pair.drift], searchClass.smoothing, pair) >= searchClass.presentShare,
      )
      .slice(0, searchClass.mostPairs);
  }

  function rateOf(
    values: number,
    slot: number,
    { centreBaud, rateTransform }: SearchClass,
  ): { hz: number; strength: number } {
    const rateHz = WORKING_RATE_HZ / slot;
    const lowest = (0.8 * centreBaud) / 8;
    const highest = Math.min((1.2 * centreBaud) / 7, highestCharacterRate(rateHz));
    return findCharacterRate(d, values, rateHz, lowest, highest, rateFfts[rateTransform]);
  }

  return {
    push(samples, onFound) {
      decimator.push(samples, (block) => take(block, onFound));
    },
    end(onFound) {
      decimator.end((block) => take(block, onFound));
      // Silence, until every window that holds a last sample has been looked at.
      const silence = new Float32Array(BLOCK_SAMPLES);
      for (let i = 0; i <= longest; i++) take(silence, onFound);
      stretches.settle(Number.POSITIVE_INFINITY, onFound);
    },
    get settledSeconds() {
      return Math.min(stretches.openSeconds, (builder.ring.blocks - longest) * BLOCK_SECONDS);
    },
  };

  function take(block: Float32Array, onFound: Parameters<Acquirer['push']>[1]): void {
    append(ring, block);
    for (; frames * HOP + FRAMES_SPAN <= ring.written; frames += FRAMES_AT_ONCE) {
      spectrograph.analyse(ring.samples, placeOf(ring, frames * HOP));
      for (const power of spectrograph.powers) if (builder.add(power)) searchLast(onFound);
    }
  }

  /** Looks at every window that ends with the block just completed. */
  function searchLast(onFound: Parameters<Acquirer['push']>[1]): void {
    const { blocks } = builder.ring;
    for (const window of windows) {
      if ((blocks - window.searchClass.margin) % window.searchClass.hop === 0) search(window);
    }
    stretches.settle(blocks * BLOCK_SECONDS, onFound);
  }
}

function widen(suspect: Suspect, blocks: number): Suspect {
  const more = blocks * BLOCK_SAMPLES;
  return { ...suspect, startSample: suspect.startSample - more, endSample: suspect.endSample + more };
}

/** Whether a suspect shares a tone with what was found: its side lobes, or the same tones under another drift. */
function isNear({ markHz, spaceHz, baud }: Hit, { lowHz, highHz }: Suspect): boolean {
  const reach = 1.5 * baud;
  return [markHz, spaceHz].some((hz) => Math.abs(hz - lowHz) < reach || Math.abs(hz - highHz) < reach);
}

function meanMagnitude(values: Float64Array, count: number): number {
  let sum = 0;
  for (let n = 0; n < count; n++) sum += Math.abs(values[n]);
  return count > 0 ? sum / count : 0;
}
