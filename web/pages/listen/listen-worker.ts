import type { CapturedBlock } from './capture-worklet.ts';
import { KeepUp } from './keep-up.ts';
import { Listening, type ListeningNote, type ListeningOptions } from './listening.ts';

export type ListenJob =
  /** The samples come through the port of the message. */
  { readonly type: 'begin'; readonly options: ListeningOptions } | { readonly type: 'end' };

/** What the page hears; `ended` when all that was heard has been told. */
export type ListenNote =
  | ListeningNote
  | { readonly type: 'ended' }
  | { readonly type: 'failed'; readonly message: string };

let listening: Listening | null = null;

function tell(note: ListenNote): void {
  self.postMessage(note);
}

/** A fault of the decoder ends the listening with a word, not in silence. */
function guarded(work: () => void): void {
  try {
    work();
  } catch (error) {
    listening = null;
    tell({ type: 'failed', message: error instanceof Error ? error.message : String(error) });
  }
}

self.onmessage = ({ data, ports }: MessageEvent<ListenJob>): void =>
  guarded(() => {
    if (data.type === 'end') {
      listening?.end();
      listening = null;
      return tell({ type: 'ended' });
    }
    listening = new Listening(data.options, tell);
    const keepUp = new KeepUp();
    const [port] = ports;
    port.onmessage = ({ data: { samples, atMs } }: MessageEvent<CapturedBlock>) =>
      guarded(() => {
        if (!keepUp.mustDrop(atMs, Date.now())) listening?.take(samples, atMs);
      });
  });
