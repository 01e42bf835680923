/** Corrections by hand: each changes the notes' text, and nothing else. */

import { type Block, Notes, type Value, get, keys, set } from './notes.ts';
import { type Drawing, type Leg, type Result, clock, date, instant, ms } from './result.ts';

/** What was found, and how the library would note it. */
export interface Found {
  result: Result;
  understood: Notes;
  drawings: Drawing[];
}

/** When a part went on. */
export interface Fitted {
  name: string;
  /** Unknown for the part that was on from the start. */
  at: number | undefined;
  day: number;
}

/** A time as the notes have it: local, to the second, with its date where there are several. */
export function when(time: number, result: Result): string {
  const zone = result.timezone.name;
  const whole = Math.round(time / 1e3) * 1e3;
  const text = clock(whole, zone, whole % 60_000 !== 0);
  const days = new Set(result.tracks.flatMap(track => [track.from, track.to]).flatMap(at => (at ? date(ms(at), zone) : [])));
  return days.size > 1 ? `${date(whole, zone)} ${text}` : text;
}

/* Legs */

const ofLeg = (block: Block, leg: Leg, result: Result): boolean => {
  const number = get(block, 'leg');
  if (typeof number === 'number') return number === leg.leg;
  const at = get(block, 'at');
  if (typeof at !== 'string') return false;
  const time = instant(at, result.timezone.name, ms(leg.start));
  return time !== undefined && time >= ms(leg.start) && time <= ms(leg.end);
};

/** What the notes say of a leg. */
export function noted(notes: Notes, leg: Leg, result: Result): { key: string; value: Value }[] {
  return notes.named('leg').filter(block => ofLeg(block, leg, result)).flatMap(block =>
    keys(block).filter(key => key !== 'leg' && key !== 'at').map(key => ({ key, value: get(block, key) ?? '' })));
}

/** Sets values of a leg and takes others out; a block that says nothing any more goes. */
export function setLeg(notes: Notes, leg: Leg, result: Result, values: Record<string, Value>, without: string[]): void {
  const own = notes.named('leg').filter(block => ofLeg(block, leg, result));
  for (const block of own) for (const key of [...without, ...Object.keys(values)]) set(block, key, undefined);
  const left = own.filter(block => {
    const says = keys(block).some(key => key !== 'leg' && key !== 'at');
    if (!says) notes.remove(block);
    return says;
  });
  if (Object.keys(values).length === 0) return;
  const block = left[0] ?? notes.add('leg', { leg: leg.leg });
  for (const [key, value] of Object.entries(values)) set(block, key, value);
}

/** As the track alone has it. */
export function asFound(notes: Notes, leg: Leg, result: Result): void {
  for (const block of notes.named('leg')) if (ofLeg(block, leg, result)) notes.remove(block);
}

/** The leg after this one in time, on the same day. */
export const next = (leg: Leg, result: Result): Leg | undefined =>
  [...result.legs].filter(one => one.day === leg.day).sort((a, b) => ms(a.start) - ms(b.start))
    .find(one => ms(one.start) > ms(leg.start));

export function join(notes: Notes, leg: Leg, result: Result): void {
  setLeg(notes, leg, result, {}, ['exclude', 'cut', 'end', 'pair']);
  // A leg may be joined twice, to the one after the next: each is an entry of its own.
  notes.add('leg', { leg: leg.leg, join: 'next' });
}

/** The cut that made a leg, where one did: the block, and whether the leg is its second half. */
function cutOf(notes: Notes, leg: Leg, result: Result): { block: Block; second: boolean } | undefined {
  for (const block of notes.named('leg')) {
    const cut = get(block, 'cut');
    if (typeof cut !== 'string') continue;
    const at = instant(cut, result.timezone.name, ms(leg.start));
    if (at === undefined) continue;
    if (Math.abs(at - ms(leg.start)) < 5e3) return { block, second: true };
    if (Math.abs(at - ms(leg.end)) < 5e3) return { block, second: false };
  }
  return undefined;
}

/** Leaves a leg out; half of a cut leg by giving the whole another end. */
export function leaveOut(notes: Notes, leg: Leg, result: Result, reason: string): void {
  const cut = cutOf(notes, leg, result);
  if (cut) {
    const at = get(cut.block, 'cut');
    set(cut.block, 'cut', undefined);
    set(cut.block, cut.second ? 'end' : 'start', at);
    return;
  }
  setLeg(notes, leg, result, { exclude: reason }, ['include', 'join', 'pair']);
}

export function takeIn(notes: Notes, leg: Leg, result: Result): void {
  const wasNoted = noted(notes, leg, result).some(one => one.key === 'exclude');
  setLeg(notes, leg, result, wasNoted ? {} : { include: true }, ['exclude']);
}

/* Parts */

/** When each part went on, by the notes where they say, else as it was found. */
export function fitted(found: Found): Fitted[] {
  const { result, understood, drawings } = found;
  const runs = [...result.legs].filter(leg => leg.configuration).sort((a, b) => ms(a.start) - ms(b.start));
  const first = runs[0];
  if (!first) return [];
  if (result.configurations.every(one => one.source === 'track')) return asRead(runs, drawings);
  const entries = understood.named('configuration').map(block => ({
    name: String(get(block, 'name') ?? ''),
    from: get(block, 'from'),
  }));
  const timed = entries.flatMap(({ name, from }): Fitted[] => {
    if (typeof from !== 'string') return [];
    const at = instant(from, result.timezone.name, drawings[0]?.from ?? 0);
    return at === undefined ? [] : [{ name, at, day: dayOf(at, drawings) }];
  });
  const began = ms(first.start);
  const early = timed.filter(one => one.at! <= began);
  const start: Fitted = { name: early.at(-1)?.name ?? entries[0]?.name ?? first.configuration!, at: undefined, day: first.day };
  return [start, ...timed.filter(one => one.at! > began).sort((a, b) => a.at! - b.at!)];
}

/** As the track alone was read: a part goes on in the longest stop before its first run. */
function asRead(runs: Leg[], drawings: Drawing[]): Fitted[] {
  const parts: Fitted[] = [];
  runs.forEach((leg, index) => {
    const last = runs[index - 1];
    if (last && last.configuration === leg.configuration) return;
    const at = last && swapBetween(ms(last.end), ms(leg.start), drawings[leg.day - 1]);
    parts.push({ name: leg.configuration!, at, day: leg.day });
  });
  return parts;
}

/** The middle of the longest stop between two times, else the middle of the times. */
function swapBetween(from: number, to: number, drawing: Drawing | undefined): number {
  const stops = (drawing?.stops ?? []).filter(([a, b]) => b > from && a < to);
  const longest = stops.reduce<[number, number]>((most, stop) => (stop[1] - stop[0] > most[1] - most[0] ? stop : most), [0, 0]);
  const [a, b] = longest[1] > 0 ? [Math.max(longest[0], from), Math.min(longest[1], to)] : [from, to];
  return Math.round((a + b) / 2e3) * 1e3;
}

function dayOf(time: number, all: Drawing[]): number {
  const at = all.findIndex(day => time >= day.from - 3 * 3_600_000 && time <= day.to + 3 * 3_600_000);
  return Math.max(at, 0) + 1;
}

/** Puts the parts as they are now understood into the notes, with their times, to be changed there. */
function noteParts(notes: Notes, found: Found, timed: boolean): Block[] {
  const own = notes.named('configuration');
  const parts = fitted(found);
  if (own.length === parts.length && (!timed || own.slice(1).every(block => get(block, 'from') !== undefined))) return own;
  const pitch = new Map(own.map(block => [get(block, 'name'), get(block, 'pitch')]));
  for (const block of own) notes.remove(block);
  return parts.map((part, index) => notes.add('configuration', {
    name: part.name,
    from: timed && index > 0 ? when(part.at!, found.result) : undefined,
    pitch: pitch.get(part.name),
  }));
}

/** Whether the notes say when the parts went on. */
const isTimed = (notes: Notes): boolean => notes.named('configuration').some(block => get(block, 'from') !== undefined);

/** The reading of the parts is right as it is. */
export function confirmParts(notes: Notes, found: Found): void {
  noteParts(notes, found, true);
}

/** Takes another reading of a day: the part of each of its double runs, from 1. */
export function takeReading(notes: Notes, found: Found, day: number, parts: (number | null)[]): void {
  const { result, drawings } = found;
  const runs = result.double_runs.filter(run => run.day === day);
  const before = (runs[0]?.double_run ?? 1) - 1;
  const skipped = day === 1 ? 0 : before;
  const names = result.configurations.map(one => one.name);
  const name = (part: number): string => (names.length > part - 1 ? names[part - 1]! : String.fromCharCode(64 + part));
  const spans = runs.flatMap(run => {
    const part = parts[run.double_run - 1 - skipped];
    const legs = result.legs.filter(leg => run.legs.includes(leg.leg));
    if (!part || legs.length === 0) return [];
    return [{ part, from: Math.min(...legs.map(leg => ms(leg.start))), to: Math.max(...legs.map(leg => ms(leg.end))) }];
  }).sort((a, b) => a.from - b.from);
  for (const block of notes.named('configuration')) notes.remove(block);
  spans.forEach((span, index) => {
    const last = spans[index - 1];
    if (last?.part === span.part) return;
    const at = last && swapBetween(last.to, span.from, drawings[day - 1]);
    notes.add('configuration', { name: name(span.part), from: at === undefined ? undefined : when(at, result) });
  });
}

export function moveSwap(notes: Notes, found: Found, index: number, time: number): void {
  const blocks = noteParts(notes, found, true);
  const block = blocks[index];
  if (block) set(block, 'from', when(time, found.result));
}

export function addSwap(notes: Notes, found: Found, time: number, name: string): void {
  const parts = fitted(found);
  const blocks = noteParts(notes, found, true);
  const before = parts.reduce((last, part, at) => (part.at === undefined || part.at <= time ? at : last), 0);
  const values = { name, from: when(time, found.result) };
  if (blocks.length === 0) {
    notes.add('configuration', { name: 'A' });
    notes.add('configuration', values);
  } else {
    notes.add('configuration', values, true, blocks[before]);
  }
}

export function removeSwap(notes: Notes, found: Found, index: number): void {
  const blocks = noteParts(notes, found, true);
  const block = blocks[index];
  if (block) notes.remove(block);
  // One part all day: said with a time, else it would be a name for one of those found.
  const [first, second] = notes.named('configuration');
  const began = found.drawings[0]?.from;
  if (first && !second && began !== undefined) set(first, 'from', when(began + 1e3, found.result));
}

/** Gives a part another name, wherever the notes have the old one. */
export function rename(notes: Notes, found: Found, old: string, name: string): void {
  for (const block of noteParts(notes, found, isTimed(notes))) if (get(block, 'name') === old) set(block, 'name', name);
  for (const block of [...notes.named('leg'), ...notes.named('reading')]) {
    if (get(block, 'configuration') === old) set(block, 'configuration', name);
  }
}

/** Says which part was fitted at one swap, and that one only. */
export function fit(notes: Notes, found: Found, index: number, name: string): void {
  const block = noteParts(notes, found, true)[index];
  if (block) set(block, 'name', name);
}

/** A letter that no part has yet. */
export function freeName(found: Found): string {
  const taken = new Set(fitted(found).map(part => part.name));
  return [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'].find(letter => !taken.has(letter)) ?? 'another part';
}

/* Settings */

function noteSettings(notes: Notes, result: Result): Block[] {
  const own = notes.named('setting');
  if (own.length === result.settings.length) return own;
  for (const block of own) notes.remove(block);
  return result.settings.map(setting => notes.add('setting', { name: setting.name, percent: setting.percent ?? undefined }));
}

export function renameSetting(notes: Notes, result: Result, index: number, name: string): void {
  const block = noteSettings(notes, result)[index];
  if (!block) return;
  const old = get(block, 'name');
  set(block, 'name', name);
  for (const other of [...notes.named('leg'), ...notes.named('reading')]) {
    if (get(other, 'setting') === old) set(other, 'setting', name);
  }
}

export function settingPercent(notes: Notes, result: Result, index: number, percent: number | undefined): void {
  const block = noteSettings(notes, result)[index];
  if (block) set(block, 'percent', percent);
}

/** Gives the double run of a leg another part or setting; names that are not listed yet become so. */
export function setCell(notes: Notes, found: Found, leg: Leg, key: 'configuration' | 'setting', name: string): void {
  if (key === 'configuration') {
    if (notes.named('configuration').length > 0) noteParts(notes, found, isTimed(notes));
  } else if (notes.named('setting').length > 0) {
    noteSettings(notes, found.result);
  }
  setLeg(notes, leg, found.result, { [key]: name }, []);
}

/* The zone */

/** Says the zone; times that the notes have keep the instants they mean. */
export function setZone(notes: Notes, result: Result, zone: string): void {
  const old = result.timezone.name;
  const near = ms(result.tracks[0]?.from ?? '') || 0;
  for (const block of notes.blocks) {
    for (const key of ['from', 'at', 'cut', 'start', 'end', 'pair']) {
      const value = get(block, key);
      if (typeof value !== 'string' || block.name === 'wind') continue;
      const time = instant(value, old, near);
      if (time === undefined || /Z$/.test(value)) continue;
      const dated = /^\d{4}-/.test(value) ? `${date(time, zone)} ` : '';
      set(block, key, dated + clock(time, zone, time % 60_000 !== 0));
    }
  }
  notes.set('', 'timezone', zone);
}
