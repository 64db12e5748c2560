import { StreamListening } from '../../../server/listen/listening.ts';
import type { StreamRunner } from '../../../server/listen/stream-runner.ts';

/** Decodes streams right here, a message at a time. */
export const inlineStreams: StreamRunner = {
  begin(options, tell) {
    let stopped = false;
    const listening = new StreamListening(options, (note) => {
      if (!stopped) tell(note);
    });
    return {
      push(bytes) {
        listening.take(bytes);
        setImmediate(() => {
          if (!stopped) tell({ type: 'taken', bytes: bytes.length });
        });
      },
      end() {
        listening.end();
        if (!stopped) tell({ type: 'ended' });
      },
      stop() {
        stopped = true;
      },
    };
  },
};
