import { Chart, LinearScale, LineController, LineElement, PointElement } from 'chart.js';
import type { Extent } from './limits.ts';
import { type Marks, marksPlugin } from './marks-plugin.ts';
import type { LinePoint } from './points.ts';
import type { TimeWindow } from './time-window.ts';

Chart.register(LineController, LineElement, PointElement, LinearScale);

/** Room left and right of every panel's plot, so that all panels share one axis, pixels. */
export const LEFT_ROOM = 52;
export const RIGHT_ROOM = 80;

export interface PanelContent {
  readonly window: TimeWindow;
  readonly ticksMs: readonly number[];
  readonly line: readonly LinePoint[];
  readonly extent: Extent;
  /** Texts of the rows for states; null for numbers. */
  readonly rows: readonly string[] | null;
  readonly axisText: (y: number) => string;
  readonly marks: Marks;
}

/** One panel: a line over the shared time axis with everything that is drawn upon it. */
export class PanelChart {
  readonly #chart: Chart<'line', LinePoint[]>;
  #content: PanelContent;

  constructor(canvas: HTMLCanvasElement, content: PanelContent) {
    this.#content = content;
    this.#chart = new Chart<'line', LinePoint[]>(canvas, {
      type: 'line',
      data: { datasets: [{ data: [] }] },
      plugins: [marksPlugin(() => this.#content.marks)],
      options: {
        animation: false,
        events: [],
        maintainAspectRatio: false,
        parsing: false,
        normalized: true,
        spanGaps: false,
        layout: { padding: { top: 8, right: RIGHT_ROOM } },
        elements: { point: { radius: 0 }, line: { borderWidth: 1.5, borderJoinStyle: 'round' } },
        scales: {
          x: {
            type: 'linear',
            afterBuildTicks: (axis) => {
              axis.ticks = this.#content.ticksMs.map((value) => ({ value }));
            },
            ticks: { display: false, autoSkip: false },
            grid: { drawTicks: false, color: () => this.#content.marks.ink.grid },
            border: { color: content.marks.ink['rule-strong'] },
          },
          y: {
            type: 'linear',
            afterFit: (axis) => {
              axis.width = LEFT_ROOM;
            },
            afterBuildTicks: (axis) => {
              const { rows } = this.#content;
              if (rows !== null) axis.ticks = rows.map((_, value) => ({ value }));
            },
            ticks: {
              maxTicksLimit: 5,
              includeBounds: false,
              // the rows of states are named over their lines
              callback: (value) => (this.#content.rows === null ? this.#content.axisText(Number(value)) : ''),
              // a point at the left edge reaches out of the plot
              padding: 7,
              color: () => this.#content.marks.ink.faint,
              font: { size: 11 },
            },
            grid: { drawTicks: false, color: () => this.#content.marks.ink.grid },
            border: { display: false },
          },
        },
      },
    });
    this.show(content);
  }

  /** Draws other content, or the same anew. */
  show(content: PanelContent): void {
    this.#content = content;
    const { options } = this.#chart;
    const { x, y } = options.scales ?? {};
    if (x !== undefined) {
      x.min = content.window.fromMs;
      x.max = content.window.toMs;
      if (x.border !== undefined) x.border.color = content.marks.ink['rule-strong'];
    }
    if (y !== undefined) {
      y.min = content.extent.min;
      y.max = content.extent.max;
    }
    const dataset = this.#chart.data.datasets[0];
    if (dataset !== undefined) {
      dataset.data = [...content.line];
      dataset.borderColor = content.marks.ink.series;
    }
    this.#chart.update('none');
  }

  /** Draws again what changed upon the chart, without laying it out anew. */
  mark(marks: Marks): void {
    this.#content = { ...this.#content, marks };
    this.#chart.draw();
  }

  /** The part of the canvas that the time axis covers, pixels from its left edge. */
  get span(): { readonly left: number; readonly width: number } {
    const { left, width } = this.#chart.chartArea;
    return { left, width };
  }

  /** Where a value stands, pixels from the canvas's top. */
  yOf(value: number): number {
    return this.#chart.scales.y?.getPixelForValue(value) ?? 0;
  }

  destroy(): void {
    this.#chart.destroy();
  }
}
