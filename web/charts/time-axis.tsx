import { LEFT_ROOM, RIGHT_ROOM } from './panel-chart.ts';
import type { TimeTick } from './time-ticks.ts';
import type { TimeWindow } from './time-window.ts';
import './charts.css';

/** The one time axis of all panels, UTC. It stays in sight while the panels scroll. */
export function TimeAxis({
  window,
  ticks,
  width,
}: {
  readonly window: TimeWindow;
  readonly ticks: readonly TimeTick[];
  readonly width: number;
}) {
  const plot = Math.max(0, width - LEFT_ROOM - RIGHT_ROOM);
  const xOf = (ms: number): number => LEFT_ROOM + ((ms - window.fromMs) / (window.toMs - window.fromMs)) * plot;
  return (
    <svg class="time-axis" width={width} height="38" aria-hidden="true">
      <line x1={LEFT_ROOM} x2={LEFT_ROOM + plot} y1="0.5" y2="0.5" />
      {ticks.map(({ atMs, label, under }) => (
        <g key={atMs} transform={`translate(${xOf(atMs).toFixed(1)} 0)`}>
          <line y2="5" />
          <text y="17">{label}</text>
          <text y="32" class="under">
            {under}
          </text>
        </g>
      ))}
      <text class="zone" x={width} y="17">
        UTC
      </text>
    </svg>
  );
}
