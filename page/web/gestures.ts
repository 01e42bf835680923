/** Zoom and pan by wheel, drag, pinch and keys, alike on both figures. */

export interface Moves {
  /** Zooms by a factor about a point of the canvas; false where it can zoom no further. */
  zoom(factor: number, x: number, y: number): boolean;
  pan(dx: number, dy: number): void;
  reset(): void;
  point(x: number, y: number): void;
  leave(): void;
  click(x: number, y: number): void;
  /** Takes hold of something there, to be dragged; false where there is nothing. */
  grab(x: number, y: number, touch: boolean): boolean;
  drag(x: number, y: number): void;
  drop(): void;
  /** Lets go of what was being dragged. */
  giveUp(): void;
  key(event: KeyboardEvent): boolean;
}

/** A wheel that began to scroll the page goes on to do so for this long, ms. */
const SCROLLING = 350;
/** A finger that moved less than this has tapped, px. */
const TAP = 6;

let scrolledAt = -Infinity;
addEventListener('wheel', event => {
  if (!event.defaultPrevented) scrolledAt = event.timeStamp;
}, { passive: true });

export function gestures(canvas: HTMLCanvasElement, moves: Moves): void {
  const fingers = new Map<number, { x: number; y: number }>();
  let start = { x: 0, y: 0 };
  let moved = false;
  let holding = false;
  const at = (event: { clientX: number; clientY: number }): { x: number; y: number } => {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  canvas.addEventListener('wheel', event => {
    if (!event.ctrlKey && event.timeStamp - scrolledAt < SCROLLING) return;
    const { x, y } = at(event);
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY) && !event.ctrlKey) {
      event.preventDefault();
      return moves.pan(-event.deltaX, 0);
    }
    const lines = event.deltaMode === 1 ? 16 : 1;
    if (moves.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.002)), x, y)) event.preventDefault();
  }, { passive: false });

  // Two fingers are the figure's; one finger up or down scrolls the page.
  canvas.addEventListener('touchmove', event => {
    if (event.touches.length > 1 || holding) event.preventDefault();
  }, { passive: false });

  canvas.addEventListener('pointerdown', event => {
    if (event.button !== 0) return;
    const here = at(event);
    fingers.set(event.pointerId, here);
    if (fingers.size === 1) {
      start = here;
      moved = false;
      holding = moves.grab(here.x, here.y, event.pointerType !== 'mouse');
      if (holding || event.pointerType === 'mouse') canvas.setPointerCapture(event.pointerId);
    } else if (holding) {
      moves.giveUp();
      holding = false;
    }
  });
  canvas.addEventListener('pointermove', event => {
    const here = at(event);
    const before = fingers.get(event.pointerId);
    if (!before) {
      if (event.pointerType === 'mouse') moves.point(here.x, here.y);
      return;
    }
    if (Math.hypot(here.x - start.x, here.y - start.y) > TAP) moved = true;
    if (holding) {
      moves.drag(here.x, here.y);
    } else if (fingers.size === 1) {
      if (moved) moves.pan(here.x - before.x, here.y - before.y);
    } else {
      const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const apart = (one: { x: number; y: number }): number => Math.max(Math.hypot(one.x - other.x, one.y - other.y), 1);
        moved = true;
        moves.zoom(apart(here) / apart(before), (here.x + other.x) / 2, (here.y + other.y) / 2);
        moves.pan((here.x - before.x) / 2, (here.y - before.y) / 2);
      }
    }
    fingers.set(event.pointerId, here);
  });
  const up = (event: PointerEvent): void => {
    if (!fingers.delete(event.pointerId)) return;
    if (holding) {
      holding = false;
      if (event.type === 'pointercancel') moves.giveUp();
      else if (moved) moves.drop();
      else {
        moves.giveUp();
        moves.click(start.x, start.y);
      }
    } else if (!moved && fingers.size === 0 && event.type === 'pointerup') {
      moves.click(start.x, start.y);
    }
  };
  canvas.addEventListener('pointerup', up);
  canvas.addEventListener('pointercancel', up);
  canvas.addEventListener('pointerleave', event => {
    if (!fingers.has(event.pointerId)) moves.leave();
  });
  canvas.addEventListener('dblclick', event => {
    const { x, y } = at(event);
    moves.zoom(2, x, y);
  });
  canvas.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const [x, y] = [canvas.clientWidth / 2, canvas.clientHeight / 2];
    const step = canvas.clientWidth / 8;
    const pans: Record<string, [number, number]> = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    const pan = pans[event.key];
    if (moves.key(event)) event.preventDefault();
    else if (pan) {
      event.preventDefault();
      moves.pan(...pan);
    } else if (event.key === '+' || event.key === '=') moves.zoom(1.5, x, y);
    else if (event.key === '-') moves.zoom(1 / 1.5, x, y);
    else if (event.key === '0' || event.key === 'Home') moves.reset();
    else return;
    event.preventDefault();
  });
}

/** A canvas as sharp as the screen; draws at most once a frame. */
export function sheet(canvas: HTMLCanvasElement, draw: (g: CanvasRenderingContext2D, width: number, height: number) => void): () => void {
  const g = canvas.getContext('2d');
  let asked = false;
  const paint = (): void => {
    asked = false;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    if (!g || width === 0 || height === 0) return;
    const scale = devicePixelRatio || 1;
    if (canvas.width !== Math.round(width * scale) || canvas.height !== Math.round(height * scale)) {
      canvas.width = Math.round(width * scale);
      canvas.height = Math.round(height * scale);
    }
    g.setTransform(scale, 0, 0, scale, 0, 0);
    g.clearRect(0, 0, width, height);
    draw(g, width, height);
  };
  const ask = (): void => {
    if (!asked) {
      asked = true;
      requestAnimationFrame(paint);
    }
  };
  new ResizeObserver(ask).observe(canvas);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', ask);
  return ask;
}
