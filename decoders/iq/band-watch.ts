import type { AudioBlock, AudioProblem, BandInfo } from '../audio/types.ts';
import type { BurstCarrier } from '../signal/types.ts';
import type { ReadBurst } from '../teletype/read-acquired.ts';
import { HeldBlocks } from './held-blocks.ts';
import { IqReader, type IqReaderOptions } from './iq-reader.ts';
import { BandNarrower, type Narrowing, narrowingOf } from './narrowing.ts';
import { BandRecogniser, windowFrames } from './recognise.ts';

/** Looked back on when a band is recognised: what showed it began before, perhaps a burst. */
const HELD_WINDOWS = 4;

export interface BandWatchOptions extends Omit<IqReaderOptions, 'startFrame'> {
  /** Frequencies on the air of the beacons that are known, for bands too wide to be searched as a whole. */
  readonly downlinksHz?: readonly number[];
}

/**
 * Reads the first two channels of a stream as a complex band from when that is known: from the start where it is stated, else from
 * a few windows before the one that showed it. Until then the channels are sound, for somebody else to read.
 */
export class BandWatch {
  readonly #options: BandWatchOptions;
  readonly #recogniser: BandRecogniser;
  readonly #held: HeldBlocks;
  /** From here on the band has been read. */
  startSeconds = 0;
  #frames = 0;
  #info: BandInfo | null;
  #reader: IqReader | null = null;
  #narrowing: Narrowing | null = null;
  #narrower: BandNarrower | null = null;
  /** Frames left out so that the narrowed band begins at one of its own. */
  #leftOut = 0;

  /** @param info null where nothing is stated. */
  constructor(options: BandWatchOptions, info: BandInfo | null) {
    this.#options = options;
    this.#info = info;
    this.#held = new HeldBlocks(HELD_WINDOWS * windowFrames(options.sampleRateHz));
    this.#recogniser = new BandRecogniser(options.sampleRateHz);
  }

  /** Null while the channels are sound. */
  get info(): BandInfo | null {
    return this.#info;
  }

  /** Says which part of a band was searched; null where all of it was. */
  get problem(): AudioProblem | null {
    if (this.#narrowing === null) return null;
    const { offsetHz, passHz } = this.#narrowing;
    const centerHz = this.#info?.captures[0]?.centerHz ?? null;
    const middle = centerHz === null ? 'its middle' : `${((centerHz + offsetHz) / 1e6).toFixed(3)} MHz`;
    const kHz = (hz: number): number => Math.round(hz / 1000);
    const message =
      `The band is ${kHz(this.#options.sampleRateHz)} kHz wide: only ${kHz(2 * passHz)} kHz about ${middle} were searched, where ` +
      'the missions say that their beacons are, or in the middle. Cut out a narrower band for the rest.';
    return { code: 'band-narrowed', message, atSeconds: null };
  }

  /** Takes a block; false when it is sound. */
  take(block: AudioBlock, onBurst: (read: ReadBurst) => void): boolean {
    this.#frames += block.frames;
    if (this.#info === null) {
      if (!this.#recognise(block)) return false;
      this.#info = { captures: [{ startSeconds: 0, centerHz: null, startedAt: null }] };
      const startFrame = this.#frames - this.#held.frames;
      this.startSeconds = startFrame / this.#options.sampleRateHz;
      this.#reader = this.#begin(startFrame);
      for (const held of this.#held.takeAll()) this.#push(held, onBurst);
      return true;
    }
    this.#reader ??= this.#begin(0);
    this.#push(block, onBurst);
    return true;
  }

  end(onBurst: (read: ReadBurst) => void): void {
    const take = (read: ReadBurst): void => onBurst(this.#onAir(read));
    this.#narrower?.end((re, im) => this.#reader?.push(re, im, take));
    this.#reader?.end(take);
  }

  /** What reads the band, or the part of it that is searched, from a frame on. */
  #begin(startFrame: number): IqReader {
    const { downlinksHz = [], ...options } = this.#options;
    const { sampleRateHz } = options;
    const centerHz = this.#info?.captures[0]?.centerHz ?? null;
    this.#narrowing = narrowingOf(sampleRateHz, centerHz, downlinksHz);
    if (this.#narrowing === null) return new IqReader({ ...options, startFrame });
    const { decimation } = this.#narrowing;
    const first = Math.ceil(startFrame / decimation);
    this.#leftOut = first * decimation - startFrame;
    this.#narrower = new BandNarrower(sampleRateHz, this.#narrowing, first * decimation);
    return new IqReader({ ...options, sampleRateHz: sampleRateHz / decimation, startFrame: first });
  }

  /** Holds a block and looks at it as long as nothing is decided. Returns whether this is a band. */
  #recognise(block: AudioBlock): boolean {
    const { frames, channels } = block;
    if (channels.length !== 2 || this.#recogniser.verdict === 'sound') return false;
    this.#held.add(block);
    const verdict = this.#recogniser.add(channels[0].subarray(0, frames), channels[1].subarray(0, frames));
    if (verdict === 'sound') this.#held.takeAll();
    return verdict === 'band';
  }

  #push({ frames, channels }: AudioBlock, onBurst: (read: ReadBurst) => void): void {
    const take = (read: ReadBurst): void => onBurst(this.#onAir(read));
    const from = Math.min(frames, this.#leftOut);
    this.#leftOut -= from;
    const [re, im] = channels.map((samples) => samples.subarray(from, frames));
    if (this.#narrower === null) this.#reader?.push(re, im, take);
    else this.#narrower.push(re, im, (partRe, partIm) => this.#reader?.push(partRe, partIm, take));
  }

  /** The burst with its carrier's frequency from the band's middle, and on the air where that is known. */
  #onAir(found: ReadBurst): ReadBurst {
    const read = this.#narrowing === null ? found : movedBy(this.#narrowing.offsetHz, found);
    const { carrier } = read.burst;
    if (carrier === undefined) return read;
    const capture = this.#info?.captures.findLast(({ startSeconds }) => startSeconds <= carrier.seconds);
    const centerHz = capture?.centerHz ?? null;
    if (centerHz === null) return read;
    const placed: BurstCarrier = { ...carrier, absoluteHz: centerHz + carrier.carrierHz };
    return { ...read, burst: { ...read.burst, carrier: placed } };
  }
}

/** A burst of a part of a band, its frequencies counted from the middle of the whole. */
function movedBy(offsetHz: number, read: ReadBurst): ReadBurst {
  const { carrier, markHz, spaceHz } = read.burst;
  // Tones on an FM carrier are those of its audio.
  const toneOffsetHz = carrier?.modulation === 'fm' ? 0 : offsetHz;
  const tones = { markHz: markHz + toneOffsetHz, spaceHz: spaceHz + toneOffsetHz };
  if (carrier === undefined) return { ...read, burst: { ...read.burst, ...tones } };
  const moved: BurstCarrier = {
    ...carrier,
    carrierHz: carrier.carrierHz + offsetHz,
    track: carrier.track.map((point) => ({ ...point, carrierHz: point.carrierHz + offsetHz })),
  };
  return { ...read, burst: { ...read.burst, ...tones, carrier: moved } };
}
