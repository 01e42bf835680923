/** The answer in words and one small figure, its doubts as questions, and what to keep in mind. */

import { type App } from './app.ts';
import { confirmParts, takeReading } from './edits.ts';
import { byId, fill, h, svg } from './dom.ts';
import { type Comparison, type Doubt, type Result, clock, longDate, percent, places, range as rangeOf, speed } from './result.ts';
import { colour, mark } from './style.ts';

/** The sentence that answers. */
export function sentence(one: Comparison): { strong: string; rest: string } {
  const range = rangeOf(one.percent);
  const { changed, baseline } = one;
  if (!range) return { strong: `“${changed}” cannot be compared with “${baseline}”.`, rest: capital(one.reason ?? '') };
  const digits = places(range);
  const size = Math.abs(range.value).toFixed(digits);
  const span = `Between ${percent(range.low, digits)} and ${percent(range.high, digits)} % with 95 % probability.`;
  switch (one.verdict) {
    case 'faster':
      return { strong: `“${changed}” was ${size} % faster than “${baseline}”.`, rest: span };
    case 'slower':
      return { strong: `“${changed}” was ${size} % slower than “${baseline}”.`, rest: span };
    case 'no larger difference':
      return { strong: `“${changed}” and “${baseline}” differ by less than what you wanted to know.`, rest: span };
    case 'too few runs':
      return { strong: `Too few runs to tell “${changed}” from “${baseline}”.`, rest: `${span} Two double runs of each, at least, are needed.` };
    default:
      return { strong: `The day does not show whether “${changed}” is faster than “${baseline}”.`, rest: span };
  }
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** The answer as it is announced. */
export function announced(result: Result): string {
  const main = mainOnes(result);
  if (main.length === 0) return nothing(result);
  return main.map(one => {
    const { strong, rest } = sentence(one);
    return `${strong} ${rest}`;
  }).join(' ');
}

const mainOnes = (result: Result): Comparison[] => {
  const pooled = result.comparisons.filter(one => one.setting === null);
  return pooled.length > 0 ? pooled : result.comparisons;
};

function nothing(result: Result): string {
  if (result.legs.length === 0) return 'No leg was found: nowhere does the boat hold one heading for long enough.';
  if (result.double_runs.length === 0) {
    return `No double run was found among ${result.legs.length} legs. Where two legs go there and back on one line, pick one and pair it with the other.`;
  }
  const parts = result.configurations.length;
  return parts < 2
    ? `${result.double_runs.length} double runs were found, all with one part. Say when the other one went on: “Parts”, below.`
    : 'The double runs give nothing to compare.';
}

export function answer(app: App): void {
  const result = app.result!;
  const main = mainOnes(result);
  const title = byId<HTMLTextAreaElement>('title');
  if (document.activeElement !== title) title.value = result.title ?? '';
  grow(title);
  const days = app.found!.drawings.filter(day => day.to > day.from);
  const first = days[0];
  const span = days.length > 1 ? `${days.length} days, from ${longDate(first!.from, app.zone)}`
    : first ? `${longDate(first.from, app.zone)}, ${clock(first.from, app.zone)} to ${clock(first.to, app.zone)}` : '';
  fill(byId('dateline'), span);

  const unit = result.units;
  const lines = main.length === 0
    ? [h('p', { class: 'strong' }, nothing(result))]
    : main.flatMap(one => {
      const { strong, rest } = sentence(one);
      return [h('p', { class: 'strong' }, strong), h('p', { class: 'rest' }, rest, meaning(one, result), couldMove(one))];
    });
  fill(byId('answer'), ...lines, chart(result));

  const counted = result.legs.filter(leg => leg.included).length;
  const basis = result.double_runs.length === 0 ? '' :
    `Rests on ${counted} of ${result.legs.length} legs: ${result.double_runs.length} double runs, there and back on one line.`;
  fill(byId('basis'), basis, result.wind.from_deg === null ? '' : ` Wind from ${Math.round(result.wind.from_deg)}°${result.wind.speed_m_s === null ? '' : ` at ${speed(result.wind.speed_m_s, unit)}`}, ${source(result.wind.source)}.`);
}

/** As high as its text. */
export function grow(area: HTMLTextAreaElement): void {
  area.style.height = 'auto';
  area.style.height = `${area.scrollHeight + 2}px`;
}

const source = (from: string): string =>
  ({ given: 'as you say', log: 'from the wind log', drift: 'read off the drift of the idle boat', legs: 'read off legs on several headings' })[from] ?? from;

/** What the change is worth over a nautical mile. */
function meaning(one: Comparison, result: Result): string {
  const rows = result.comparisons.filter(other => other.setting !== null && other.changed === one.changed && other.baseline === one.baseline);
  const row = rows.at(-1);
  if (!row?.baseline_m_s || !row.changed_m_s || !['faster', 'slower'].includes(one.verdict)) return '';
  const seconds = Math.round(1852 / row.baseline_m_s - 1852 / row.changed_m_s);
  const time = Math.abs(seconds) < 90 ? `${Math.abs(seconds)} s` : `${Math.floor(Math.abs(seconds) / 60)} min ${Math.abs(seconds) % 60} s`;
  return ` At ${speed(row.baseline_m_s, result.units)} that is ${time} ${seconds > 0 ? 'less' : 'more'} for each nautical mile.`;
}

function couldMove(one: Comparison): string {
  const doubts = (one.doubts ?? []).filter(doubt => doubt.could_move_percent !== null && Math.abs(doubt.could_move_percent) >= 0.05);
  if (doubts.length === 0) return '';
  const words = doubts.map(doubt => `${cause(doubt)} by ${Math.abs(doubt.could_move_percent!).toFixed(1)} points`);
  return ` What could move it most: ${words.join('; ')}.`;
}

const cause = (doubt: Doubt): string => {
  if (doubt.doubt === 'double_run') return `leaving out double run ${doubt.double_run}`;
  const known: Record<string, string> = {
    time: 'what drifts through a day (battery, load, weeds)',
    wind: 'the wind',
    current: 'the current',
    wind_or_current: 'whether wind or current made the two directions differ',
  };
  return known[doubt.doubt] ?? doubt.doubt.replaceAll('_', ' ');
};

/** Change by setting with its interval: mark, bar and figure. */
function chart(result: Result): HTMLElement | null {
  const rows = result.comparisons.filter(one => rangeOf(one.percent));
  if (rows.length === 0) return null;
  const low = Math.min(0, ...rows.map(one => rangeOf(one.percent)!.low));
  const high = Math.max(0, ...rows.map(one => rangeOf(one.percent)!.high));
  const pad = (high - low) * 0.08 || 1;
  const x = (value: number): number => ((value - low + pad) / (high - low + 2 * pad)) * 100;
  const list = h('ul', { class: 'intervals' });
  const several = new Set(rows.map(one => `${one.changed}/${one.baseline}`)).size > 1;
  for (const one of rows) {
    const range = rangeOf(one.percent)!;
    const part = result.configurations.findIndex(other => other.name === one.changed);
    const digits = places(range);
    const name = one.setting === null ? 'all settings' : `at ${one.setting}`;
    const bar = svg('svg', { viewBox: '0 0 100 20', preserveAspectRatio: 'none', 'aria-hidden': 'true' },
      svg('line', { x1: x(0), x2: x(0), y1: 0, y2: 20, class: 'zero', 'vector-effect': 'non-scaling-stroke' }),
      svg('line', { x1: x(range.low), x2: x(range.high), y1: 10, y2: 10, stroke: colour(part), class: one.setting === null ? 'bar all' : 'bar', 'vector-effect': 'non-scaling-stroke' }));
    const dot = h('span', { class: 'dot', style: `left:${x(range.value).toFixed(2)}%` });
    dot.append(svg('svg', { viewBox: '0 0 16 16', 'aria-hidden': 'true' }, svg('path', { d: mark(part), fill: colour(part) })));
    list.append(h('li', { class: one.setting === null ? 'all' : '' },
      h('span', { class: 'name' }, several ? `${one.changed} ${name}` : capital(name)),
      h('span', { class: 'strip' }, bar, dot),
      h('span', { class: 'figure' }, `${percent(range.value, digits)} %`),
      h('span', { class: 'interval' }, `${percent(range.low, digits)} to ${percent(range.high, digits)}`)));
  }
  return h('div', {}, list, h('p', { class: 'small' }, `Change of speed of the new part against the old, with its 95 % interval; the upright line is no change.`));
}

/* Doubts */

const asideSaid = new Set<string>();

/** What only the person knows: asked with the answers as buttons. */
export function doubts(app: App): void {
  const result = app.result!;
  const asked: HTMLElement[] = [];
  if (app.trouble) {
    asked.push(h('div', { class: 'card trouble', role: 'alert' }, h('pre', {}, app.trouble),
      app.past.length > 0 && h('button', { id: 'trouble-undo', onclick: () => app.undo() }, 'Undo the last change')));
  }
  const zone = farZone(app);
  if (zone && !asideSaid.has('zone')) asked.push(zone);
  const reading = unclear(app);
  if (reading) asked.push(reading);
  if (result.current === null && result.double_runs.length > 0 && !asideSaid.has('current')) {
    const choice = (word: string, text: string): HTMLElement => h('button', {
      id: `current-${word}`,
      onclick: () => app.edit(word === 'none' ? 'there is no current' : `the current is a ${word}`, notes => notes.set('water', 'current', word)),
    }, text);
    asked.push(h('div', { class: 'card ask' }, h('h2', { class: 'low' }, 'Is there a current where you ran?'),
      h('p', {}, 'Wind and current both make one way faster than the other. The track alone cannot always tell which it was; you can.'),
      h('p', { class: 'choices' }, choice('none', 'None, still water'), choice('river', 'A river'), choice('tide', 'A tide'),
        h('button', { id: 'current-unknown', class: 'quiet', onclick: () => { asideSaid.add('current'); app.tell('found'); } }, 'I do not know'))));
  }
  if (result.wind.from_deg === null && result.double_runs.length > 0 && !asideSaid.has('wind')) {
    const from = (degrees: number, text: string): HTMLElement => h('button', {
      id: `wind-${text}`, class: 'compass',
      onclick: () => app.edit(`wind from ${text}`, notes => notes.set('wind', 'from', degrees)),
    }, text);
    asked.push(h('div', { class: 'card ask' }, h('h2', { class: 'low' }, 'Where did the wind blow from?'),
      h('p', {}, result.wind.remark ? `The track does not say: ${result.wind.remark.replaceAll("'", '’')}.` : 'The track does not say.'),
      h('p', { class: 'choices' }, ...['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'].map((text, at) => from(at * 45, text)),
        h('button', { id: 'wind-unknown', class: 'quiet', onclick: () => { asideSaid.add('wind'); app.tell('found'); } }, 'I do not know'))));
  }
  fill(byId('doubts'), ...asked);

  const handled = new Set(['grouped-from-track', 'wind-or-current']);
  const said = result.warnings.filter(one => !handled.has(one.code)).map(one => forThePage(one.text)).filter(text => text !== '');
  const list = [...new Set(said)].map(text => h('li', {}, text));
  fill(byId('warnings'), list.length > 0 && h('h2', {}, 'Keep in mind'), list.length > 0 && h('ul', {}, ...list));
}

/** Sentences about options of the command line say nothing here. */
const forThePage = (text: string): string =>
  text.split(/(?<=[.!?])\s+(?=[A-Z])/).filter(one => !/\s--[a-z]/.test(` ${one}`)).join(' ').trim();

/** Two readings of the day, side by side. */
function unclear(app: App): HTMLElement | null {
  const { days, configurations, settings, double_runs } = app.result!;
  const reading = days[app.day - 1]?.reading;
  const runs = double_runs.filter(run => run.day === app.day);
  if (!reading?.other || configurations.some(one => one.source === 'notes')) return null;
  if (!reading.unclear && reading.probability >= 0.8) return null;
  const other = reading.other;
  const side = (name: string, parts: number, levels: number, doubles: number, share: number, says: Comparison[], button: HTMLElement | null): HTMLElement =>
    h('div', { class: 'reading' }, h('h3', {}, name),
      h('p', {}, `${parts} part${parts === 1 ? '' : 's'}, ${levels} setting${levels === 1 ? '' : 's'}, ${doubles} double runs. ${Math.round(share * 100)} % probable.`),
      ...answersOf(says).map(one => h('p', { class: 'says' }, one)), button);
  return h('div', { class: 'card ask' }, h('h2', { class: 'low' }, 'How was it? The day can be read in two ways.'),
    h('div', { class: 'readings' },
      side('As shown below', configurations.length, settings.length, runs.length, reading.probability, app.result!.comparisons,
        h('button', { id: 'reading-own', onclick: () => app.edit('the day was as shown', confirmParts) }, 'It was like this')),
      side('Or', other.configurations, other.settings, other.double_runs, other.probability, other.comparisons,
        h('button', { id: 'reading-other', onclick: () => app.edit('the day was the other way', (notes, found) => takeReading(notes, found, app.day, other.parts)) }, 'It was like that'))));
}

function answersOf(comparisons: Comparison[]): string[] {
  const pooled = comparisons.filter(one => one.setting === null);
  const shown = (pooled.length > 0 ? pooled : comparisons).map(one => sentence(one).strong);
  return shown.length > 0 ? shown : ['Nothing to compare.'];
}

/** A track far from the browser's own zone was run somewhere else. */
function farZone(app: App): HTMLElement | null {
  const drawing = app.drawing;
  if (!drawing?.origin || app.notes.includes('timezone') && !app.zoneAssumed) return null;
  const sun = drawing.origin[1] / 15;
  const own = -new Date(drawing.from).getTimezoneOffset() / 60;
  if (Math.abs(sun - own) < 3.5 || Math.abs(sun - own) > 20.5) return null;
  return h('div', { class: 'card ask' }, h('h2', { class: 'low' }, 'Which time zone was it?'),
    h('p', {}, `Times are shown in ${app.zone}, as this machine has it, but the track lies elsewhere.`),
    h('p', { class: 'choices' }, zonePicker(app, 'zone-asked'),
      h('button', { id: 'zone-keep', class: 'quiet', onclick: () => { asideSaid.add('zone'); app.tell('found'); } }, 'Leave it so')));
}

export function zonePicker(app: App, id: string): HTMLElement {
  const names = Intl.supportedValuesOf?.('timeZone') ?? [];
  const all = [...new Set([app.zone, 'UTC', ...names])];
  const select = h('select', { id, 'aria-label': 'Time zone', onchange: (event: Event) => {
    app.setZone((event.target as HTMLSelectElement).value);
  } }, ...all.map(name => h('option', { value: name, selected: name === app.zone }, name.replaceAll('_', ' '))));
  return select;
}
