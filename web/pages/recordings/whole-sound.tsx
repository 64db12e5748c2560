import { useMemo } from 'preact/hooks';
import type { Recording, RecordingBurst } from '../../../server/http/messages.ts';
import { SoundPlayer } from '../../sound/player.ts';
import { SoundPanel } from '../../sound/sound-panel.tsx';
import { recordingSound } from '../../sound/source.ts';

/** All of a recording, for its sender and the team: its bursts where they stand in it, and what is between them. */
export function WholeSound({
  recording: { id, audio },
  bursts,
}: {
  readonly recording: Recording;
  readonly bursts: readonly RecordingBurst[];
}) {
  const seconds = audio?.seconds ?? 0;
  const player = useMemo(() => new SoundPlayer(recordingSound(id, seconds)), [id, seconds]);
  return (
    <section class="stack">
      <h2>The whole recording</h2>
      <SoundPanel name="The whole recording" player={player} bursts={bursts} whole />
      <p class="small faint">
        Seen and heard by you and the team only. Where much time stands in little room each column shows a sample of its
        time.
      </p>
    </section>
  );
}
