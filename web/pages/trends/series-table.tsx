import { useState } from 'preact/hooks';
import { type ChartPoint, type ChartSeries, pointsWithin } from '../../charts/points.ts';
import type { TimeWindow } from '../../charts/time-window.ts';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { Scroll } from '../../shell/scroll.tsx';
import { countText, valueText } from '../../words/number.ts';
import { utcText } from '../../words/time.ts';

/** More rows than this nobody reads; the copy holds all. */
const MOST_ROWS = 200;

/** The readings as tab-separated lines, as spreadsheets take them. */
export function tabSeparated(series: ChartSeries, points: readonly ChartPoint[]): string {
  const head = [
    'time',
    `${series.name}${series.unit === null ? '' : ` (${series.unit})`}`,
    'trust',
    'vouched',
    'limit',
    'frame',
  ];
  const lines = points.map(({ atMs, value, trust, vouched, limit, frame }) =>
    [new Date(atMs).toISOString(), value, trust, vouched ? 'yes' : 'no', limit ?? '', frame].join('\t'),
  );
  return `${[head.join('\t'), ...lines].join('\n')}\n`;
}

function CopyButton({ text }: { readonly text: () => string }) {
  const [said, setSaid] = useState('Copy all');
  if (!('clipboard' in navigator)) return null;
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text());
      setSaid('Copied');
    } catch {
      setSaid('The browser did not allow it');
    }
  };
  return (
    <button type="button" onClick={copy}>
      {said}
    </button>
  );
}

/** The table behind a chart: what is in the window, newest first, made only when it is opened. */
export function SeriesTable({
  series,
  window,
  onChoose,
}: {
  readonly series: ChartSeries;
  readonly window: TimeWindow;
  readonly onChoose: (frame: string) => void;
}) {
  const [open, setOpen] = useState(false);
  const points = pointsWithin(series.points, window.fromMs, window.toMs);
  return (
    <details class="series-table" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary class="small">
        {countText(points.length, 'reading')} as a table<span class="only-heard">, {series.name}</span>
      </summary>
      {open && (
        <div class="stack">
          <Scroll name={`${series.name}, readings`}>
            <table>
              <thead>
                <tr>
                  <th scope="col">Time</th>
                  <th scope="col" class="number">
                    {series.name}
                  </th>
                  <th scope="col">Trust</th>
                  <th scope="col">Limits</th>
                  <th scope="col">Origin</th>
                </tr>
              </thead>
              <tbody>
                {points
                  .slice(-MOST_ROWS)
                  .reverse()
                  .map((point) => (
                    <tr key={`${point.frame}`}>
                      <td>{utcText(point.atMs)}</td>
                      <td class="number">{valueText(point.value, series.unit, series.decimals)}</td>
                      <td>
                        <TrustMark trust={point.trust} /> {!point.vouched && <UnvouchedMark />}
                      </td>
                      <td>{point.limit === null || point.limit === 'normal' ? '' : `outside ${point.limit}`}</td>
                      <td>
                        <button type="button" onClick={() => onChoose(point.frame)}>
                          {point.frame}
                        </button>
                      </td>
                    </tr>
                  ))}
              </tbody>
            </table>
          </Scroll>
          <div class="row">
            <CopyButton text={() => tabSeparated(series, points)} />
            {points.length > MOST_ROWS && (
              <span class="small faint">
                The newest {MOST_ROWS} stand here; the copy holds all {points.length}.
              </span>
            )}
          </div>
        </div>
      )}
    </details>
  );
}
