import type { AudioBlock } from '../audio/types.ts';
import { BurstListener } from '../iq/burst-sound.ts';
import { createDecimator, WORKING_RATE_HZ } from '../signal/decimate.ts';
import { keyedPlace } from './keyed-place.ts';
import type { BurstStretch } from './types.ts';

/** Sound of one channel. */
export interface Sound {
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
}

/** Takes a stretch of a recording frame by frame, and makes it sound. */
export interface StretchSound {
  /** Takes the frames of a block from `from` up to `to`. */
  push(block: AudioBlock, from: number, to: number): void;
  end(): Sound;
}

/** One channel as it is. */
export class ChannelSound implements StretchSound {
  readonly #channel: number;
  readonly #sampleRateHz: number;
  readonly #samples: Float32Array;
  #filled = 0;

  constructor({ channel }: BurstStretch, sampleRateHz: number, frames: number) {
    this.#channel = channel;
    this.#sampleRateHz = sampleRateHz;
    this.#samples = new Float32Array(frames);
  }

  push({ channels }: AudioBlock, from: number, to: number): void {
    this.#samples.set(channels[this.#channel].subarray(from, to), this.#filled);
    this.#filled += to - from;
  }

  end(): Sound {
    return { samples: this.#samples.subarray(0, this.#filled), sampleRateHz: Math.round(this.#sampleRateHz) };
  }
}

/** A burst of a complex band, made heard at the rate at which bursts are searched. */
export class BandSound implements StretchSound {
  readonly #listener: BurstListener;

  constructor({ bursts: [burst] }: BurstStretch, sampleRateHz: number, firstFrame: number) {
    const { carrier, middleHz } = keyedPlace(burst);
    this.#listener = new BurstListener(sampleRateHz, carrier, firstFrame, middleHz);
  }

  push({ channels: [re, im] }: AudioBlock, from: number, to: number): void {
    this.#listener.push(re.subarray(from, to), im.subarray(from, to));
  }

  end(): Sound {
    const { samples: heard, rateHz } = this.#listener.end();
    const samples = new Float32Array(Math.ceil((heard.length * WORKING_RATE_HZ) / rateHz));
    let filled = 0;
    const take = (block: Float32Array): void => {
      samples.set(block, filled);
      filled += block.length;
    };
    const decimator = createDecimator(rateHz);
    decimator.push(heard, take);
    decimator.end(take);
    return { samples: samples.subarray(0, filled), sampleRateHz: WORKING_RATE_HZ };
  }
}
