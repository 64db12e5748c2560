import { useEffect, useLayoutEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { ApiProblem } from '../api/problem.ts';
import { attachGestures } from '../charts/gestures.ts';
import { inkOf } from '../charts/ink.ts';
import { ProblemNotice } from '../shell/notices.tsx';
import { inkChanges } from '../shell/theme.ts';
import { useWidth } from '../shell/use-width.ts';
import type { SoundPlayer } from '../sound/player.ts';
import type { SoundSource } from '../sound/source.ts';
import { positionText } from '../words/time.ts';
import type { Rgb } from './colour-map.ts';
import { HEIGHT, LEFT_ROOM, type MarkedBurst, PLOT_HEIGHT, placesIn } from './layout.ts';
import { Marks } from './marks.tsx';
import { Painter } from './painter.ts';
import { lengthOf, panned, type SoundWindow, zoomed } from './sound-window.ts';
import { spectraMaker } from './spectra-maker.ts';
import { levelFor, tilesFor } from './tile-grid.ts';
import { TileStore } from './tile-store.ts';
import './spectrogram.css';

const STEP = 1 / 50;
const LONG_STEP = 1 / 5;

export interface SpectrogramProps {
  readonly name: string;
  readonly source: SoundSource;
  readonly player: SoundPlayer;
  readonly window: SoundWindow;
  readonly bursts: readonly MarkedBurst[];
  /** Stretches that are picked out, those of chosen characters. */
  readonly picked?: readonly SoundWindow[];
  readonly onWindow: (window: SoundWindow) => void;
  /** A place was chosen, with the pointer or by keys. */
  readonly onSeek: (seconds: number) => void;
}

const rgbOf = (colour: string): Rgb => {
  const [r = 0, g = 0, b = 0] = (colour.match(/[\d.]+/g) ?? []).map(Number);
  return [r, g, b];
};

function describe({ name, window, bursts }: SpectrogramProps): string {
  const marked = bursts
    .filter(({ startSeconds, endSeconds }) => endSeconds > window.fromSeconds && startSeconds < window.toSeconds)
    .map(
      ({ index, startSeconds, endSeconds, markHz, spaceHz }) =>
        `burst ${index + 1} from ${positionText(startSeconds)} to ${positionText(endSeconds)}, mark ${markHz.toFixed(0)} hertz, space ${spaceHz.toFixed(0)} hertz`,
    );
  const stretch = `from ${positionText(window.fromSeconds)} to ${positionText(window.toSeconds)}, 0 to 3.6 kilohertz`;
  return `${name}, spectrogram ${stretch}: ${marked.length === 0 ? 'no burst' : marked.join('; ')}. Space plays, left and right seek, plus and minus zoom.`;
}

/**
 * Sound over time and frequency, time to the right, with its bursts marked. Drag, pinch and Ctrl-wheel move and zoom, a
 * click seeks; by keys it is a slider of the place that is heard.
 */
export function Spectrogram(props: SpectrogramProps) {
  const { name, source, player, window, bursts, picked = [], onWindow, onSeek } = props;
  const { ref, width } = useWidth();
  const canvas = useRef<HTMLCanvasElement>(null);
  const [round, setRound] = useState(0);
  const latest = useRef({ ...props, width });
  latest.current = { ...props, width };
  const whole = { fromSeconds: source.startSeconds, toSeconds: source.endSeconds };
  const plotWidth = Math.max(1, width - LEFT_ROOM);

  const store = useMemo(
    () =>
      new TileStore(
        source,
        (job) => spectraMaker().make(job),
        () => setRound((n) => n + 1),
      ),
    [source],
  );
  const wanted = useMemo(
    () => tilesFor(window, levelFor(lengthOf(window) / plotWidth), whole),
    [window, plotWidth, source],
  );
  useEffect(() => store.want(wanted), [store, wanted]);

  const inkRound = inkChanges.value;
  // the round stands for the theme, which the document holds
  const stops = useMemo((): [Rgb, Rgb, Rgb] => {
    const { paper, series, ink } = inkOf(document.body);
    return [rgbOf(paper), rgbOf(series), rgbOf(ink)];
  }, [inkRound]);
  const painter = useRef<Painter | null>(null);
  useLayoutEffect(() => {
    if (canvas.current === null) return;
    painter.current ??= new Painter(canvas.current);
    painter.current.paint(store.all(), wanted, window, stops, plotWidth, PLOT_HEIGHT);
  }, [store, wanted, window, stops, plotWidth, round]);

  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return;
    const wholeNow = (): SoundWindow => ({
      fromSeconds: latest.current.source.startSeconds,
      toSeconds: latest.current.source.endSeconds,
    });
    return attachGestures<SoundWindow>(element, {
      window: () => latest.current.window,
      pan: (now, share) => panned(now, share, wholeNow()),
      zoom: (now, factor, place) => zoomed(now, factor, place, wholeNow()),
      span: () => ({ left: LEFT_ROOM, width: Math.max(1, latest.current.width - LEFT_ROOM) }),
      onWindow: (next) => latest.current.onWindow(next),
      onChoose: (x) => latest.current.onSeek(placesIn(latest.current.window, latest.current.width).secondsAt(x)),
      onHover: () => {},
    });
  }, []);

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const place = player.place.peek();
    const step = lengthOf(window) * (event.shiftKey ? LONG_STEP : STEP);
    const next = bursts.find(({ startSeconds }) => startSeconds > place + 0.05);
    const before = bursts.findLast(({ startSeconds }) => startSeconds < place - 0.05);
    const actions: Readonly<Record<string, () => void>> = {
      ' ': () => player.toggle(),
      ArrowLeft: () => onSeek(place - step),
      ArrowRight: () => onSeek(place + step),
      PageUp: () => before !== undefined && onSeek(before.startSeconds),
      PageDown: () => next !== undefined && onSeek(next.startSeconds),
      Home: () => onSeek(source.startSeconds),
      End: () => onSeek(source.endSeconds),
      '+': () => onWindow(zoomed(window, 0.5, 0.5, whole)),
      '=': () => onWindow(zoomed(window, 0.5, 0.5, whole)),
      '-': () => onWindow(zoomed(window, 2, 0.5, whole)),
      '0': () => onWindow(whole),
    };
    const action = actions[event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  };

  const problem: ApiProblem | null = store.problem;
  return (
    <>
      <div
        class="spectrogram"
        ref={ref}
        role="slider"
        tabIndex={0}
        aria-label={describe(props)}
        aria-valuemin={source.startSeconds}
        aria-valuemax={source.endSeconds}
        aria-valuenow={Math.round(10 * player.place.value) / 10}
        aria-valuetext={positionText(player.place.value)}
        aria-busy={store.busy}
        style={{ height: `${HEIGHT}px` }}
        onKeyDown={onKeyDown}
      >
        <canvas ref={canvas} style={{ width: `${plotWidth}px`, height: `${PLOT_HEIGHT}px` }} />
        <Marks window={window} width={width} bursts={bursts} picked={picked} />
        <Cursor player={player} window={window} width={width} />
      </div>
      {problem !== null && (
        <ProblemNotice
          problem={problem}
          doing={`The sound of ${name} could not be fetched`}
          onRetry={() => {
            store.retry();
            setRound(round + 1);
          }}
        />
      )}
    </>
  );
}

/** Where the sound is; of its own, so that playing draws nothing else anew. */
function Cursor({
  player,
  window,
  width,
}: {
  readonly player: SoundPlayer;
  readonly window: SoundWindow;
  readonly width: number;
}) {
  const x = placesIn(window, width).x(player.place.value);
  return <div class="cursor" hidden={x < LEFT_ROOM - 1 || x > width + 1} style={{ transform: `translateX(${x}px)` }} />;
}
