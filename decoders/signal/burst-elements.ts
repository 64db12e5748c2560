import type { Baseband } from './burst-baseband.ts';
import { ToneCorrelator } from './burst-correlator.ts';
import { type BurstLevel, bounded, estimateLevel, presence } from './burst-level.ts';
import type { TonePair } from './burst-tones.ts';

/** A correlation stronger than this times the level is another signal: it proves no more than a full element does. */
const LOUDEST = 1.6;

/**
 * A burst whose tones are known, asked element by element: how well does mark, how well does space explain the signal
 * from here on for one element? Answers are log-likelihoods over noise alone.
 */
export class BurstElements {
  private tuned: TonePair;
  readonly elementSeconds: number;
  level: BurstLevel;
  readonly mark: ToneCorrelator;
  readonly space: ToneCorrelator;

  constructor(baseband: Baseband, tones: TonePair, elementSeconds: number, level?: BurstLevel) {
    this.tuned = tones;
    this.elementSeconds = elementSeconds;
    this.mark = new ToneCorrelator(baseband, tones.markOffsetHz);
    this.space = new ToneCorrelator(baseband, tones.spaceOffsetHz);
    this.level = level ?? { markLevel: 1, spaceLevel: 1, noisePower: 1 };
  }

  get tones(): TonePair {
    return this.tuned;
  }

  /** Moves on to other tones; the level stays. */
  tuneTo(tones: TonePair): void {
    this.tuned = tones;
    this.mark.tuneTo(tones.markOffsetHz);
    this.space.tuneTo(tones.spaceOffsetHz);
  }

  /** Gives away the memory that only questions need; the next one has it made again. */
  rest(): void {
    this.mark.rest();
    this.space.rest();
  }

  /** First guess of the level from all windows of a stretch, before any timing is known. */
  guessLevel(fromSeconds: number, toSeconds: number): void {
    const step = this.elementSeconds / 4;
    const count = Math.max(8, Math.floor((toSeconds - fromSeconds) / step) - 4);
    const mark = new Float64Array(count);
    const space = new Float64Array(count);
    this.mark.magnitudes(fromSeconds, step, this.elementSeconds, mark);
    this.space.magnitudes(fromSeconds, step, this.elementSeconds, space);
    const weaker = new Float64Array(count);
    for (let i = 0; i < count; i++) weaker[i] = Math.min(mark[i], space[i]);
    mark.sort();
    space.sort();
    weaker.sort();
    // One window in four lies wholly inside a run of one tone; noise power is exponential, its lowest fifth at 0.22.
    const strong = Math.floor(0.86 * count);
    const quiet = weaker[Math.floor(0.2 * count)];
    this.level = bounded(0.92 * mark[strong], 0.92 * space[strong], (0.8 * quiet * quiet) / 0.22);
  }

  /** Evidence of mark lasting on through each step of `stepSeconds`, from half an element about its middle. */
  restGrid(fromSeconds: number, stepSeconds: number, rest: Float64Array): void {
    const half = this.elementSeconds / 2;
    this.mark.magnitudes(fromSeconds + (stepSeconds - half) / 2, stepSeconds, half, rest);
    const level = this.level.markLevel / 2;
    const noisePower = this.level.noisePower / 2;
    const share = stepSeconds / half;
    for (let i = 0; i < rest.length; i++) {
      rest[i] = share * presence(Math.min(rest[i], LOUDEST * level), level, noisePower);
    }
  }

  /** Evidence of mark and of space for elements starting every `stepSeconds`; one a grid point. */
  evidenceGrid(fromSeconds: number, stepSeconds: number, mark: Float64Array, space: Float64Array): void {
    this.mark.magnitudes(fromSeconds, stepSeconds, this.elementSeconds, mark);
    this.space.magnitudes(fromSeconds, stepSeconds, this.elementSeconds, space);
    const { markLevel, spaceLevel, noisePower } = this.level;
    for (let i = 0; i < mark.length; i++) {
      mark[i] = presence(Math.min(mark[i], LOUDEST * markLevel), markLevel, noisePower);
      space[i] = presence(Math.min(space[i], LOUDEST * spaceLevel), spaceLevel, noisePower);
    }
  }

  /** Log-likelihood ratio of mark against space for the element [at, at + element), one of the two being there. */
  llr(atSeconds: number): number {
    const [mark, space] = this.magnitudesAt(atSeconds);
    const { markLevel, spaceLevel, noisePower } = this.level;
    return presence(mark, markLevel, noisePower) - presence(space, spaceLevel, noisePower);
  }

  /** |z| of both tones over one element. */
  magnitudesAt(atSeconds: number): [number, number] {
    const to = atSeconds + this.elementSeconds;
    this.mark.correlate(atSeconds, to);
    this.space.correlate(atSeconds, to);
    return [Math.hypot(this.mark.re, this.mark.im), Math.hypot(this.space.re, this.space.im)];
  }

  /**
   * Fits the level to elements at known times. `known` says of each: 1 = mark, 0 = space, NaN = either.
   */
  fitLevel(times: Float64Array, known: Float64Array, rounds = 3): void {
    const count = times.length;
    const mark = new Float64Array(count);
    const space = new Float64Array(count);
    const probability = new Float64Array(count);
    for (let i = 0; i < count; i++) {
      const [m, s] = this.magnitudesAt(times[i]);
      mark[i] = m;
      space[i] = s;
    }
    for (let round = 0; round < rounds; round++) {
      const { markLevel, spaceLevel, noisePower } = this.level;
      for (let i = 0; i < count; i++) {
        const llr = presence(mark[i], markLevel, noisePower) - presence(space[i], spaceLevel, noisePower);
        probability[i] = Number.isNaN(known[i]) ? 1 / (1 + Math.exp(-llr)) : known[i];
      }
      this.level = estimateLevel(mark, space, probability, count);
    }
  }

  /** Log-likelihood over noise of the elements at these times, each taken as what it looks most like. */
  explained(times: Float64Array, known: Float64Array): number {
    const { markLevel, spaceLevel, noisePower } = this.level;
    let sum = 0;
    for (let i = 0; i < times.length; i++) {
      const [m, s] = this.magnitudesAt(times[i]);
      const mark = presence(m, markLevel, noisePower);
      const space = presence(s, spaceLevel, noisePower);
      if (known[i] === 1) sum += mark;
      else if (known[i] === 0) sum += space;
      else sum += Math.max(mark, space);
    }
    return sum;
  }

  /**
   * Offset left in each tone, from the turn between the two halves of each element, weighted by how surely the element
   * was that tone.
   */
  residualOffsets(times: Float64Array, known: Float64Array): TonePair {
    const half = this.elementSeconds / 2;
    let markRe = 0;
    let markIm = 0;
    let spaceRe = 0;
    let spaceIm = 0;
    for (let i = 0; i < times.length; i++) {
      const p = Number.isNaN(known[i]) ? 1 / (1 + Math.exp(-this.llr(times[i]))) : known[i];
      const turnMark = halvesTurn(this.mark, times[i], half);
      markRe += p * turnMark[0];
      markIm += p * turnMark[1];
      const turnSpace = halvesTurn(this.space, times[i], half);
      spaceRe += (1 - p) * turnSpace[0];
      spaceIm += (1 - p) * turnSpace[1];
    }
    const hz = 1 / (2 * Math.PI * half);
    return { markOffsetHz: Math.atan2(markIm, markRe) * hz, spaceOffsetHz: Math.atan2(spaceIm, spaceRe) * hz };
  }

  /** The same of both tones together, Hz, with its standard deviation as the elements' own spread gives it. */
  commonOffset(times: Float64Array): { readonly hz: number; readonly sigmaHz: number } {
    const half = this.elementSeconds / 2;
    const turns = Array.from(times, (at) => {
      const isMark = 1 / (1 + Math.exp(-this.llr(at)));
      const mark = halvesTurn(this.mark, at, half);
      const space = halvesTurn(this.space, at, half);
      return [0, 1].map((part) => isMark * mark[part] + (1 - isMark) * space[part]);
    });
    const re = turns.reduce((sum, turn) => sum + turn[0], 0);
    const im = turns.reduce((sum, turn) => sum + turn[1], 0);
    const length = Math.hypot(re, im);
    const across = turns.reduce((sum, turn) => sum + ((turn[1] * re - turn[0] * im) / length) ** 2, 0);
    const hz = 1 / (2 * Math.PI * half);
    return { hz: hz * Math.atan2(im, re), sigmaHz: (hz * Math.sqrt(across)) / length };
  }
}

function halvesTurn(tone: ToneCorrelator, at: number, half: number): [number, number] {
  tone.correlate(at, at + half);
  const re = tone.re;
  const im = tone.im;
  tone.correlate(at + half, at + 2 * half);
  return [tone.re * re + tone.im * im, tone.im * re - tone.re * im];
}
