import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { attachGestures } from '../../../web/charts/gestures.ts';
import { pan, type TimeWindow, zoom } from '../../../web/charts/time-window.ts';

const WIDTH = 1000;
let element: HTMLElement;
let window: TimeWindow;
let chosen: [number, number][];
let hovered: (number | null)[];
let detach: () => void;

beforeEach(() => {
  element = document.createElement('div');
  element.setPointerCapture = () => {};
  element.hasPointerCapture = () => true;
  document.body.append(element);
  window = { fromMs: 0, toMs: 1_000_000 };
  chosen = [];
  hovered = [];
  detach = attachGestures(element, {
    window: () => window,
    pan,
    zoom,
    span: () => ({ left: 0, width: WIDTH }),
    onWindow: (next) => {
      window = next;
    },
    onChoose: (x, y) => chosen.push([x, y]),
    onHover: (x) => hovered.push(x),
  });
});

afterEach(() => {
  detach();
  element.remove();
});

function pointer(type: string, x: number, pointerId = 1): void {
  const event = new MouseEvent(type, { clientX: x, clientY: 10, button: 0, bubbles: true });
  Object.defineProperty(event, 'pointerId', { value: pointerId });
  element.dispatchEvent(event);
}

/** False when the page's own scrolling was held back. */
function wheel(init: WheelEventInit): boolean {
  const event = new WheelEvent('wheel', { cancelable: true, ...init });
  for (const [key, value] of Object.entries(init)) Object.defineProperty(event, key, { value });
  return element.dispatchEvent(event);
}

describe('gestures on a chart', () => {
  it('drag moves time with the pointer', () => {
    pointer('pointerdown', 500);
    pointer('pointermove', 600);
    pointer('pointerup', 600);
    expect(window).toEqual({ fromMs: -100_000, toMs: 900_000 });
    expect(chosen).toEqual([]);
  });

  it('a click chooses and does not move', () => {
    pointer('pointerdown', 500);
    pointer('pointermove', 502);
    pointer('pointerup', 502);
    expect(chosen).toEqual([[502, 10]]);
    expect(window).toEqual({ fromMs: 0, toMs: 1_000_000 });
  });

  it('two fingers zoom, and what is between them stays', () => {
    pointer('pointerdown', 400, 1);
    pointer('pointerdown', 600, 2);
    pointer('pointermove', 300, 1);
    pointer('pointermove', 700, 2);
    expect(window.fromMs).toBeCloseTo(250_000);
    expect(window.toMs).toBeCloseTo(750_000);
    pointer('pointerup', 300, 1);
    pointer('pointerup', 700, 2);
    expect(chosen).toEqual([]);
  });

  it('a plain wheel is left to the page', () => {
    expect(wheel({ deltaY: 100 })).toBe(true);
    expect(window).toEqual({ fromMs: 0, toMs: 1_000_000 });
  });

  it('a wheel with Ctrl zooms around the pointer, sideways it pans', () => {
    expect(wheel({ deltaY: -100, ctrlKey: true, clientX: 0 })).toBe(false);
    expect(window.fromMs).toBe(0);
    expect(window.toMs).toBeLessThan(1_000_000);
    window = { fromMs: 0, toMs: 1_000_000 };
    wheel({ deltaX: 200, deltaY: 5 });
    expect(window.fromMs).toBe(200_000);
  });

  it('tells where the pointer hovers, and when it leaves', () => {
    pointer('pointermove', 250);
    pointer('pointerleave', 0);
    expect(hovered).toEqual([250, null]);
  });
});
