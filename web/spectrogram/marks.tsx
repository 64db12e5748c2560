import { useId } from 'preact/hooks';
import { positionText } from '../words/time.ts';
import {
  HEIGHT,
  LEFT_ROOM,
  type MarkedBurst,
  NAMES_HEIGHT,
  namesOf,
  outlineOf,
  PLOT_HEIGHT,
  type Places,
  placesIn,
} from './layout.ts';
import { lengthOf, type SoundWindow, secondTicks } from './sound-window.ts';

const BOTTOM = NAMES_HEIGHT + PLOT_HEIGHT;
const KILOHERTZ = [1, 2, 3];
const TICK_ROOM = 76;
/** Tones are told where their burst is wide enough to be looked at, in pixels. */
const TOLD_FROM = 90;

/** The tones of a burst at the right edge of what is to be seen of it: a full mark for mark, an open one for space. */
function Tones({
  burst,
  places,
  width,
}: {
  readonly burst: MarkedBurst;
  readonly places: Places;
  readonly width: number;
}) {
  const { startSeconds, endSeconds, markHz, spaceHz, driftHzPerSecond } = burst;
  const right = Math.min(places.x(endSeconds), width);
  if (right - Math.max(places.x(startSeconds), LEFT_ROOM) < TOLD_FROM || right < LEFT_ROOM) return null;
  const seconds = places.secondsAt(right);
  const toneAt = (hz: number): number => hz + driftHzPerSecond * (seconds - (startSeconds + endSeconds) / 2);
  const outside = right + 80 < width;
  return (
    <>
      {(['mark', 'space'] as const).map((what) => {
        const hz = what === 'mark' ? markHz : spaceHz;
        const y = places.y(toneAt(hz));
        const upper = hz >= Math.max(markHz, spaceHz);
        return (
          <g key={what} class="tone" transform={`translate(${right.toFixed(1)} ${y.toFixed(1)})`}>
            <path class={what} d="M0 0l7 -4v8z" transform={outside ? '' : 'scale(-1 1)'} />
            <text x={outside ? 10 : -10} y={upper ? -1 : 10} text-anchor={outside ? 'start' : 'end'}>
              {what} {hz.toFixed(0)}
            </text>
          </g>
        );
      })}
    </>
  );
}

/** What is drawn upon a spectrogram: bursts by outline and name, their tones, what is picked out, and both axes. */
export function Marks({
  window,
  width,
  bursts,
  picked,
}: {
  readonly window: SoundWindow;
  readonly width: number;
  readonly bursts: readonly MarkedBurst[];
  readonly picked: readonly SoundWindow[];
}) {
  const plot = useId();
  const places = placesIn(window, width);
  const inSight = bursts.filter(
    ({ startSeconds, endSeconds }) => endSeconds > window.fromSeconds && startSeconds < window.toSeconds,
  );
  const fine = lengthOf(window) < 8;
  return (
    <svg width={width} height={HEIGHT} aria-hidden="true">
      <defs>
        <clipPath id={plot}>
          <rect x={LEFT_ROOM} y={NAMES_HEIGHT} width={Math.max(0, width - LEFT_ROOM)} height={PLOT_HEIGHT} />
        </clipPath>
      </defs>
      <g clip-path={`url(#${plot})`}>
        {picked.map(({ fromSeconds, toSeconds }) => {
          const x = places.x(fromSeconds);
          const w = Math.max(2, places.x(toSeconds) - x);
          return (
            <g key={fromSeconds} class="picked">
              <rect x={x} y={NAMES_HEIGHT} width={w} height={PLOT_HEIGHT} />
              <path d={`M${x} ${BOTTOM - 9}v8h${w}v-8`} />
            </g>
          );
        })}
        {inSight.map((burst) => (
          <polygon key={burst.index} class="outline" points={outlineOf(burst, places)} />
        ))}
      </g>
      {inSight.map((burst) => (
        <Tones key={burst.index} burst={burst} places={places} width={width} />
      ))}
      {namesOf(bursts, places, width).map(({ index, text, x }) => (
        <g key={index} class="name">
          <path d={`M${x} ${NAMES_HEIGHT}v-14`} />
          <text x={x + 4} y="14">
            {text}
          </text>
        </g>
      ))}
      <rect
        class="frame"
        x={LEFT_ROOM - 0.5}
        y={NAMES_HEIGHT - 0.5}
        width={Math.max(0, width - LEFT_ROOM)}
        height={PLOT_HEIGHT + 1}
      />
      {KILOHERTZ.map((kilohertz) => (
        <text key={kilohertz} class="axis" x={LEFT_ROOM - 5} y={places.y(1000 * kilohertz) + 4} text-anchor="end">
          {kilohertz === 3 ? '3 k' : kilohertz}
        </text>
      ))}
      <text class="axis" x={LEFT_ROOM - 5} y={BOTTOM} text-anchor="end">
        Hz
      </text>
      {secondTicks(window, (width - LEFT_ROOM) / TICK_ROOM).map((seconds) => {
        const x = places.x(seconds);
        const text = positionText(seconds);
        return (
          <g key={seconds}>
            <path class="tick" d={`M${x.toFixed(1)} ${BOTTOM}v5`} />
            {x > LEFT_ROOM + 16 && x < width - 18 && (
              <text class="axis" x={x} y={BOTTOM + 18} text-anchor="middle">
                {fine ? text : text.replace(/\.\d$/, '')}
              </text>
            )}
          </g>
        );
      })}
    </svg>
  );
}
