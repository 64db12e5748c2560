import type { StreamNote, StreamOptions } from './listening.ts';

/** What a running stream says. */
export type RunNote =
  | StreamNote
  /** So many bytes have been decoded. */
  | { readonly type: 'taken'; readonly bytes: number }
  | { readonly type: 'ended' }
  | { readonly type: 'failed'; readonly message: string };

/** One stream being decoded, away from whoever gives it samples. */
export interface StreamRun {
  push(bytes: Uint8Array): void;
  end(): void;
  /** Gives it up: nothing more is said. */
  stop(): void;
}

/** Where live streams are decoded. */
export interface StreamRunner {
  begin(options: StreamOptions, tell: (note: RunNote) => void): StreamRun;
}
