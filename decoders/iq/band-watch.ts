import type { AudioBlock, BandInfo } from '../audio/types.ts';
import type { BurstCarrier } from '../signal/types.ts';
import type { ReadBurst } from '../teletype/read-acquired.ts';
import { HeldBlocks } from './held-blocks.ts';
import { IqReader, type IqReaderOptions } from './iq-reader.ts';
import { BandRecogniser, windowFrames } from './recognise.ts';

/** Looked back on when a band is recognised: what showed it began before, perhaps a burst. */
const HELD_WINDOWS = 4;

/**
 * Reads the first two channels of a stream as a complex band from when that is known: from the start where it is stated, else from
 * a few windows before the one that showed it. Until then the channels are sound, for somebody else to read.
 */
export class BandWatch {
  readonly #options: IqReaderOptions;
  readonly #recogniser: BandRecogniser;
  readonly #held: HeldBlocks;
  /** From here on the band has been read. */
  startSeconds = 0;
  #frames = 0;
  #info: BandInfo | null;
  #reader: IqReader | null = null;

  /** @param info null where nothing is stated. */
  constructor(options: IqReaderOptions, info: BandInfo | null) {
    this.#options = options;
    this.#info = info;
    this.#held = new HeldBlocks(HELD_WINDOWS * windowFrames(options.sampleRateHz));
    this.#recogniser = new BandRecogniser(options.sampleRateHz);
  }

  /** Null while the channels are sound. */
  get info(): BandInfo | null {
    return this.#info;
  }

  /** Takes a block; false when it is sound. */
  take(block: AudioBlock, onBurst: (read: ReadBurst) => void): boolean {
    this.#frames += block.frames;
    if (this.#info === null) {
      if (!this.#recognise(block)) return false;
      this.#info = { captures: [{ startSeconds: 0, centerHz: null, startedAt: null }] };
      const startFrame = this.#frames - this.#held.frames;
      this.startSeconds = startFrame / this.#options.sampleRateHz;
      this.#reader = new IqReader({ ...this.#options, startFrame });
      for (const held of this.#held.takeAll()) this.#push(held, onBurst);
      return true;
    }
    this.#reader ??= new IqReader(this.#options);
    this.#push(block, onBurst);
    return true;
  }

  end(onBurst: (read: ReadBurst) => void): void {
    this.#reader?.end((read) => onBurst(this.#onAir(read)));
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
    const [re, im] = channels.map((samples) => samples.subarray(0, frames));
    this.#reader?.push(re, im, (read) => onBurst(this.#onAir(read)));
  }

  /** The burst with its carrier's frequency on the air, where the band's middle is known. */
  #onAir(read: ReadBurst): ReadBurst {
    const { carrier } = read.burst;
    if (carrier === undefined) return read;
    const capture = this.#info?.captures.findLast(({ startSeconds }) => startSeconds <= carrier.seconds);
    const centerHz = capture?.centerHz ?? null;
    if (centerHz === null) return read;
    const placed: BurstCarrier = { ...carrier, absoluteHz: centerHz + carrier.carrierHz };
    return { ...read, burst: { ...read.burst, carrier: placed } };
  }
}
