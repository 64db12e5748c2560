export type Trust = 'confirmed' | 'probable' | 'doubtful';
export type ChecksumState = 'pass' | 'fail' | 'none';

/** Numbers for digits, hex, letters and symbols; the text itself for `oneOf`; null for "no value" or unreadable. */
export type RawValue = number | string | null;

export interface DecodedField {
  readonly raw: RawValue;
  /** As printed in the frame; empty when unreadable. */
  readonly text: string;
  /** Probability that `raw` is what was sent. */
  readonly confidence: number;
}

/** Why the decision fell as it did; kept with the frame as part of its origin. */
export interface FrameDecision {
  /** Posterior of the whole frame, checksum and all hypotheses included. */
  readonly posterior: number;
  /** (best free score - frame score) / characters, in nats: high for foreign text. */
  readonly foreignNatsPerCharacter: number;
  /** The best free reading differs from the accepted one. */
  readonly repaired: boolean;
  readonly notes: readonly string[];
}

export interface DecodedFrame {
  readonly frame: string;
  /** Printed text of the best reading. */
  readonly text: string;
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** False when the burst began after the frame's start or ended before its end. */
  readonly complete: boolean;
  readonly checksum: ChecksumState;
  readonly trust: Trust;
  readonly confidence: number;
  readonly fields: Readonly<Record<string, DecodedField>>;
  /** Printed characters of the frame in order, each with the slot of the burst that it came from. */
  readonly characters: readonly FrameCharacter[];
  readonly decision: FrameDecision;
}

export interface FrameCharacter {
  readonly text: string;
  readonly slot: number;
  readonly confidence: number;
  /** Field it belongs to; null for literals and checksums. */
  readonly field: string | null;
}
