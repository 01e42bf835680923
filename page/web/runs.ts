/** The double runs as a table, and the legs that were left out. */

import { type App } from './app.ts';
import { takeIn } from './edits.ts';
import { byId, fill, h, svg } from './dom.ts';
import { type Leg, bearing, clock, inUnit, ms } from './result.ts';
import { colour, mark } from './style.ts';

export function runs(app: App): void {
  const { result } = app.found!;
  const { units } = result;
  const { changed } = app;
  const shown = result.double_runs.filter(run => run.day === app.day);
  const figure = (value: number | null): string => (value === null ? '–' : inUnit(value, units).toFixed(2));
  const pick = (leg: Leg): HTMLElement => h('button', {
    id: `pick-${leg.leg}`, class: 'pick', 'data-leg': leg.leg, 'aria-label': `Leg ${leg.leg}${changed.has(leg.leg) ? ', put right by you' : ''}`,
    onclick: () => { app.select(leg.leg); toSlip(); },
  }, String(leg.leg), changed.has(leg.leg) && h('span', { class: 'changed', 'aria-hidden': 'true' }, ' ✎'));

  const rows = shown.map(run => {
    const legs = run.legs.flatMap(number => app.leg(number) ?? []);
    const part = result.configurations.findIndex(one => one.name === run.configuration);
    return h('tr', { 'data-run': run.double_run, onpointerenter: () => app.point(run.legs[0]), onpointerleave: () => app.point(undefined) },
      h('th', { scope: 'row' }, String(run.double_run)),
      h('td', {}, ...legs.map(pick)),
      h('td', {}, legs[0] ? clock(ms(legs[0].start), app.zone) : ''),
      h('td', { class: 'wide' }, ...legs.map((leg, at) => `${at > 0 ? ' / ' : ''}${bearing(leg.course_deg)}`)),
      h('td', { class: 'n both' }, legs.map(leg => figure(leg.speed_m_s)).join(' / ')),
      h('td', { class: 'n' }, h('strong', {}, figure(run.mean_m_s))),
      h('td', {}, keyMark(part), ' ', run.configuration),
      h('td', {}, run.setting));
  });
  const head = h('tr', {}, ...['', 'Legs', 'At', 'Course', `There / back, ${units}`, `Mean, ${units}`, 'Part', 'Setting'].map((text, at) =>
    h('th', { scope: 'col', class: ['', '', '', 'wide', 'n both', 'n', '', ''][at] }, text || h('span', { class: 'said' }, 'Double run'))));
  const table = shown.length === 0 ? h('p', {}, 'None on this day.')
    : h('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'Double runs' }, h('table', {}, h('thead', {}, head), h('tbody', {}, ...rows)));

  const left = app.legs.filter(leg => !leg.included);
  const others = left.length > 0 && h('details', { id: 'left-out' },
    h('summary', {}, `${left.length} leg${left.length === 1 ? '' : 's'} left out, and why`),
    h('ul', { class: 'left' }, ...left.map(leg => h('li', { onpointerenter: () => app.point(leg.leg), onpointerleave: () => app.point(undefined) },
      pick(leg), h('span', {}, `${clock(ms(leg.start), app.zone)} to ${clock(ms(leg.end), app.zone)}, ${bearing(leg.course_deg)}, ${figure(leg.speed_m_s)} ${units}: ${leg.reason}`),
      h('button', { id: `in-${leg.leg}`, class: 'quiet', onclick: () => app.edit(`leg ${leg.leg} taken in`, (text, found) => takeIn(text, leg, found.result)) }, 'Take in')))));
  fill(byId('runs'), h('h2', {}, 'The double runs'), table, others);
}

/** The mark of a part, as in the figures. */
export function keyMark(part: number): SVGElement {
  return svg('svg', { viewBox: '0 0 16 16', class: 'key', 'aria-hidden': 'true' }, svg('path', { d: mark(part), fill: colour(part) }));
}

export function toSlip(): void {
  const node = byId('slip');
  const box = node.getBoundingClientRect();
  if (box.top < 0 || box.bottom > innerHeight) node.scrollIntoView({ block: 'nearest', behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
  document.getElementById('slip-title')?.focus({ preventScroll: true });
}

/** What is pointed at, in the table. */
export function point(app: App): void {
  const near = app.leg(app.hovered)?.double_run;
  for (const row of document.querySelectorAll<HTMLElement>('#runs tr[data-run]')) {
    row.classList.toggle('near', near !== undefined && near !== null && row.dataset.run === String(near));
    row.classList.toggle('chosen', row.querySelector(`[data-leg="${app.selected}"]`) !== null);
  }
}
