import { effect } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { ProblemNotice } from '../shell/notices.tsx';
import { useSeen } from '../shell/use-seen.ts';
import { HEIGHT, type MarkedBurst } from '../spectrogram/layout.ts';
import { lengthOf, type SoundWindow, showing, zoomed } from '../spectrogram/sound-window.ts';
import { Spectrogram } from '../spectrogram/spectrogram.tsx';
import { positionText } from '../words/time.ts';
import type { SoundPlayer } from './player.ts';
import './sound-panel.css';

/** Of longer sound a part is shown first. */
const FIRST_SECONDS = 30;
/** A greater step of the place is a jump, which the picture follows; smaller ones it follows to its edge. */
const JUMP_SECONDS = 0.5;

function Place({ player }: { readonly player: SoundPlayer }) {
  return (
    <span class="place">
      {positionText(player.place.value)}
      <span class="faint"> of {positionText(player.source.endSeconds)}</span>
    </span>
  );
}

/** Sound to look at and to listen to: a spectrogram, and what it takes to play it. */
export function SoundPanel({
  name,
  player,
  bursts,
  picked = [],
  whole: showsWhole = false,
  onSeek,
}: {
  readonly name: string;
  readonly player: SoundPlayer;
  readonly bursts: readonly MarkedBurst[];
  readonly picked?: readonly SoundWindow[];
  /** Begins with all of the sound, however long. */
  readonly whole?: boolean;
  readonly onSeek?: (seconds: number) => void;
}) {
  const { source } = player;
  const whole = { fromSeconds: source.startSeconds, toSeconds: source.endSeconds };
  const [window, setWindow] = useState<SoundWindow>(() =>
    showsWhole || lengthOf(whole) <= FIRST_SECONDS
      ? whole
      : { fromSeconds: whole.fromSeconds, toSeconds: whole.fromSeconds + FIRST_SECONDS },
  );
  const panel = useRef<HTMLElement>(null);
  const seen = useSeen(panel);

  // the picture follows the place, but for a viewer who has moved away from it
  useEffect(() => {
    let before = player.place.peek();
    return effect(() => {
      const place = player.place.value;
      const jumped = Math.abs(place - before) > JUMP_SECONDS;
      const last = before;
      before = place;
      setWindow((now) => {
        const wasInSight = last >= now.fromSeconds && last <= now.toSeconds;
        return jumped || wasInSight ? showing(now, place, whole) : now;
      });
    });
  }, [player]);
  useEffect(() => () => player.rest(), [player]);

  const problem = player.problem.value;
  return (
    <section class="sound" ref={panel} aria-label={name}>
      {seen ? (
        <Spectrogram
          name={name}
          source={source}
          player={player}
          window={window}
          bursts={bursts}
          picked={picked}
          onWindow={setWindow}
          onSeek={(seconds) => {
            player.seek(seconds);
            onSeek?.(player.place.peek());
          }}
        />
      ) : (
        <div style={{ height: `${HEIGHT}px` }} />
      )}
      <div class="row unprinted">
        <button type="button" class="play" onClick={() => player.toggle()}>
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d={player.plays.value ? 'M2 1h4v12h-4zM8 1h4v12h-4z' : 'M2 1l11 6l-11 6z'} fill="currentColor" />
          </svg>
          {player.plays.value ? 'Pause' : 'Play'}
        </button>
        <Place player={player} />
        <span class="zoom">
          <button type="button" aria-label="Zoom in" onClick={() => setWindow(zoomed(window, 0.5, 0.5, whole))}>
            +
          </button>
          <button type="button" aria-label="Zoom out" onClick={() => setWindow(zoomed(window, 2, 0.5, whole))}>
            −
          </button>
          <button type="button" onClick={() => setWindow(whole)}>
            All of it
          </button>
        </span>
      </div>
      {problem !== null && <ProblemNotice problem={problem} doing="It could not be played" />}
    </section>
  );
}
