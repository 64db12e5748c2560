import type { Chart, Plugin } from 'chart.js';
import { numberText } from '../words/number.ts';
import type { Ink } from './ink.ts';
import type { LimitLine } from './limits.ts';
import type { ChartPoint } from './points.ts';
import { spreadLabels } from './spread-labels.ts';

/** What is drawn upon a chart beside its line, and how; read at every draw. */
export interface Marks {
  readonly ink: Ink;
  readonly points: readonly ChartPoint[];
  readonly limits: readonly LimitLine[];
  /** Text of a value on this panel's axis. */
  readonly text: (y: number) => string;
  /** Names of the rows of a panel of states; null for numbers. */
  readonly rows: readonly string[] | null;
  /** Frame whose points are chosen; null for none. */
  readonly chosenFrame: string | null;
  /** Moment under the pointer; null when it is elsewhere. */
  readonly hoverMs: number | null;
}

const RADIUS = 3.2;
/** Confirmed points closer than this, in pixels, are told by the line alone. */
const CROWDED = 7;
const LABEL_APART = 14;
const LABEL_GAP = 8;
const ROW_NAME_ABOVE = 11;

/** Draws limit lines, points by trust and vouching, the chosen point, and the labels at the right edge. */
export function marksPlugin(marks: () => Marks): Plugin<'line'> {
  return {
    id: 'marks',
    beforeDatasetsDraw: (chart) => drawLimits(chart, marks()),
    afterDatasetsDraw: (chart) => {
      const now = marks();
      drawPoints(chart, now);
      drawCursor(chart, now);
      drawLabels(chart, now);
      drawRowNames(chart, now);
    },
  };
}

const xOf = (chart: Chart, atMs: number): number => chart.scales.x?.getPixelForValue(atMs) ?? 0;
const yOf = (chart: Chart, y: number): number => chart.scales.y?.getPixelForValue(y) ?? 0;

function drawLimits(chart: Chart, { limits, ink }: Marks): void {
  const { ctx, chartArea: area } = chart;
  ctx.save();
  for (const { at, kind } of limits) {
    const y = Math.round(yOf(chart, at)) + 0.5;
    if (y < area.top || y > area.bottom) continue;
    ctx.strokeStyle = kind === 'hard' ? ink.act : ink['look-line'];
    ctx.lineWidth = kind === 'hard' ? 2 : 1.5;
    ctx.setLineDash(kind === 'hard' ? [] : [6, 4]);
    ctx.beginPath();
    ctx.moveTo(area.left, y);
    ctx.lineTo(area.right, y);
    ctx.stroke();
  }
  ctx.restore();
}

function drawPoints(chart: Chart, { points, ink, chosenFrame }: Marks): void {
  const { ctx, chartArea: area } = chart;
  ctx.save();
  ctx.beginPath();
  ctx.rect(area.left - RADIUS, area.top - RADIUS, area.width + 2 * RADIUS, area.height + 2 * RADIUS);
  ctx.clip();
  let lastX = Number.NEGATIVE_INFINITY;
  points.forEach((point, i) => {
    const x = xOf(chart, point.atMs);
    if (x < area.left || x > area.right) return;
    const next = points[i + 1];
    const nextX = next === undefined ? Number.POSITIVE_INFINITY : xOf(chart, next.atMs);
    const crowded = x - lastX < CROWDED || nextX - x < CROWDED;
    lastX = x;
    drawPoint(ctx, x, yOf(chart, point.y), point, ink, crowded);
    if (point.frame === chosenFrame) {
      ctx.setLineDash([]);
      ctx.lineWidth = 2;
      ctx.strokeStyle = ink.ink;
      circle(ctx, x, yOf(chart, point.y), 8);
      ctx.stroke();
    }
  });
  ctx.restore();
}

function circle(ctx: CanvasRenderingContext2D, x: number, y: number, radius: number): void {
  ctx.beginPath();
  ctx.arc(x, y, radius, 0, 2 * Math.PI);
}

function drawPoint(
  ctx: CanvasRenderingContext2D,
  x: number,
  y: number,
  { trust, vouched }: ChartPoint,
  ink: Ink,
  crowded: boolean,
): void {
  ctx.lineWidth = 1.5;
  ctx.setLineDash([]);
  ctx.fillStyle = ink.series;
  ctx.strokeStyle = trust === 'doubtful' ? ink.faint : ink.series;
  if (trust === 'doubtful') {
    ctx.setLineDash([2, 2]);
    circle(ctx, x, y, RADIUS + 0.5);
    ctx.stroke();
  }
  if (!vouched) {
    ctx.setLineDash([]);
    ctx.beginPath();
    ctx.moveTo(x - RADIUS, y - RADIUS);
    ctx.lineTo(x + RADIUS, y + RADIUS);
    ctx.moveTo(x + RADIUS, y - RADIUS);
    ctx.lineTo(x - RADIUS, y + RADIUS);
    ctx.stroke();
  } else if (trust === 'probable') {
    circle(ctx, x, y, crowded ? 2 : RADIUS);
    ctx.fillStyle = ink.paper;
    ctx.fill();
    ctx.stroke();
  } else if (trust === 'confirmed') {
    circle(ctx, x, y, crowded ? 1.3 : RADIUS - 0.7);
    ctx.fill();
  }
}

function drawCursor(chart: Chart, { hoverMs, ink }: Marks): void {
  if (hoverMs === null) return;
  const { ctx, chartArea: area } = chart;
  const x = Math.round(xOf(chart, hoverMs)) + 0.5;
  if (x < area.left || x > area.right) return;
  ctx.save();
  ctx.strokeStyle = ink['rule-strong'];
  ctx.lineWidth = 1;
  ctx.beginPath();
  ctx.moveTo(x, area.top);
  ctx.lineTo(x, area.bottom);
  ctx.stroke();
  ctx.restore();
}

interface Label {
  readonly text: string;
  readonly y: number;
  readonly strong: boolean;
}

function drawLabels(chart: Chart, { limits, points, text, ink }: Marks): void {
  const { ctx, chartArea: area } = chart;
  const labels: Label[] = limits.map(({ at, kind }) => {
    const y = yOf(chart, at);
    // a limit out of sight is still named at the edge beyond which it lies
    const beyond = y < area.top ? ' ↑' : y > area.bottom ? ' ↓' : '';
    return { text: `${kind} ${numberText(at)}${beyond}`, y, strong: false };
  });
  const last = points.findLast(
    ({ atMs, vouched, trust }) => vouched && trust !== 'doubtful' && xOf(chart, atMs) <= area.right,
  );
  if (last !== undefined && xOf(chart, last.atMs) >= area.left) {
    labels.push({ text: text(last.y), y: yOf(chart, last.y), strong: true });
  }
  const places = spreadLabels(
    labels.map(({ y }) => y),
    LABEL_APART,
    area.top,
    area.bottom,
  );
  const family = getComputedStyle(chart.canvas).fontFamily;
  ctx.save();
  ctx.textBaseline = 'middle';
  labels.forEach(({ text: label, strong }, i) => {
    ctx.font = `${strong ? '600 13px' : '11px'} ${family}`;
    ctx.fillStyle = strong ? ink.ink : ink.faint;
    // a long name of a state is drawn narrower rather than cut
    ctx.fillText(label, area.right + LABEL_GAP, places[i] ?? 0, chart.width - area.right - LABEL_GAP);
  });
  ctx.restore();
}

/** Each row's name over its line: beside it there is room for numbers only. */
function drawRowNames(chart: Chart, { rows, ink }: Marks): void {
  if (rows === null) return;
  const { ctx, chartArea: area } = chart;
  ctx.save();
  ctx.textBaseline = 'middle';
  ctx.font = `11px ${getComputedStyle(chart.canvas).fontFamily}`;
  ctx.fillStyle = ink.faint;
  rows.forEach((name, row) => {
    ctx.fillText(name, area.left, yOf(chart, row) - ROW_NAME_ABOVE, area.width);
  });
  ctx.restore();
}
