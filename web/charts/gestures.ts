/** A pointer that moved less than this, in pixels, chose a point and did not drag. */
const CLICK_SLOP = 5;
const WHEEL_ZOOM_PER_PIXEL = 0.0022;

/** Something along whose time axis fingers and wheels move; `W` is what it calls the stretch that it shows. */
export interface GestureTarget<W> {
  readonly window: () => W;
  /** The window moved by a share of its length; positive is later. */
  readonly pan: (window: W, share: number) => W;
  /** The window with its length times `factor`; a place, as share of its length, stays where it is. */
  readonly zoom: (window: W, factor: number, place: number) => W;
  /** The part of the element that the time axis covers, in pixels from its left edge. */
  readonly span: () => { readonly left: number; readonly width: number };
  readonly onWindow: (window: W) => void;
  /** A click or tap, in pixels from the element's upper left corner. */
  readonly onChoose: (x: number, y: number) => void;
  /** The pointer hovers; null when it left. */
  readonly onHover: (x: number | null) => void;
}

/**
 * Wheel, drag and pinch on a chart. A plain wheel scrolls the page, as everywhere; with Ctrl, or pinched on a touch pad,
 * it zooms, and sideways it pans. One finger moves time sideways and the page up and down, two fingers zoom. Returns the
 * way to undo it.
 */
export function attachGestures<W>(element: HTMLElement, target: GestureTarget<W>): () => void {
  const pointers = new Map<number, { x: number; y: number }>();
  let moved = 0;

  const place = (clientX: number): number => {
    const { left, width } = target.span();
    return (clientX - element.getBoundingClientRect().left - left) / width;
  };
  const middle = (): number => [...pointers.values()].reduce((sum, { x }) => sum + x, 0) / pointers.size;
  const spread = (): number => {
    const xs = [...pointers.values()].map(({ x }) => x);
    return Math.max(20, Math.max(...xs) - Math.min(...xs));
  };

  const onWheel = (event: WheelEvent): void => {
    const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY) || event.shiftKey;
    if (event.ctrlKey) {
      const factor = Math.exp(event.deltaY * WHEEL_ZOOM_PER_PIXEL);
      target.onWindow(target.zoom(target.window(), factor, place(event.clientX)));
    } else if (sideways) {
      target.onWindow(target.pan(target.window(), (event.deltaX || event.deltaY) / target.span().width));
    } else return;
    event.preventDefault();
  };
  const onDown = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    if (pointers.size === 0) moved = 0;
    pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  };
  const onMove = (event: PointerEvent): void => {
    const known = pointers.get(event.pointerId);
    if (known === undefined) {
      target.onHover(event.clientX - element.getBoundingClientRect().left);
      return;
    }
    const [middleBefore, spreadBefore] = [middle(), spread()];
    moved += Math.abs(event.clientX - known.x);
    pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (moved < CLICK_SLOP) return;
    // only now is it a drag: capturing earlier would take the click from what lies beneath
    if (!element.hasPointerCapture(event.pointerId)) element.setPointerCapture(event.pointerId);
    let next = target.window();
    if (pointers.size > 1) next = target.zoom(next, spreadBefore / spread(), place(middleBefore));
    target.onWindow(target.pan(next, -(middle() - middleBefore) / target.span().width));
  };
  const onUp = (event: PointerEvent): void => {
    const known = pointers.get(event.pointerId);
    pointers.delete(event.pointerId);
    if (known === undefined || moved >= CLICK_SLOP || pointers.size > 0) return;
    const box = element.getBoundingClientRect();
    target.onChoose(event.clientX - box.left, event.clientY - box.top);
  };
  const onCancel = (event: PointerEvent): void => {
    pointers.delete(event.pointerId);
  };
  const onLeave = (): void => target.onHover(null);

  element.addEventListener('wheel', onWheel, { passive: false });
  element.addEventListener('pointerdown', onDown);
  element.addEventListener('pointermove', onMove);
  element.addEventListener('pointerup', onUp);
  element.addEventListener('pointercancel', onCancel);
  element.addEventListener('pointerleave', onLeave);
  return () => {
    element.removeEventListener('wheel', onWheel);
    element.removeEventListener('pointerdown', onDown);
    element.removeEventListener('pointermove', onMove);
    element.removeEventListener('pointerup', onUp);
    element.removeEventListener('pointercancel', onCancel);
    element.removeEventListener('pointerleave', onLeave);
  };
}
