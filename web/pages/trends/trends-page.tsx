import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Now } from '../../../server/http/messages.ts';
import { address, go } from '../../address/location.ts';
import { getNow, getReadings } from '../../api/endpoints.ts';
import { touchesMission, useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { limitLines } from '../../charts/limits.ts';
import { Panel } from '../../charts/panel.tsx';
import { LEFT_ROOM, RIGHT_ROOM } from '../../charts/panel-chart.ts';
import { type ChartSeries, chartSeries } from '../../charts/points.ts';
import { TimeAxis } from '../../charts/time-axis.tsx';
import { timeTicks } from '../../charts/time-ticks.ts';
import { pan, type TimeWindow, zoom } from '../../charts/time-window.ts';
import { nowMs } from '../../shell/clock.ts';
import { hrefOf, phase } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { useMedia } from '../../shell/use-media.ts';
import { useWidth } from '../../shell/use-width.ts';
import { byGroup } from '../now/groups.ts';
import { NothingHeard } from '../now/nothing-heard.tsx';
import { Controls } from './controls.tsx';
import { OriginPane } from './origin-pane.tsx';
import { SeriesTable } from './series-table.tsx';
import { SilentRange } from './silent-range.tsx';
import { type ChosenPoint, readView, type TrendsView, viewQuery, windowOf } from './view.ts';
import './trends.css';

const SETTLE_MS = 250;
/** Room for the widest label of the time axis. */
const PIXELS_PER_TICK = 64;
/** So much more than what is seen is fetched on either side, for panning without blank edges. */
const MARGIN = 0.25;
/** So many of each group are shown when nobody asked for anything else. */
const USUAL_OF_A_GROUP = 2;
const WIDE = '(min-width: 64rem)';

/** What is shown when nobody asked for anything else: the first numbers of each group of the first page. */
function usualParameters(now: Now): string[] {
  const numbers = now.parameters.filter(({ last }) => typeof last?.value === 'number');
  const { places, others } = byGroup(numbers);
  const groups = places.length > 0 ? places : others;
  return groups.flatMap((group) => group.parameters.slice(0, USUAL_OF_A_GROUP).map(({ parameter }) => parameter));
}

/** Puts a view into the address. */
function show(view: TrendsView, how: 'push' | 'replace'): void {
  go(hrefOf('trends', null, viewQuery(view)), how);
}

export default function TrendsPage({ mission }: { readonly mission: string }) {
  const {
    value: now,
    problem,
    reload,
  } = useResource(`now ${mission} ${phase.value}`, (signal) => getNow(mission, phase.value, signal));
  if (now === null) {
    return problem === null ? (
      <Loading what="the parameters" />
    ) : (
      <ProblemNotice page problem={problem} doing="The parameters could not be listed" onRetry={reload} />
    );
  }
  if (now.lastHeard === null) return <NothingHeard page />;
  return <Trends mission={mission} now={now} lastHeard={now.lastHeard} onNews={reload} />;
}

interface TrendsProps {
  readonly mission: string;
  readonly now: Now;
  readonly lastHeard: NonNullable<Now['lastHeard']>;
  readonly onNews: () => void;
}

function Trends({ mission, now, lastHeard, onNews }: TrendsProps) {
  const { query } = address.value;
  const view = useMemo(() => readView(query), [query]);
  const known = new Set(now.parameters.map(({ parameter }) => parameter));
  const asked = view.parameters.filter((id) => known.has(id));
  const parameters = asked.length > 0 ? asked : usualParameters(now);

  const [openedMs, setOpenedMs] = useState(nowMs.peek());
  const [window, setWindow] = useState(() => windowOf(view.range, openedMs));
  const [hoverMs, setHoverMs] = useState<number | null>(null);
  const { ref, width } = useWidth();
  const wide = useMedia(WIDE);
  const rangeText = JSON.stringify(view.range);

  // the text says when the range means something else
  useEffect(() => setWindow(windowOf(view.range, openedMs)), [rangeText, openedMs]);

  const latestView = useRef(view);
  latestView.current = view;
  const settling = useRef(0);
  useEffect(() => () => clearTimeout(settling.current), []);
  const moveTo = (next: TimeWindow): void => {
    setWindow(next);
    clearTimeout(settling.current);
    settling.current = Number(setTimeout(() => show({ ...latestView.current, range: next }, 'replace'), SETTLE_MS));
  };

  const settled = windowOf(view.range, openedMs);
  const length = settled.toMs - settled.fromMs;
  const plot = Math.max(100, width - LEFT_ROOM - RIGHT_ROOM);
  const [news, setNews] = useState(0);
  const readings = useResource(
    `readings ${mission} ${phase.value} ${parameters.join(' ')} ${view.doubtful}`,
    (signal) =>
      getReadings(
        mission,
        {
          parameter: parameters,
          from: new Date(settled.fromMs - MARGIN * length).toISOString(),
          to: new Date(settled.toMs + MARGIN * length).toISOString(),
          points: Math.min(5000, Math.ceil(plot * (1 + 2 * MARGIN))),
          trust: view.doubtful ? 'doubtful' : 'probable',
          phase: phase.value,
        },
        signal,
      ),
    `${settled.fromMs} ${settled.toMs} ${Math.ceil(plot / 200)} ${news}`,
  );
  useNews(
    (note) => touchesMission(note, mission),
    () => {
      onNews();
      setOpenedMs(nowMs.peek());
      setNews((n) => n + 1);
    },
  );

  const all = useMemo(() => readings.value?.series.map(chartSeries) ?? [], [readings.value]);
  const ticks = useMemo(
    () => timeTicks(window.fromMs, window.toMs, Math.max(2, plot / PIXELS_PER_TICK)),
    [window, plot],
  );
  const ticksMs = useMemo(() => ticks.map(({ atMs }) => atMs), [ticks]);
  const limits = useMemo(
    () => new Map(now.parameters.map(({ parameter, limit }) => [parameter, limitLines(limit)])),
    [now],
  );

  const choose = (point: ChosenPoint | null): void => show({ ...view, point }, 'replace');
  const pane = <OriginPane mission={mission} point={view.point} onClose={() => choose(null)} />;
  const silent = readings.value !== null && all.every(({ points }) => points.length === 0);

  const block = (series: ChartSeries) => {
    const chosenHere = view.point?.parameter === series.parameter;
    return (
      <div class="panel-block" key={series.parameter}>
        <Panel
          series={series}
          limits={limits.get(series.parameter) ?? []}
          window={window}
          ticksMs={ticksMs}
          chosenFrame={view.point?.frame ?? null}
          chosenHere={chosenHere}
          hoverMs={hoverMs}
          onWindow={moveTo}
          onHover={setHoverMs}
          onChoose={(point) => choose(point === null ? null : { parameter: series.parameter, frame: point.frame })}
        />
        <SeriesTable
          series={series}
          window={window}
          onChoose={(frame) => choose({ parameter: series.parameter, frame })}
        />
        {!wide && chosenHere && pane}
      </div>
    );
  };

  return (
    <div class="trends">
      <h1 class="only-heard">Trends of {now.name}</h1>
      <Controls
        now={now}
        view={view}
        parameters={parameters}
        window={window}
        onView={(next) => show(next, 'push')}
        onRange={(range) => {
          setOpenedMs(nowMs.peek());
          show({ ...view, range }, 'push');
        }}
        onPan={(share) => moveTo(pan(window, share))}
        onZoom={(factor) => moveTo(zoom(window, factor))}
      />
      {readings.problem !== null && (
        <ProblemNotice problem={readings.problem} doing="The readings could not be loaded" onRetry={readings.reload} />
      )}
      <div class="panels" ref={ref}>
        {readings.value === null && readings.problem === null && <Loading what="the readings" />}
        {silent && <SilentRange lastHeard={lastHeard} onRange={(range) => show({ ...view, range }, 'push')} />}
        {all.map(block)}
        {all.length > 0 && (
          <div class="axis-place">
            <TimeAxis window={window} ticks={ticks} width={width} />
          </div>
        )}
        {all.some(({ thinned }) => thinned) && (
          <p class="small faint">
            So long a stretch is thinned; the least and the greatest reading of every part are kept. Zoom in for all.
          </p>
        )}
        {!wide && view.point !== null && !parameters.includes(view.point.parameter) && pane}
      </div>
      {wide && <aside aria-label="Origin of the chosen reading">{pane}</aside>}
      <p class="small faint unprinted hints">
        Drag to move in time, pinch or <kbd>Ctrl</kbd> and wheel to zoom, choose a point to see where it came from. On a
        chart, <kbd>←</kbd> <kbd>→</kbd> go from reading to reading, <kbd>+</kbd> <kbd>−</kbd> zoom.{' '}
        <a href={hrefOf('now')}>What the marks mean</a>
      </p>
    </div>
  );
}
