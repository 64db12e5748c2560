/** An endless sound, made block by block: an hour costs no more memory than a block. */
export interface Source {
  /** Writes the next `block.length` samples over what stands in `block`. */
  fill(block: Float32Array): void;
}

/** The same of complex samples: a band about a carrier. */
export interface ComplexSource {
  /** Writes the next samples over what stands in `re` and `im`, which are of one length. */
  fill(re: Float32Array, im: Float32Array): void;
}

/** What every kind of material is made with. */
export interface MaterialOptions {
  readonly sampleRateHz: number;
  /** Any whole number: the same seed gives the same sound, in blocks of any size. */
  readonly seed: number;
  /** Amplitude scale; 1 (default) puts the peaks of most material near 0.5. */
  readonly gain?: number;
}

/** Several sounds at once. */
export function mix(...sources: readonly Source[]): Source {
  let scratch = new Float32Array(0);
  return {
    fill(block) {
      if (scratch.length < block.length) scratch = new Float32Array(block.length);
      const part = scratch.subarray(0, block.length);
      block.fill(0);
      for (const source of sources) {
        source.fill(part);
        for (let i = 0; i < block.length; i++) block[i] += part[i];
      }
    },
  };
}

/** A given sound over and over; silence when it is empty. */
export function loop(samples: Float32Array): Source {
  let at = 0;
  return {
    fill(block) {
      if (samples.length === 0) block.fill(0);
      else {
        for (let i = 0; i < block.length; i++) {
          block[i] = samples[at];
          at = at + 1 === samples.length ? 0 : at + 1;
        }
      }
    },
  };
}

/** Whole seconds of a source as one array, for tests and short sounds. */
export function take(source: Source, samples: number): Float32Array {
  const out = new Float32Array(samples);
  source.fill(out);
  return out;
}

/** Length of the pieces that `inPieces` asks for. */
export const PIECE_SAMPLES = 512;

/**
 * A sound that `render` makes in pieces of one fixed size, so that it is the same, bit for bit, in blocks of any size.
 * `render` adds to a piece of zeros.
 */
export function inPieces(render: (piece: Float32Array) => void): Source {
  const piece = new Float32Array(PIECE_SAMPLES);
  let used = piece.length;
  return {
    fill(block) {
      for (let at = 0; at < block.length; ) {
        if (used === piece.length) {
          piece.fill(0);
          render(piece);
          used = 0;
        }
        const count = Math.min(piece.length - used, block.length - at);
        block.set(piece.subarray(used, used + count), at);
        used += count;
        at += count;
      }
    },
  };
}

/** One event of `eventSource`. */
export interface SoundEvent {
  /** Length, 1 or more. */
  readonly samples: number;
  /** Adds the event's samples `from`..`to` (`to` not included) to `piece` from index `at` on. Called in order. */
  readonly addTo: (piece: Float32Array, at: number, from: number, to: number) => void;
}

/** A sound made of events, one after another: `next` is asked for an event when the last one has run out. */
export function eventSource(next: () => SoundEvent): Source {
  let event = pause(1);
  let done = 1;
  return inPieces((piece) => {
    for (let at = 0; at < piece.length; ) {
      if (done >= event.samples) {
        event = next();
        done = 0;
      }
      const count = Math.min(event.samples - done, piece.length - at);
      event.addTo(piece, at, done, done + count);
      done += count;
      at += count;
    }
  });
}

/** An event in which nothing sounds. */
export function pause(samples: number): SoundEvent {
  return { samples: Math.max(1, Math.round(samples)), addTo: () => {} };
}
