/** What can be put right of the leg that is picked. */

import { type App } from './app.ts';
import { asFound, fitted, join, leaveOut, next, noted, setCell, setLeg, takeIn, when } from './edits.ts';
import { byId, fill, h } from './dom.ts';
import { Notes } from './notes.ts';
import { type Leg, bearing, clock, instant, ms, speed } from './result.ts';

const REASONS = ['a ferry’s wake', 'weeds', 'gave way to another boat', 'the lever was moved'];

export function slip(app: App): void {
  const node = byId('slip');
  const leg = app.leg(app.selected);
  if (!leg) {
    fill(node, h('h2', { class: 'low', id: 'slip-title', tabindex: -1 }, 'Put a leg right'),
      h('p', {}, 'Pick a leg in a figure or in the table. Here you can then leave it out or take it in, join or cut it, move its ends, or pair it with another.'),
      steps(app));
    return;
  }
  const { result } = app.found!;
  const zone = app.zone;
  const edit = app.edit.bind(app);
  const name = `leg ${leg.leg}`;
  const after = next(leg, result);
  const said = noted(new Notes(app.notes), leg, result);
  const state = leg.included ? `It counts: double run ${leg.double_run}, “${leg.configuration}” at “${leg.setting}”.` : `Left out: ${leg.reason}.`;

  const why = h('input', { id: 'why', type: 'text', list: 'reasons', placeholder: 'Why? A ferry’s wake, weeds …', 'aria-label': 'Why it is left out', autocomplete: 'off' });
  const out = (): void => edit(`${name} left out`, (notes, found) => leaveOut(notes, leg, found.result, why.value.trim() || 'left out by hand'));

  const cutAt = h('input', { id: 'cut-at', type: 'text', inputmode: 'numeric', 'aria-label': 'Where to cut', value: clock(cutTime(app, leg), zone, true) });
  const pairs = result.legs.filter(one => one.day === leg.day && one.leg !== leg.leg && apart(one, leg) > 90)
    .sort((a, b) => gap(a, leg) - gap(b, leg)).slice(0, 12);
  const mate = leg.double_run === null ? undefined : result.legs.find(one => one.double_run === leg.double_run && one.leg !== leg.leg);
  const partner = h('select', { id: 'partner', 'aria-label': 'The leg there or back' },
    ...pairs.map(one => h('option', { value: one.leg, selected: one.leg === mate?.leg }, `leg ${one.leg}, ${clock(ms(one.start), zone)}${one.included ? '' : ', left out'}`)));

  fill(node,
    h('h2', { class: 'low', id: 'slip-title', tabindex: -1 }, `Leg ${leg.leg}`, said.length > 0 && h('span', { class: 'changed' }, ' put right by you')),
    h('p', {}, `${clock(ms(leg.start), zone, true)} to ${clock(ms(leg.end), zone, true)}, on ${bearing(leg.course_deg)} at ${speed(leg.speed_m_s, result.units)}. ${state}`),
    leg.included
      ? h('form', { class: 'row', onsubmit: (event: Event) => { event.preventDefault(); out(); } }, why,
        h('datalist', { id: 'reasons' }, ...REASONS.map(reason => h('option', { value: reason }))),
        h('button', { id: 'leave-out' }, 'Leave it out'))
      : h('p', { class: 'row' }, h('button', { id: 'take-in', onclick: () => edit(`${name} taken in`, (notes, found) => takeIn(notes, leg, found.result)) }, 'Take it in')),
    h('p', { class: 'row' },
      after && h('button', { id: 'join', onclick: () => edit(`${name} and leg ${after.leg} joined`, (notes, found) => join(notes, leg, found.result)) }, `Join with leg ${after.leg}, the next`),
      said.length > 0 && h('button', { id: 'as-found', onclick: () => edit(`${name} as it was found`, (notes, found) => asFound(notes, leg, found.result)) }, 'As it was found')),
    h('form', { class: 'row', onsubmit: (event: Event) => {
      event.preventDefault();
      const at = instant(cutAt.value, zone, (ms(leg.start) + ms(leg.end)) / 2);
      if (at !== undefined) edit(`${name} cut at ${clock(at, zone, true)}`, (notes, found) => setLeg(notes, leg, found.result, { cut: when(at, found.result) }, ['join', 'exclude']));
      else cutAt.setAttribute('aria-invalid', 'true');
    } }, h('label', { for: 'cut-at' }, 'Cut it at'), cutAt, h('button', { id: 'cut' }, 'Cut')),
    ends(app, leg, 'start', 'Begins'),
    ends(app, leg, 'end', 'Ends'),
    pairs.length > 0 && h('form', { class: 'row', onsubmit: (event: Event) => {
      event.preventDefault();
      const other = Number(partner.value);
      edit(`${name} and leg ${other} paired`, (notes, found) => setLeg(notes, leg, found.result, { pair: other }, ['exclude', 'include']));
    } }, h('label', { for: 'partner' }, 'Pair with'), partner, h('button', { id: 'pair' }, 'Pair')),
    leg.included && cell(app, leg, 'configuration', 'Part', [...new Set(fitted(app.found!).map(part => part.name))]),
    leg.included && cell(app, leg, 'setting', 'Setting', result.settings.map(setting => setting.name)),
    leg.included && watts(app, leg),
    steps(app));
}

/** From leg to leg. */
function steps(app: App): HTMLElement {
  return h('p', { class: 'row steps' },
    h('button', { id: 'step-back', class: 'quiet', onclick: () => app.step(-1) }, '← The leg before'),
    h('button', { id: 'step-on', class: 'quiet', onclick: () => app.step(1) }, 'The next leg →'));
}

const gap = (a: Leg, b: Leg): number => Math.max(ms(a.start) - ms(b.end), ms(b.start) - ms(a.end));

const apart = (a: Leg, b: Leg): number => {
  const turn = Math.abs(a.course_deg - b.course_deg) % 360;
  return Math.min(turn, 360 - turn);
};

const cutTime = (app: App, leg: Leg): number => {
  const at = app.cursor;
  return at !== undefined && at > ms(leg.start) && at < ms(leg.end) ? at : (ms(leg.start) + ms(leg.end)) / 2;
};

function ends(app: App, leg: Leg, key: 'start' | 'end', text: string): HTMLElement {
  const zone = app.zone;
  const now = ms(leg[key]);
  const move = (to: number): void => {
    if (to === now || !app.result) return;
    app.edit(`leg ${leg.leg} ${text.toLowerCase()} at ${clock(to, zone, true)}`, (notes, found) =>
      setLeg(notes, leg, found.result, { [key]: when(to, found.result) }, key === 'end' ? ['join'] : []));
  };
  const field = h('input', { id: `${key}-at`, type: 'text', inputmode: 'numeric', value: clock(now, zone, true) });
  return h('form', { class: 'row', onsubmit: (event: Event) => {
    event.preventDefault();
    const at = instant(field.value, zone, now);
    if (at === undefined) field.setAttribute('aria-invalid', 'true');
    else move(at);
  } }, h('label', { for: `${key}-at` }, text), field,
  h('button', { type: 'button', id: `${key}-earlier`, 'aria-label': `−10 s, ${text.toLowerCase()} earlier`, onclick: () => move(now - 10_000) }, '−10 s'),
  h('button', { type: 'button', id: `${key}-later`, 'aria-label': `+10 s, ${text.toLowerCase()} later`, onclick: () => move(now + 10_000) }, '+10 s'),
  h('button', { class: 'hidden-submit', tabindex: -1, 'aria-hidden': 'true' }, 'Set'));
}

function cell(app: App, leg: Leg, key: 'configuration' | 'setting', text: string, names: string[]): HTMLElement | false {
  if (names.length < 2) return false;
  return h('p', { class: 'row' }, h('label', { for: `leg-${key}` }, text),
    h('select', { id: `leg-${key}`, onchange: (event: Event) => {
      const name = (event.target as HTMLSelectElement).value;
      app.edit(`leg ${leg.leg}: ${text.toLowerCase()} “${name}”`, (notes, found) => setCell(notes, found, leg, key, name));
    } }, ...names.map(name => h('option', { value: name, selected: name === leg[key] }, name))));
}

function watts(app: App, leg: Leg): HTMLElement {
  const known = noted(new Notes(app.notes), leg, app.result!).find(one => one.key === 'watts')?.value;
  return h('p', { class: 'row' }, h('label', { for: 'leg-watts' }, 'Motor drew, W'),
    h('input', { id: 'leg-watts', type: 'text', inputmode: 'decimal', value: known ?? '', onchange: (event: Event) => {
      const value = Number((event.target as HTMLInputElement).value.replace(',', '.'));
      app.edit(`leg ${leg.leg}: ${value || 'no'} watts`, (notes, found) =>
        setLeg(notes, leg, found.result, value > 0 ? { watts: value } : {}, ['watts']));
    } }));
}
