/** The speed over time, with runs, stops, swaps and settings as bands. */

import { type App } from './app.ts';
import { fitted, moveSwap, setLeg, when } from './edits.ts';
import { gestures, sheet } from './gestures.ts';
import { type Leg, clock, inUnit, ms, speed } from './result.ts';
import { colour, dark, ink, look } from './style.ts';

const LEFT = 40;
const RIGHT = 10;
const PARTS = 22;
const SETTINGS = 18;
const TOP = PARTS + SETTINGS + 14;
const BOTTOM = 34;
/** The least time that may fill the figure, ms. */
const LEAST = 30_000;

type Held =
  | { what: 'start' | 'end'; leg: Leg; at: number }
  | { what: 'swap'; index: number; at: number };

export function timeFigure(canvas: HTMLCanvasElement, app: App): void {
  let width = 1;
  let height = 1;
  let held: Held | undefined;

  const x = (time: number): number => {
    const [from, to] = app.window;
    return LEFT + ((time - from) / (to - from)) * (width - LEFT - RIGHT);
  };
  const timeAt = (px: number): number => {
    const [from, to] = app.window;
    return from + ((px - LEFT) / (width - LEFT - RIGHT)) * (to - from);
  };
  const unit = (): string => app.result?.units ?? 'kn';
  const partOf = (name: string | null): number => app.result?.configurations.findIndex(one => one.name === name) ?? -1;

  const most = (): number => {
    const speeds = app.drawing?.speeds ?? new Float32Array();
    let top = 0.5;
    for (const value of speeds) if (value < 30) top = Math.max(top, value);
    const legs = app.legs.flatMap(leg => leg.speed_m_s ?? []);
    const usual = legs.length > 0 ? Math.max(...legs) * 1.35 : top;
    return Math.min(top, usual) * 1.06;
  };

  const draw = (g: CanvasRenderingContext2D, w: number, h: number): void => {
    [width, height] = [w, h];
    const { drawing, result } = app;
    if (!drawing || !result) return;
    const zone = app.zone;
    const text = ink('ink');
    const soft = ink('soft');
    const rule = ink('rule');
    const floor = h - BOTTOM;
    const top = most();
    const y = (value: number): number => floor - (value / top) * (floor - TOP);
    g.font = `12px ${ink('sans')}`;
    g.textBaseline = 'middle';

    // Speeds along the left.
    const full = inUnit(top, unit());
    const step = [0.5, 1, 2, 5, 10].find(one => full / one <= 6) ?? 20;
    g.textAlign = 'right';
    for (let value = 0; value <= full; value += step) {
      const at = y((value / full) * top);
      g.fillStyle = rule;
      g.fillRect(LEFT, Math.round(at), w - LEFT - RIGHT, 1);
      g.fillStyle = soft;
      g.fillText(String(value), LEFT - 6, at);
    }
    g.textAlign = 'left';
    g.fillText(unit(), 4, TOP - 9);

    // Times along the foot.
    const [from, to] = app.window;
    const wanted = ((to - from) / Math.max((w - LEFT - RIGHT) / 90, 2)) / 1e3;
    const tick = ([10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 28_800].find(one => one >= wanted) ?? 86_400) * 1e3;
    g.textAlign = 'center';
    for (let at = Math.ceil(from / tick) * tick; at <= to; at += tick) {
      g.fillStyle = soft;
      g.fillRect(Math.round(x(at)), floor, 1, 5);
      g.fillText(clock(at, zone, tick < 60_000), x(at), floor + 24);
    }

    g.save();
    g.beginPath();
    g.rect(LEFT, 0, w - LEFT - RIGHT, h);
    g.clip();

    // Stops: a hatched foot.
    g.strokeStyle = soft;
    g.lineWidth = 1;
    for (const [a, b] of drawing.stops) {
      const [l, r] = [x(a), x(b)];
      if (r < LEFT || l > w || b - a < 30_000) continue;
      g.save();
      g.beginPath();
      g.rect(l, floor + 5, r - l, 8);
      g.clip();
      g.beginPath();
      for (let i = Math.max(l, LEFT) - 8 - (Math.max(l, LEFT) % 5); i < Math.min(r, w) + 8; i += 5) {
        g.moveTo(i, floor + 13);
        g.lineTo(i + 8, floor + 5);
      }
      g.stroke();
      g.restore();
    }

    // Legs: a band for each that counts, a stroke at its speed.
    for (const leg of app.legs) {
      let [a, b] = [ms(leg.start), ms(leg.end)];
      if (held && held.what !== 'swap' && held.leg.leg === leg.leg) {
        if (held.what === 'start') a = held.at;
        else b = held.at;
      }
      const [l, r] = [x(a), x(b)];
      if (r < LEFT || l > w) continue;
      const part = partOf(leg.configuration);
      const chosen = leg.leg === app.selected;
      const near = leg.leg === app.hovered;
      const mate = !chosen && leg.double_run !== null && leg.double_run === app.leg(app.selected ?? app.hovered)?.double_run;
      g.fillStyle = leg.included ? colour(part) : soft;
      g.globalAlpha = leg.included ? (chosen ? 0.34 : near || mate ? 0.26 : 0.13) : chosen || near ? 0.18 : 0;
      g.fillRect(l, TOP, Math.max(r - l, 1), floor - TOP);
      g.globalAlpha = 1;
      if (leg.speed_m_s !== null) {
        g.strokeStyle = leg.included ? colour(part) : soft;
        g.lineWidth = leg.included ? 3.5 : 2;
        g.setLineDash(leg.included ? look(part).dash : []);
        g.beginPath();
        g.moveTo(x(leg.steady_from && !held ? Math.max(ms(leg.steady_from), a) : a), y(leg.speed_m_s));
        g.lineTo(r, y(leg.speed_m_s));
        g.stroke();
        g.setLineDash([]);
      }
      if (chosen) {
        g.strokeStyle = text;
        g.lineWidth = 2;
        g.strokeRect(l, TOP, Math.max(r - l, 1), floor - TOP);
        for (const edge of [l, r]) {
          g.fillStyle = ink('paper');
          g.beginPath();
          g.arc(edge, (TOP + floor) / 2, 7, 0, 7);
          g.fill();
          g.stroke();
        }
      }
      if (r - l > (leg.included ? 14 : 22) || chosen || near) {
        g.fillStyle = leg.included || chosen || near ? text : soft;
        g.font = `${leg.included ? 600 : 400} 11px ${ink('sans')}`;
        g.fillText(app.changed.has(leg.leg) ? `${leg.leg}✎` : String(leg.leg), (Math.max(l, LEFT) + Math.min(r, w)) / 2, TOP + 8);
        g.font = `12px ${ink('sans')}`;
      }
    }

    // The speed itself, thinned to what can be seen.
    g.strokeStyle = text;
    g.globalAlpha = 0.75;
    g.lineWidth = 1.1;
    g.lineJoin = 'round';
    g.beginPath();
    const times = drawing.speedTimes;
    let last = -1e9;
    let low = 0;
    let high = 0;
    let pen = -1e9;
    for (let i = 0; i < times.length; i++) {
      const at = drawing.from + times[i]! * 1e3;
      if (at < from - 60_000 || at > to + 60_000) continue;
      const px = x(at);
      const py = y(drawing.speeds[i]!);
      const gap = at - last > 60_000;
      last = at;
      if (gap) g.moveTo(px, py);
      else if (px - pen < 0.8) {
        // Several speeds on one pixel: a stroke from the least to the greatest.
        if (py < low) g.lineTo(px, (low = py));
        if (py > high) g.lineTo(px, (high = py));
        continue;
      } else g.lineTo(px, py);
      pen = px;
      low = high = py;
    }
    g.stroke();
    g.globalAlpha = 1;

    lanes(g, floor);

    // Where the pointer is.
    if (app.cursor !== undefined && app.cursor >= from && app.cursor <= to) {
      const px = x(app.cursor);
      g.fillStyle = text;
      g.fillRect(Math.round(px), TOP, 1, floor - TOP);
      const shown = `${clock(app.cursor, zone, true)}  ${speed(speedAt(app.cursor), unit())}`;
      const wide = g.measureText(shown).width + 12;
      const left = Math.min(Math.max(px - wide / 2, LEFT), w - RIGHT - wide);
      g.fillStyle = ink('paper');
      g.fillRect(left, floor - 20, wide, 18);
      g.fillStyle = text;
      g.textAlign = 'left';
      g.fillText(shown, left + 6, floor - 11);
    }
    g.restore();
  };

  /** Which part was on and which setting was held, above the speed. */
  const lanes = (g: CanvasRenderingContext2D, floor: number): void => {
    const found = app.found!;
    const text = ink('ink');
    const parts = fitted(found).map((part, index) => ({ ...part, index }));
    const shown = parts.filter(part => part.day === app.day);
    const before = parts.filter(part => part.day < app.day).at(-1);
    if (shown[0]?.at !== undefined && before) shown.unshift({ ...before, at: undefined });
    if (shown.length === 0 && before) shown.push({ ...before, at: undefined });
    const { from: began, to: ended } = app.drawing!;
    shown.forEach((part, at) => {
      const own = partOf(part.name);
      const heldHere = (one: typeof part | undefined): number | undefined =>
        held?.what === 'swap' && one && held.index === one.index ? held.at : one?.at;
      const l = x(heldHere(part) ?? began);
      const r = x(heldHere(shown[at + 1]) ?? ended);
      g.fillStyle = colour(own);
      g.globalAlpha = dark() ? 0.35 : 0.2;
      g.fillRect(l, 0, r - l, PARTS - 2);
      g.globalAlpha = 1;
      g.fillRect(l, PARTS - 4, r - l, 2);
      label(g, part.name, Math.max(l, LEFT), r, PARTS / 2 - 1, text, part.at === undefined ? 5 : 14);
    });
    for (const part of shown) {
      if (part.at === undefined) continue;
      const px = x(held?.what === 'swap' && held.index === part.index ? held.at : part.at);
      g.strokeStyle = text;
      g.lineWidth = 1.5;
      g.setLineDash([3, 3]);
      g.beginPath();
      g.moveTo(px, PARTS);
      g.lineTo(px, floor);
      g.stroke();
      g.setLineDash([]);
      g.fillStyle = ink('paper');
      g.beginPath();
      g.moveTo(px, 1);
      g.lineTo(px + 9, 10);
      g.lineTo(px, 19);
      g.lineTo(px - 9, 10);
      g.closePath();
      g.fill();
      g.stroke();
    }
    // Settings, run by run.
    const settings = found.result.settings;
    let open: { name: string; l: number; r: number } | undefined;
    const close = (): void => {
      if (!open) return;
      const level = settings.findIndex(one => one.name === open!.name);
      g.fillStyle = ink('soft');
      for (let bar = 0; bar <= level; bar++) g.fillRect(open.l, PARTS + SETTINGS - 3 - bar * 3, open.r - open.l, 1.5);
      label(g, open.name, Math.max(open.l, LEFT), open.r, PARTS + SETTINGS / 2 - 3, text, 3);
      open = undefined;
    };
    for (const leg of app.legs) {
      if (leg.setting === null) continue;
      const [l, r] = [x(ms(leg.start)), x(ms(leg.end))];
      if (open && open.name !== leg.setting) close();
      if (open) open.r = r;
      else open = { name: leg.setting, l, r };
    }
    close();
  };

  const speedAt = (time: number): number | null => {
    const drawing = app.drawing;
    if (!drawing) return null;
    const wanted = (time - drawing.from) / 1e3;
    let best = -1;
    let [low, high] = [0, drawing.speedTimes.length - 1];
    while (low <= high) {
      const middle = (low + high) >> 1;
      if (drawing.speedTimes[middle]! <= wanted) {
        best = middle;
        low = middle + 1;
      } else high = middle - 1;
    }
    if (best < 0 || Math.abs(drawing.speedTimes[best]! - wanted) > 60) return null;
    return drawing.speeds[best]!;
  };

  const legAt = (time: number): number | undefined =>
    app.legs.filter(leg => ms(leg.start) <= time && time <= ms(leg.end)).sort((a, b) => Number(b.included) - Number(a.included))[0]?.leg;

  const show = (from: number, to: number): void => {
    app.window = [from, to];
    app.tell('view');
  };
  const bounds = (): [number, number] => {
    const { from, to } = app.drawing ?? { from: 0, to: 1 };
    const spare = (to - from) * 0.02;
    return [from - spare, to + spare];
  };

  gestures(canvas, {
    zoom(factor, px) {
      const [from, to] = app.window;
      const [first, last] = bounds();
      const wide = Math.min(Math.max((to - from) / factor, LEAST), last - first);
      if (Math.abs(wide - (to - from)) < 1) return false;
      const share = Math.min(Math.max((px - LEFT) / (width - LEFT - RIGHT), 0), 1);
      const begin = Math.min(Math.max(timeAt(px) - share * wide, first), last - wide);
      show(begin, begin + wide);
      return true;
    },
    pan(dx) {
      const [from, to] = app.window;
      const [first, last] = bounds();
      const by = (dx / (width - LEFT - RIGHT)) * (to - from);
      const begin = Math.min(Math.max(from - by, first), Math.max(last - (to - from), first));
      show(begin, begin + (to - from));
    },
    reset() {
      app.showAll();
      app.tell('view');
    },
    point(px, py) {
      const time = timeAt(px);
      app.point(legAt(time), time);
      canvas.style.cursor = nearest(px, py, false) ? 'ew-resize' : 'crosshair';
    },
    leave() {
      app.point(undefined);
    },
    click(px) {
      const time = timeAt(px);
      app.cursor = time;
      app.select(legAt(time));
    },
    grab(px, py, touch) {
      held = nearest(px, py, touch);
      return held !== undefined;
    },
    drag(px) {
      if (!held) return;
      if (held.what === 'swap') held.at = settle(timeAt(px));
      else {
        const [start, end] = [ms(held.leg.start), ms(held.leg.end)];
        held.at = held.what === 'start' ? Math.min(timeAt(px), end - 20_000) : Math.max(timeAt(px), start + 20_000);
      }
      app.cursor = held.at;
      app.tell('view');
    },
    drop() {
      const done = held;
      held = undefined;
      if (!done || !app.result) return;
      if (done.what === 'swap') {
        app.edit(`the swap moved to ${clock(done.at, app.zone)}`, (notes, found) => moveSwap(notes, found, done.index, done.at));
      } else {
        const at = when(done.at, app.result);
        app.edit(`leg ${done.leg.leg} ${done.what === 'start' ? 'begins' : 'ends'} at ${at}`, (notes, found) =>
          setLeg(notes, done.leg, found.result, { [done.what]: at }, []));
      }
    },
    giveUp() {
      held = undefined;
      app.tell('view');
    },
    key(event) {
      if (event.key === ']' || event.key === 'n') app.step(1);
      else if (event.key === '[' || event.key === 'p') app.step(-1);
      else if (event.key === 'Escape') app.select(undefined);
      else return false;
      return true;
    },
  });

  /** The middle of the stop that is nearest, where there is any. */
  const settle = (time: number): number => nearestStop(app, time) ?? time;

  const nearest = (px: number, py: number, touch: boolean): Held | undefined => {
    if (!app.found) return undefined;
    const reach = touch ? 22 : 9;
    if (py <= PARTS + (touch ? 14 : 2)) {
      const swaps = fitted(app.found).map((part, index) => ({ part, index }));
      const swap = swaps.find(({ part }) => part.at !== undefined && part.day === app.day && Math.abs(x(part.at) - px) <= reach);
      if (swap) return { what: 'swap', index: swap.index, at: swap.part.at! };
    }
    const leg = app.leg(app.selected);
    if (leg && py > TOP && py < height - BOTTOM) {
      const [start, end] = [ms(leg.start), ms(leg.end)];
      const [fromStart, fromEnd] = [Math.abs(x(start) - px), Math.abs(x(end) - px)];
      if (Math.min(fromStart, fromEnd) <= reach) {
        return fromStart < fromEnd ? { what: 'start', leg, at: start } : { what: 'end', leg, at: end };
      }
    }
    return undefined;
  };

  const ask = sheet(canvas, draw);
  app.listen(ask);
}

/** The middle of the stop nearest to a time: where a swap settles. */
export function nearestStop(app: App, time: number): number | undefined {
  const stops = app.drawing?.stops.filter(([a, b]) => b - a >= 60_000) ?? [];
  const off = ([a, b]: [number, number]): number => Math.max(a - time, time - b, 0);
  const best = stops.reduce<[number, number] | undefined>((one, stop) => (one === undefined || off(stop) < off(one) ? stop : one), undefined);
  if (!best) return undefined;
  // Inside a stop any time will do, so the swap stays where it was put.
  const [a, b] = best;
  return off(best) === 0 ? time : (a + b) / 2;
}

function label(g: CanvasRenderingContext2D, name: string, left: number, right: number, y: number, fill: string, indent: number): void {
  const room = right - left - indent - 3;
  if (room < 8) return;
  let shown = name;
  while (shown.length > 1 && g.measureText(shown).width > room) shown = shown.length > 2 ? `${shown.slice(0, -2)}…` : shown.slice(0, 1);
  g.fillStyle = fill;
  g.textAlign = 'left';
  if (g.measureText(shown).width <= room) g.fillText(shown, left + indent, y);
}
