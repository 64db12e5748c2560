import { useEffect, useRef, useState } from 'preact/hooks';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { PRACTICE_CALL_SIGN, practiceOf } from '../../../decoders/mission/practice.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { randomValues } from '../../../decoders/simulate/random-values.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { ProblemNotice } from '../../shell/notices.tsx';
import { holdScreen } from '../listen/wake-lock.ts';
import { beaconSound } from './sample.ts';

const INTERVALS_SECONDS = [15, 30, 60];

/** The text of the n-th transmission: a frame of each kind in turn, with values that mean nothing. */
export function practiceText(practice: Mission, random: Random, n: number): string {
  const frame = practice.frames[n % practice.frames.length];
  return frame === undefined ? practice.callSign : renderFrame(practice, frame.id, randomValues(frame.layout, random));
}

/** Plays transmissions one after another until it is told to stop; at least a second lies between two. */
function playOn(
  practice: Mission,
  intervalSeconds: number,
  onText: (text: string) => void,
  onFailure: (error: unknown) => void,
): () => void {
  const letSleep = holdScreen();
  const random = new Random(Date.now());
  const audio = new Audio();
  let timer: number | undefined;
  let url: string | null = null;
  const next = (n: number): void => {
    const text = practiceText(practice, random, n);
    const { wav, seconds } = beaconSound(practice.beacon, text);
    if (url !== null) URL.revokeObjectURL(url);
    url = URL.createObjectURL(wav);
    audio.src = url;
    onText(text);
    timer = window.setTimeout(() => next(n + 1), 1000 * Math.max(intervalSeconds, seconds + 1));
    audio.play().catch(onFailure);
  };
  next(0);
  return () => {
    window.clearTimeout(timer);
    audio.pause();
    if (url !== null) URL.revokeObjectURL(url);
    letSleep();
  };
}

/** The beacon, played from one telephone to another, under a call sign that nothing takes for the satellite's. */
export function Practice({ mission }: { readonly mission: Mission }) {
  const [intervalSeconds, setInterval] = useState(INTERVALS_SECONDS[0] ?? 15);
  const [text, setText] = useState<string | null>(null);
  const [problem, setProblem] = useState<ApiProblem | null>(null);
  const stop = useRef<(() => void) | null>(null);
  const practice = practiceOf(mission);

  const end = (): void => {
    stop.current?.();
    stop.current = null;
    setText(null);
  };
  useEffect(() => () => stop.current?.(), []);

  if (practice === null) {
    return (
      <p>
        There is no practice for {mission.name}: some of its frames do not name the satellite, so practice could be
        taken for flight.
      </p>
    );
  }
  const start = (): void => {
    setProblem(null);
    stop.current = playOn(practice, intervalSeconds, setText, (error) => {
      end();
      setProblem(asProblem(error));
    });
  };
  return (
    <>
      <p>
        Play the beacon here and listen with another telephone. It calls itself <code>{PRACTICE_CALL_SIGN}</code> and
        its values mean nothing: no frame of the satellite is ever read from it, and a line of it that is sent is always
        kept with the rehearsal. It is for the ear only: <strong>never put it on the air.</strong>
      </p>
      <div class="row foot-aligned">
        <label>
          <span>One transmission every</span>
          <select
            value={intervalSeconds}
            disabled={text !== null}
            onChange={(event) => setInterval(Number(event.currentTarget.value))}
          >
            {INTERVALS_SECONDS.map((seconds) => (
              <option key={seconds} value={seconds}>
                {seconds} s
              </option>
            ))}
          </select>
        </label>
        <button type="button" onClick={text === null ? start : end}>
          {text === null ? 'Start practice' : 'Stop practice'}
        </button>
      </div>
      {text !== null && (
        <p role="status">
          <span class="small faint">Practice, not flight:</span> <code class="frame-text">{text}</code>
        </p>
      )}
      {problem !== null && <ProblemNotice problem={problem} doing="The beacon could not be played" />}
    </>
  );
}
