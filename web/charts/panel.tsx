import { useEffect, useLayoutEffect, useMemo, useRef } from 'preact/hooks';
import { StateMark } from '../marks/state-mark.tsx';
import { TrustMark, UnvouchedMark } from '../marks/trust-mark.tsx';
import { inkChanges } from '../shell/theme.ts';
import { numberText, unitText, valueText } from '../words/number.ts';
import { utcText } from '../words/time.ts';
import { attachGestures } from './gestures.ts';
import { inkOf } from './ink.ts';
import { extentOf, type LimitLine } from './limits.ts';
import type { Marks } from './marks-plugin.ts';
import { PanelChart, type PanelContent } from './panel-chart.ts';
import { type ChartPoint, type ChartSeries, nearestPoint, pointsWithin } from './points.ts';
import { momentAt, pan, type TimeWindow, zoom } from './time-window.ts';
import './charts.css';

const HOVER_REACH_PIXELS = 24;
const CHOOSE_REACH_PIXELS = 40;

export interface PanelProps {
  readonly series: ChartSeries;
  readonly limits: readonly LimitLine[];
  readonly window: TimeWindow;
  readonly ticksMs: readonly number[];
  /** Frame of the chosen point, marked in every panel. */
  readonly chosenFrame: string | null;
  /** The chosen point when it is one of this panel. */
  readonly chosenHere: boolean;
  readonly hoverMs: number | null;
  readonly onWindow: (window: TimeWindow) => void;
  readonly onHover: (ms: number | null) => void;
  readonly onChoose: (point: ChartPoint | null) => void;
}

function Readout({ series, point }: { readonly series: ChartSeries; readonly point: ChartPoint | null }) {
  if (point === null) return null;
  return (
    <>
      <strong>{valueText(point.value, series.unit, series.decimals)}</strong>
      <span>{utcText(point.atMs)}</span>
      <TrustMark trust={point.trust} />
      {!point.vouched && <UnvouchedMark />}
      {point.limit === 'soft' && <StateMark state="look" word="outside soft limits" />}
      {point.limit === 'hard' && <StateMark state="act" word="outside hard limits" />}
    </>
  );
}

/** One parameter over time: drag, pinch and Ctrl-wheel move and zoom, a click or the arrow keys choose a reading. */
export function Panel(props: PanelProps) {
  const { series, limits, window, ticksMs, chosenFrame, chosenHere, hoverMs } = props;
  const canvas = useRef<HTMLCanvasElement>(null);
  const field = useRef<HTMLDivElement>(null);
  const chart = useRef<PanelChart | null>(null);
  const latest = useRef(props);
  latest.current = props;

  const shown = useMemo(() => pointsWithin(series.points, window.fromMs, window.toMs), [series, window]);
  const extent = useMemo(
    () =>
      series.rows === null
        ? extentOf(
            shown.map(({ y }) => y),
            limits,
          )
        : { min: -0.5, max: series.rows.length - 0.5 },
    [series, shown, limits],
  );
  const inkRound = inkChanges.value;
  // the round stands for the theme, which the document holds
  const ink = useMemo(() => inkOf(document.body), [inkRound]);

  const marksNow = (): Marks => ({
    ink,
    points: series.points,
    limits,
    rows: series.rows,
    text: (y) => series.rows?.[y] ?? numberText(y, series.decimals),
    chosenFrame,
    hoverMs,
  });
  const content = (): PanelContent => ({
    window,
    ticksMs,
    line: series.line,
    extent,
    rows: series.rows,
    axisText: (y) => numberText(y),
    marks: marksNow(),
  });

  // the chart is made once and shown other content below
  useLayoutEffect(() => {
    if (canvas.current === null || field.current === null) return;
    const made = new PanelChart(canvas.current, content());
    chart.current = made;
    const detach = attachGestures(field.current, {
      window: () => latest.current.window,
      pan,
      zoom,
      span: () => made.span,
      onWindow: (next) => latest.current.onWindow(next),
      onHover: (x) => latest.current.onHover(x === null ? null : momentOf(x)),
      onChoose: (x, y) => choose(x, y),
    });
    const momentOf = (x: number): number => momentAt(latest.current.window, (x - made.span.left) / made.span.width);
    const choose = (x: number, y: number): void => {
      const { series: now, window: at, onChoose } = latest.current;
      const perPixel = (at.toMs - at.fromMs) / made.span.width;
      const distance = (point: ChartPoint): number =>
        Math.hypot((point.atMs - momentOf(x)) / perPixel, made.yOf(point.y) - y);
      const near = pointsWithin(now.points, momentOf(x - CHOOSE_REACH_PIXELS), momentOf(x + CHOOSE_REACH_PIXELS)).sort(
        (a, b) => distance(a) - distance(b),
      )[0];
      if (near !== undefined) onChoose(near);
    };
    return () => {
      detach();
      made.destroy();
      chart.current = null;
    };
  }, []);

  // what is marked upon the chart has an effect of its own
  useEffect(() => chart.current?.show(content()), [series, limits, window, ticksMs, extent, ink]);

  // only what is marked upon the chart changed
  useEffect(() => chart.current?.mark(marksNow()), [chosenFrame, hoverMs]);

  const chosen = chosenHere ? (series.points.find(({ frame }) => frame === chosenFrame) ?? null) : null;

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = (by: number): void => {
      const at = chosen === null ? -1 : shown.indexOf(chosen);
      const start = by > 0 ? -1 : shown.length;
      props.onChoose(shown[Math.min(Math.max((at < 0 ? start : at) + by, 0), shown.length - 1)] ?? null);
    };
    const actions: Readonly<Record<string, () => void>> = {
      ArrowLeft: () => (event.shiftKey ? props.onWindow(pan(window, -0.25)) : step(-1)),
      ArrowRight: () => (event.shiftKey ? props.onWindow(pan(window, 0.25)) : step(1)),
      Home: () => props.onChoose(shown[0] ?? null),
      End: () => props.onChoose(shown.at(-1) ?? null),
      '+': () => props.onWindow(zoom(window, 0.5)),
      '=': () => props.onWindow(zoom(window, 0.5)),
      '-': () => props.onWindow(zoom(window, 2)),
      Escape: () => props.onChoose(null),
    };
    const action = actions[event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  };

  const hovered = hoverMs === null ? null : nearestPoint(shown, hoverMs);
  const reach = ((window.toMs - window.fromMs) / (chart.current?.span.width ?? 600)) * HOVER_REACH_PIXELS;
  const read = hovered !== null && hoverMs !== null && Math.abs(hovered.atMs - hoverMs) < reach ? hovered : chosen;
  const unit = series.unit === null ? '' : `, ${unitText(series.unit)}`;

  return (
    <figure class="panel">
      <figcaption>
        <h2>
          {series.name}
          <span class="faint unit">{unit}</span>
        </h2>
        <p class="readout small" aria-live={hoverMs === null ? 'polite' : 'off'}>
          <Readout series={series} point={read} />
        </p>
      </figcaption>
      <div
        class={series.rows === null ? 'field' : 'field rows'}
        ref={field}
        role="application"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it takes keys, as its role says
        tabIndex={0}
        aria-label={`${series.name} over time, ${shown.length} readings. Left and right choose a reading, with Shift they move time, plus and minus zoom.`}
        onKeyDown={onKeyDown}
      >
        <canvas ref={canvas} />
        {shown.length === 0 && <p class="silent faint">Nothing was heard in this time.</p>}
      </div>
    </figure>
  );
}
