/** The track from above, with its runs. */

import { type App } from './app.ts';
import { fitted } from './edits.ts';
import { gestures, sheet } from './gestures.ts';
import { type Drawing, type Leg, type Result, ms } from './result.ts';
import { colour, dark, ink, look } from './style.ts';

interface Line { east: Float32Array; north: Float32Array; t: Float32Array }
interface Camera { east: number; north: number; scale: number }

export interface TrackView {
  whole(): void;
  runs(): void;
  zoom(factor: number): void;
}

export function trackFigure(canvas: HTMLCanvasElement, app: App): TrackView {
  let width = 1;
  let height = 1;
  let camera: Camera = { east: 0, north: 0, scale: 1 };
  let seen: Drawing | undefined;
  let touched = false;
  const thinned = new Map<string, Line[]>();

  const x = (east: number): number => width / 2 + (east - camera.east) * camera.scale;
  const y = (north: number): number => height / 2 - (north - camera.north) * camera.scale;

  /** The track with no two points nearer than half a pixel at this scale. */
  const lines = (drawing: Drawing): Line[] => {
    const level = Math.floor(Math.log2(camera.scale));
    const key = `${drawing.from} ${level}`;
    let known = thinned.get(key);
    if (!known) {
      const least = 0.5 / 2 ** (level + 1);
      known = drawing.stretches.map(stretch => thin(stretch, least));
      if (thinned.size > 12) thinned.clear();
      thinned.set(key, known);
    }
    return known;
  };

  const fit = (legs: Leg[]): void => {
    const drawing = app.drawing;
    if (!drawing) return;
    let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
    const spans = legs.map(leg => [(ms(leg.start) - drawing.from) / 1e3, (ms(leg.end) - drawing.from) / 1e3] as const);
    for (const stretch of drawing.stretches) {
      for (let i = 0; i < stretch.t.length; i++) {
        const t = stretch.t[i]!;
        if (spans.length > 0 && !spans.some(([a, b]) => a <= t && t <= b)) continue;
        west = Math.min(west, stretch.east[i]!);
        east = Math.max(east, stretch.east[i]!);
        south = Math.min(south, stretch.north[i]!);
        north = Math.max(north, stretch.north[i]!);
      }
    }
    if (!Number.isFinite(west)) return;
    const scale = Math.min((width - 56) / Math.max(east - west, 20), (height - 56) / Math.max(north - south, 20));
    camera = { east: (west + east) / 2, north: (south + north) / 2, scale: Math.max(scale, 1e-4) };
  };
  const runs = (): Leg[] => app.legs.filter(leg => leg.included);
  const fitRuns = (): void => fit(runs());

  const path = (g: CanvasRenderingContext2D, line: Line, from = -Infinity, to = Infinity): void => {
    let begin = from === -Infinity ? 0 : firstAt(line.t, from);
    g.beginPath();
    let pen = false;
    for (; begin < line.t.length && line.t[begin]! <= to; begin++) {
      const [px, py] = [x(line.east[begin]!), y(line.north[begin]!)];
      if (pen) g.lineTo(px, py);
      else g.moveTo(px, py);
      pen = true;
    }
    g.stroke();
  };

  const draw = (g: CanvasRenderingContext2D, w: number, h: number): void => {
    [width, height] = [w, h];
    const { drawing, result } = app;
    if (!drawing || !result) return;
    if (seen === undefined || seen.from !== drawing.from || seen.to !== drawing.to) {
      touched = false;
      thinned.clear();
    }
    seen = drawing;
    if (!touched) fitRuns();
    const all = lines(drawing);
    const text = ink('ink');

    // What stays as it is while the pointer moves is drawn once.
    const key = [camera.east, camera.north, camera.scale, w, h, devicePixelRatio, dark()].join();
    if (key !== kept.key || kept.result !== result) {
      kept.canvas.width = Math.round(w * devicePixelRatio);
      kept.canvas.height = Math.round(h * devicePixelRatio);
      const under = kept.canvas.getContext('2d');
      if (under) {
        under.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
        still(under, drawing, all);
      }
      kept.key = key;
      kept.result = result;
    }
    g.drawImage(kept.canvas, 0, 0, w, h);
    g.lineJoin = g.lineCap = 'round';

    // What the other figure shows, less faint.
    const [from, to] = app.window;
    if (from > drawing.from || to < drawing.to) {
      g.strokeStyle = ink('soft');
      g.lineWidth = 1;
      g.globalAlpha = 0.6;
      g.globalCompositeOperation = 'destination-over';
      for (const line of all) path(g, line, (from - drawing.from) / 1e3, (to - drawing.from) / 1e3);
      g.globalCompositeOperation = 'source-over';
      g.globalAlpha = 1;
    }

    const near = app.leg(app.selected ?? app.hovered);
    for (const leg of app.legs) {
      const chosen = leg.leg === app.selected || leg.leg === app.hovered;
      const mate = near?.double_run !== null && leg.double_run === near?.double_run;
      if (!chosen && !mate) continue;
      if (chosen) {
        g.strokeStyle = text;
        g.lineWidth = 8;
        g.globalAlpha = 0.35;
        for (const line of all) path(g, line, ...span(drawing, leg));
        g.globalAlpha = 1;
      }
      legLine(g, drawing, all, leg, 4);
      arrow(g, drawing, leg, true);
    }

    if (app.cursor !== undefined) {
      const here = place(drawing, app.cursor);
      if (here) {
        g.fillStyle = text;
        g.strokeStyle = ink('paper');
        g.lineWidth = 2;
        g.beginPath();
        g.arc(x(here[0]), y(here[1]), 5.5, 0, 7);
        g.fill();
        g.stroke();
      }
    }
    scaleBar(g);
    windArrow(g);
  };

  const kept: { canvas: HTMLCanvasElement; key: string; result: Result | undefined } = { canvas: document.createElement('canvas'), key: '', result: undefined };

  const span = (drawing: Drawing, leg: Leg): [number, number] => [(ms(leg.start) - drawing.from) / 1e3, (ms(leg.end) - drawing.from) / 1e3];

  const legLine = (g: CanvasRenderingContext2D, drawing: Drawing, all: Line[], leg: Leg, wide: number): void => {
    const part = app.result?.configurations.findIndex(one => one.name === leg.configuration) ?? -1;
    g.strokeStyle = leg.included ? colour(part) : ink('ink');
    g.lineWidth = wide;
    g.setLineDash(leg.included ? look(part).dash : [1, 4]);
    for (const line of all) path(g, line, ...span(drawing, leg));
    g.setLineDash([]);
  };

  /** The track, the legs that count, and where the boat lay when a part was swapped. */
  const still = (g: CanvasRenderingContext2D, drawing: Drawing, all: Line[]): void => {
    const text = ink('ink');
    g.lineJoin = g.lineCap = 'round';
    g.strokeStyle = ink('soft');
    g.lineWidth = 1;
    g.globalAlpha = 0.45;
    for (const line of all) path(g, line);
    g.globalAlpha = 1;
    for (const leg of app.legs) {
      if (!leg.included) continue;
      legLine(g, drawing, all, leg, 2.2);
      arrow(g, drawing, leg, false);
    }
    for (const part of app.found ? fitted(app.found) : []) {
      if (part.at === undefined || part.day !== app.day) continue;
      const here = place(drawing, part.at);
      if (!here) continue;
      const [px, py] = [x(here[0]), y(here[1])];
      g.fillStyle = ink('paper');
      g.strokeStyle = text;
      g.lineWidth = 1.5;
      g.beginPath();
      g.moveTo(px, py - 9);
      g.lineTo(px + 9, py);
      g.lineTo(px, py + 9);
      g.lineTo(px - 9, py);
      g.closePath();
      g.fill();
      g.stroke();
      g.fillStyle = text;
      g.font = `12px ${ink('sans')}`;
      g.textBaseline = 'middle';
      const name = part.name.length > 24 ? `${part.name.slice(0, 23)}…` : part.name;
      const room = width - px - 16 > g.measureText(name).width;
      g.textAlign = room ? 'left' : 'right';
      halo(g, name, room ? px + 13 : px - 13, py);
    }
  };

  const arrow = (g: CanvasRenderingContext2D, drawing: Drawing, leg: Leg, named: boolean): void => {
    const middle = (ms(leg.start) + ms(leg.end)) / 2;
    const end = place(drawing, ms(leg.end));
    const head = (leg.course_deg * Math.PI) / 180;
    if (end) {
      const [px, py] = [x(end[0]), y(end[1])];
      g.fillStyle = g.strokeStyle;
      g.beginPath();
      g.moveTo(px + Math.sin(head) * 9, py - Math.cos(head) * 9);
      g.lineTo(px + Math.sin(head + 2.5) * 7, py - Math.cos(head + 2.5) * 7);
      g.lineTo(px + Math.sin(head - 2.5) * 7, py - Math.cos(head - 2.5) * 7);
      g.closePath();
      g.fill();
    }
    const at = place(drawing, middle);
    if (at && named) {
      g.font = `600 13px ${ink('sans')}`;
      g.textAlign = 'center';
      g.textBaseline = 'middle';
      g.fillStyle = ink('ink');
      const side = 14;
      halo(g, String(leg.leg), x(at[0]) + Math.cos(head) * side, y(at[1]) + Math.sin(head) * side);
    }
  };

  const halo = (g: CanvasRenderingContext2D, text: string, px: number, py: number): void => {
    g.save();
    g.strokeStyle = ink('paper');
    g.lineWidth = 4;
    g.setLineDash([]);
    g.strokeText(text, px, py);
    g.fillText(text, px, py);
    g.restore();
  };

  /** The way the wind goes, in the corner. */
  const windArrow = (g: CanvasRenderingContext2D): void => {
    const from = app.result?.wind.from_deg;
    if (from === null || from === undefined) return;
    const text = ink('ink');
    g.save();
    g.translate(30, 32);
    g.rotate((from * Math.PI) / 180);
    g.strokeStyle = g.fillStyle = text;
    g.lineWidth = 2;
    g.beginPath();
    g.moveTo(0, -19);
    g.lineTo(0, 10);
    g.moveTo(-5, -22);
    g.lineTo(0, -17);
    g.lineTo(5, -22);
    g.stroke();
    g.beginPath();
    g.moveTo(0, 20);
    g.lineTo(-6, 8);
    g.lineTo(6, 8);
    g.closePath();
    g.fill();
    g.restore();
    g.fillStyle = text;
    g.font = `12px ${ink('sans')}`;
    g.textAlign = 'left';
    g.textBaseline = 'middle';
    halo(g, 'wind', 56, 32);
  };

  const scaleBar = (g: CanvasRenderingContext2D): void => {
    const most = Math.min(width / 4, 140) / camera.scale;
    const power = 10 ** Math.floor(Math.log10(most));
    const metres = [5, 2, 1].map(one => one * power).find(one => one <= most) ?? power;
    const wide = metres * camera.scale;
    g.fillStyle = ink('ink');
    g.fillRect(14, height - 16, wide, 2);
    g.fillRect(14, height - 20, 1.5, 6);
    g.fillRect(14 + wide - 1.5, height - 20, 1.5, 6);
    g.font = `12px ${ink('sans')}`;
    g.textAlign = 'left';
    g.textBaseline = 'middle';
    halo(g, metres >= 1000 ? `${metres / 1000} km` : `${metres} m`, 14, height - 28);
  };

  /** The leg and the time nearest to a point of the canvas. */
  const nearest = (px: number, py: number, reach: number): { leg: number | undefined; time: number } | undefined => {
    const drawing = app.drawing;
    if (!drawing) return undefined;
    let best = reach;
    let time: number | undefined;
    const legs = app.legs.map(leg => ({ leg, a: (ms(leg.start) - drawing.from) / 1e3, b: (ms(leg.end) - drawing.from) / 1e3 }));
    const of = (t: number): Leg | undefined => {
      const own = legs.filter(({ a, b }) => a <= t && t <= b);
      return (own.find(({ leg }) => leg.included) ?? own[0])?.leg;
    };
    for (const line of lines(drawing)) {
      for (let i = 0; i < line.t.length; i++) {
        const off = Math.hypot(x(line.east[i]!) - px, y(line.north[i]!) - py);
        if (off >= best + 0.01) continue;
        best = off;
        time = line.t[i]!;
      }
    }
    if (time === undefined) return undefined;
    return { leg: of(time)?.leg, time: drawing.from + time * 1e3 };
  };

  const zoom = (factor: number, px: number, py: number): boolean => {
    const scale = Math.min(Math.max(camera.scale * factor, 1e-3), 40);
    if (Math.abs(scale / camera.scale - 1) < 1e-3) return false;
    const east = camera.east + (px - width / 2) / camera.scale;
    const north = camera.north - (py - height / 2) / camera.scale;
    camera = { scale, east: east - (px - width / 2) / scale, north: north + (py - height / 2) / scale };
    touched = true;
    ask();
    return true;
  };

  gestures(canvas, {
    zoom,
    pan(dx, dy) {
      camera = { ...camera, east: camera.east - dx / camera.scale, north: camera.north + dy / camera.scale };
      touched = true;
      ask();
    },
    reset() {
      touched = false;
      ask();
    },
    point(px, py) {
      const found = nearest(px, py, 16);
      app.point(found?.leg, found?.time);
      canvas.style.cursor = found?.leg ? 'pointer' : 'grab';
    },
    leave: () => app.point(undefined),
    click(px, py) {
      const found = nearest(px, py, 24);
      app.cursor = found?.time;
      app.select(found?.leg);
    },
    grab: () => false,
    drag: () => undefined,
    drop: () => undefined,
    giveUp: () => undefined,
    key(event) {
      if (event.key === ']' || event.key === 'n') app.step(1);
      else if (event.key === '[' || event.key === 'p') app.step(-1);
      else if (event.key === 'Escape') app.select(undefined);
      else return false;
      return true;
    },
  });
  const ask = sheet(canvas, draw);
  app.listen(ask);
  return {
    whole() {
      touched = true;
      fit([]);
      ask();
    },
    runs() {
      touched = false;
      ask();
    },
    zoom(factor) {
      zoom(factor, width / 2, height / 2);
    },
  };
}

function thin(line: Line, least: number): Line {
  const kept: number[] = [];
  let [lastEast, lastNorth] = [Infinity, Infinity];
  const last = line.t.length - 1;
  for (let i = 0; i <= last; i++) {
    if (i < last && i > 0 && Math.hypot(line.east[i]! - lastEast, line.north[i]! - lastNorth) < least) continue;
    kept.push(i);
    [lastEast, lastNorth] = [line.east[i]!, line.north[i]!];
  }
  const of = (values: Float32Array): Float32Array => Float32Array.from(kept, i => values[i]!);
  return { t: of(line.t), east: of(line.east), north: of(line.north) };
}

function firstAt(times: Float32Array, from: number): number {
  let [low, high] = [0, times.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle]! < from) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Where the boat was at a time; nothing in a gap of the record of more than ten minutes. */
function place(drawing: Drawing, time: number): [number, number] | undefined {
  const t = (time - drawing.from) / 1e3;
  let best: [number, number] | undefined;
  let off = 600;
  for (const line of drawing.stretches) {
    const at = firstAt(line.t, t);
    for (const i of [at - 1, at]) {
      const one = line.t[i];
      if (one === undefined || Math.abs(one - t) >= off) continue;
      off = Math.abs(one - t);
      best = [line.east[i]!, line.north[i]!];
    }
  }
  return best;
}
