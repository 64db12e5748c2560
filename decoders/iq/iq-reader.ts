import { createAcquirer } from '../signal/acquirer.ts';
import { WORKING_RATE_HZ } from '../signal/decimate.ts';
import { usualKernel } from '../signal/kernel/kernel.ts';
import { createSearchWorkshop } from '../signal/search-workshop.ts';
import type { Acquirer, Acquisition } from '../signal/types.ts';
import type { BurstReaderOptions } from '../teletype/burst-reader.ts';
import { MOST_MARGIN_SECONDS, type ReadBurst } from '../teletype/read-acquired.ts';
import { type Place, placeOf, readCopy, samePlace } from './band-copy.ts';
import { BandHistory } from './band-history.ts';
import { SLICE_CENTRE_HZ, SliceBank } from './slice-bank.ts';
import { Transmission } from './transmission.ts';

export interface IqReaderOptions extends Omit<BurstReaderOptions, 'startSeconds'> {
  /** Number of the first sample in the recording. Default 0. */
  readonly startFrame?: number;
}

/** Doppler of a low satellite at 2 m and, far from overhead, at 70 cm. */
const MOST_DRIFT = 100;
/** What is held of the band: enough for a long burst, the time a search takes and a second look. */
const MOST_HISTORY_SECONDS = 90;
/** Samples held at most, 8 bytes each. */
const MOST_HISTORY_SAMPLES = 2 ** 24;
/** All copies of a transmission are found within so long of the first: its side bands need not be seen to its very end. */
const COPIES_SECONDS = 15;
/** A transmission given out is remembered for so long, for what is found of it late. */
const REMEMBERED_SECONDS = 60;

/**
 * A complex band in, bursts out, wherever in the band they stand: keyed carriers and tones on FM carriers, drifting with Doppler.
 * Each overlapping slice of the band is searched as if it were audio; what is found is read in samples that follow its
 * drift. The side bands of an FM carrier are found like keyed carriers, far below the threshold of a discriminator, and
 * tell where the carrier is. Streaming: the same samples in other blocks give the same bursts, memory is bounded.
 */
export class IqReader {
  readonly #options: IqReaderOptions;
  readonly #bank: SliceBank;
  readonly #slices: readonly Acquirer[];
  readonly #history: BandHistory;
  readonly #tickSamples: number;
  readonly #startSeconds: number;
  #found: Acquisition[] = [];
  #open: Transmission[] = [];
  #given: Transmission[] = [];

  /** @throws FiveunitError `sample-rate-out-of-range` unless the rate lies in 8000..`WIDEST_WHOLE_HZ`. */
  constructor(options: IqReaderOptions) {
    const { sampleRateHz, bauds, startFrame = 0, onKeying } = options;
    this.#options = options;
    this.#startSeconds = startFrame / sampleRateHz;
    this.#bank = new SliceBank(sampleRateHz);
    const hints = bauds ? [{ bauds }, {}] : [];
    const workshop = createSearchWorkshop(usualKernel());
    this.#slices = this.#bank.centresHz.map((centreHz) =>
      createAcquirer({
        sampleRateHz: WORKING_RATE_HZ,
        hints,
        mostDriftHzPerSecond: MOST_DRIFT,
        workshop,
        ...(onKeying ? { onKeying: (keying) => onKeying(this.#inBand(keying, centreHz)) } : {}),
      }),
    );
    const samples = Math.min(MOST_HISTORY_SAMPLES, Math.ceil(MOST_HISTORY_SECONDS * sampleRateHz));
    this.#history = new BandHistory(sampleRateHz, samples, startFrame);
    this.#tickSamples = Math.ceil(sampleRateHz);
  }

  /** Takes samples of the two parts, as many of each. */
  push(re: Float32Array, im: Float32Array, onBurst: (read: ReadBurst) => void): void {
    for (let at = 0; at < re.length; ) {
      // What is ready is read at times of the stream's own, whatever its blocks.
      const taken = Math.min(re.length - at, this.#tickSamples - (this.#history.end % this.#tickSamples));
      const [inPhase, quadrature] = [re, im].map((part) => part.subarray(at, at + taken));
      this.#history.append(inPhase, quadrature);
      this.#bank.push(inPhase, quadrature, (slice, audio) =>
        this.#slices[slice].push(audio, (found) => this.#add(slice, found)),
      );
      at += taken;
      if (this.#history.end % this.#tickSamples === 0) this.#tick(this.#seconds, onBurst);
    }
  }

  end(onBurst: (read: ReadBurst) => void): void {
    this.#bank.end((slice, audio) => this.#slices[slice].push(audio, (found) => this.#add(slice, found)));
    for (const [slice, acquirer] of this.#slices.entries()) acquirer.end((found) => this.#add(slice, found));
    this.#tick(Number.POSITIVE_INFINITY, onBurst);
  }

  get #seconds(): number {
    return this.#history.end / this.#history.sampleRateHz;
  }

  #add(slice: number, found: Acquisition): void {
    this.#found.push(this.#inBand(found, this.#bank.centresHz[slice]));
  }

  #tick(nowSeconds: number, onBurst: (read: ReadBurst) => void): void {
    const isReady = ({ endSeconds }: Acquisition) => endSeconds + MOST_MARGIN_SECONDS <= nowSeconds;
    const ready = this.#found.filter(isReady).sort((a, b) => b.score - a.score);
    this.#found = this.#found.filter((found) => !isReady(found));
    for (const found of ready) this.#read(found, nowSeconds);
    const settled = this.#open.filter(({ readAtSeconds }) => readAtSeconds + COPIES_SECONDS <= nowSeconds);
    this.#open = this.#open.filter((each) => !settled.includes(each));
    const all = [...this.#open, ...settled, ...this.#given];
    const whole = settled.filter((transmission) => !all.some((other) => other.covers(transmission)));
    const bursts = whole.map((transmission) => transmission.settle(this.#history, this.#options));
    for (const read of bursts.sort((a, b) => a.burst.startSeconds - b.burst.startSeconds)) onBurst(read);
    this.#given = [...this.#given, ...settled].filter(
      ({ readAtSeconds }) => readAtSeconds + REMEMBERED_SECONDS > nowSeconds,
    );
  }

  #read(found: Acquisition, nowSeconds: number): void {
    const known = [...this.#open, ...this.#given];
    const isKnown = (place: Place) => known.some(({ copies }) => copies.some((copy) => samePlace(place, copy)));
    if (isKnown(placeOf(found))) return;
    const copy = readCopy(this.#history, found, this.#options);
    if (!copy || isKnown(copy)) return;
    const transmission = known.find((each) => each.holds(copy));
    if (transmission) transmission.copies.push(copy);
    else this.#open.push(new Transmission(copy, nowSeconds));
  }

  /** What was found in a slice, in times of the recording and frequencies of the band. */
  #inBand(found: Acquisition, centreHz: number): Acquisition {
    const moved = centreHz - SLICE_CENTRE_HZ;
    return {
      ...found,
      markHz: found.markHz + moved,
      spaceHz: found.spaceHz + moved,
      startSeconds: found.startSeconds + this.#startSeconds,
      endSeconds: found.endSeconds + this.#startSeconds,
      characterPhaseSeconds: found.characterPhaseSeconds + this.#startSeconds,
    };
  }
}
