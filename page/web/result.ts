/** What the library found, as `result.json` has it, and how its values are shown. */

export interface Position { lat: number; lon: number }

export interface Leg {
  leg: number;
  day: number;
  start: string;
  steady_from: string | null;
  end: string;
  duration_s: number;
  length_m: number;
  course_deg: number;
  speed_m_s: number | null;
  wind_label: string | null;
  line: number | null;
  double_run: number | null;
  configuration: string | null;
  setting: string | null;
  included: boolean;
  reason: string | null;
}

export interface DoubleRun {
  double_run: number;
  day: number;
  legs: [number, number];
  axis_deg: number;
  at: string;
  mean_m_s: number;
  half_difference_m_s: number;
  configuration: string;
  setting: string;
}

export interface Range { value: number; low: number; high: number }
/** An interval that may not be known. */
export type MaybeRange = { [key in keyof Range]: number | null } | null;

export const range = (one: MaybeRange): Range | null =>
  one && one.value !== null && one.low !== null && one.high !== null ? { value: one.value, low: one.low, high: one.high } : null;

export interface Doubt {
  doubt: string;
  double_run?: number;
  taken_out_percent?: number | null;
  could_move_percent: number | null;
}

export interface Comparison {
  baseline: string;
  changed: string;
  setting: string | null;
  double_runs: [number, number];
  baseline_m_s: number | null;
  changed_m_s: number | null;
  percent: MaybeRange;
  verdict: string;
  doubts: Doubt[] | null;
  reason: string | null;
}

export interface OtherAnswer {
  probability: number;
  configurations: number;
  settings: number;
  double_runs: number;
  /** The part of each double run of the day, from 1. */
  parts: (number | null)[];
  comparisons: Comparison[];
}

export interface TrackFile {
  file: string;
  fixes_read: number;
  fixes_used: number;
  set_aside: { reason: string; count: number }[];
  remarks: unknown[];
  from: string | null;
  to: string | null;
}

export interface Wind {
  from_deg: number | null;
  from_se_deg: number | null;
  speed_m_s: number | null;
  source: string;
  remark: string | null;
}

export interface Reading { probability: number; other: OtherAnswer | null; unclear: boolean }

export interface Result {
  title: string | null;
  units: string;
  timezone: { name: string; source: string };
  tracks: TrackFile[];
  wind: Wind;
  current: string | null;
  legs: Leg[];
  double_runs: DoubleRun[];
  configurations: { name: string; source: string }[];
  settings: { name: string; percent: number | null; source: string }[];
  comparisons: Comparison[];
  warnings: { code: string; text: string }[];
  days: { day: number; reading: Reading | null }[];
}

/** One day's drawing: times in milliseconds since 1970, metres on a plane, metres a second. */
export interface Drawing {
  from: number;
  to: number;
  origin: [number, number] | null;
  stretches: { t: Float32Array; east: Float32Array; north: Float32Array }[];
  speedTimes: Float32Array;
  speeds: Float32Array;
  stops: [number, number][];
}

interface Header {
  from: number;
  origin: [number, number] | null;
  stretches: number[];
  speeds: number;
  stops?: [number, number][];
}

export function drawings(header: string, bytes: ArrayBuffer): Drawing[] {
  const numbers = new Float32Array(bytes);
  let next = 0;
  const columns = (rows: number, wide: number): Float32Array[] => {
    const made = Array.from({ length: wide }, () => new Float32Array(rows));
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < wide; column++) made[column]![row] = numbers[next++] ?? 0;
    }
    return made;
  };
  return (JSON.parse(header) as Header[]).map(day => {
    const stretches = day.stretches.map(rows => {
      const [t, east, north] = columns(rows, 3);
      return { t: t!, east: east!, north: north! };
    });
    const [speedTimes, speeds] = columns(day.speeds, 2);
    const from = day.from * 1e3;
    const last = stretches.reduce((most, one) => Math.max(most, one.t.at(-1) ?? 0), 0);
    const stops = day.stops?.map(([a, b]): [number, number] => [from + a * 1e3, from + b * 1e3]);
    const drawing = { from, to: from + last * 1e3, origin: day.origin, stretches, speedTimes: speedTimes!, speeds: speeds!, stops: stops ?? [] };
    return drawing;
  });
}

export const ms = (time: string): number => Date.parse(time);

/* Units */

const FACTOR: Record<string, number> = { kn: 3600 / 1852, mph: 3600 / 1609.344, 'km/h': 3.6, 'm/s': 1 };

export const inUnit = (speed: number, unit: string): number => speed * (FACTOR[unit] ?? 1);

export function speed(value: number | null, unit: string): string {
  return value === null ? '–' : `${inUnit(value, unit).toFixed(2)} ${unit}`;
}

export const bearing = (degrees: number): string =>
  `${String(Math.round(((degrees % 360) + 360) % 360) % 360).padStart(3, '0')}°`;

const POINTS = ['N', 'NNE', 'NE', 'ENE', 'E', 'ESE', 'SE', 'SSE', 'S', 'SSW', 'SW', 'WSW', 'W', 'WNW', 'NW', 'NNW'];
export const point = (degrees: number): string => POINTS[Math.round(degrees / 22.5) % 16] ?? 'N';

export function percent(value: number, places: number): string {
  const text = Math.abs(value).toFixed(places);
  return Number(text) === 0 ? text : `${value < 0 ? '−' : '+'}${text}`;
}

/** Digits after the point that an interval of this width carries. */
export const places = (range: Range): number => (range.high - range.low >= 4 ? 0 : 1);

/* Local time */

const offsets = new Map<string, number>();
const formats = new Map<string, Intl.DateTimeFormat>();

function format(zone: string): Intl.DateTimeFormat {
  let known = formats.get(zone);
  if (!known) {
    const parts = { year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', second: '2-digit' } as const;
    try {
      known = new Intl.DateTimeFormat('en-GB', { ...parts, hourCycle: 'h23', timeZone: zone });
    } catch {
      known = new Intl.DateTimeFormat('en-GB', { ...parts, hourCycle: 'h23', timeZone: 'UTC' });
    }
    formats.set(zone, known);
  }
  return known;
}

/** What local time is ahead of UTC, ms. */
export function offset(time: number, zone: string): number {
  const quarter = Math.floor(time / 900_000);
  const key = `${zone} ${quarter}`;
  let known = offsets.get(key);
  if (known === undefined) {
    const at = quarter * 900_000;
    const parts: Record<string, number> = {};
    for (const { type, value } of format(zone).formatToParts(at)) parts[type] = Number(value);
    known = Date.UTC(parts.year ?? 1970, (parts.month ?? 1) - 1, parts.day ?? 1, parts.hour ?? 0, parts.minute ?? 0, parts.second ?? 0) - at;
    offsets.set(key, known);
  }
  return known;
}

const local = (time: number, zone: string): string => new Date(time + offset(time, zone)).toISOString();

/** `09:43:41`, or `09:43`. */
export const clock = (time: number, zone: string, seconds = false): string =>
  local(time, zone).slice(11, seconds ? 19 : 16);

/** `2031-07-12`. */
export const date = (time: number, zone: string): string => local(time, zone).slice(0, 10);

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

/** `12 July 2031`. */
export function longDate(time: number, zone: string): string {
  const [year, month, day] = date(time, zone).split('-').map(Number);
  return `${day} ${MONTHS[(month ?? 1) - 1]} ${year}`;
}

/** The instant nearest to `near` of a time as a person or the notes write it; `undefined` for what is no time. */
export function instant(text: string, zone: string, near: number): number | undefined {
  const whole = text.trim();
  if (/^\d{4}-\d\d-\d\dT.*(Z|[+-]\d\d:?\d\d)$/.test(whole)) {
    const time = Date.parse(whole);
    return Number.isNaN(time) ? undefined : time;
  }
  const match = /^(?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2})[:.](\d\d)(?:[:.](\d\d(?:\.\d+)?))?$/.exec(whole);
  if (!match) return undefined;
  const [hour, minute, second] = [Number(match[2]), Number(match[3]), Number(match[4] ?? 0)];
  if (hour > 23 || minute > 59 || second >= 60) return undefined;
  const on = (day: string): number => {
    const wall = Date.parse(`${day}T00:00:00Z`) + ((hour * 60 + minute) * 60 + second) * 1e3;
    const guess = wall - offset(wall, zone);
    return wall - offset(guess, zone);
  };
  if (match[1]) return on(match[1]);
  const candidates = [-1, 0, 1].map(days => on(date(near + days * 86_400_000, zone)));
  return candidates.reduce((best, one) => (Math.abs(one - near) < Math.abs(best - near) ? one : best));
}
