/** Before the day: a few questions, and the card to print. */

import { type Engine, type Output, text } from './engine.ts';
import { byId, fill, h } from './dom.ts';
import { save } from './out.ts';

const KNOT = 1852 / 3600;

export function plan(engine: Engine, say: (text: string) => void): void {
  const field = (id: string, label: string, value: string, unit: string, hint = ''): HTMLElement =>
    h('p', { class: 'row' }, h('label', { for: id }, label), h('input', { id, type: 'text', inputmode: 'decimal', size: 8, value }), h('span', {}, unit), hint !== '' && h('span', { class: 'hint' }, hint));
  const out = h('div', { id: 'plan-out', 'aria-live': 'polite' });
  const number = (id: string): number | null => {
    const typed = byId<HTMLInputElement>(id).value.trim().replace(',', '.');
    const read = Number(typed);
    return typed === '' || !Number.isFinite(read) ? null : read;
  };
  const form = h('form', { onsubmit: async (event: Event) => {
    event.preventDefault();
    const words = (id: string): string => byId<HTMLInputElement>(id).value.trim();
    const scaled = (id: string, by: number): number | null => {
      const read = number(id);
      return read === null ? null : read * by;
    };
    const asked = {
      title: null,
      resolve: (number('plan-resolve') ?? 5) / 100,
      power: 0.8,
      speeds_m_s: words('plan-speeds').split(/[;\s]+|,\s+/).map(one => Number(one.replace(',', '.')) * KNOT).filter(one => Number.isFinite(one) && one > 0),
      parts: [words('plan-old') || 'old part', words('plan-new') || 'new part'],
      water_m: number('plan-water'),
      time_s: scaled('plan-time', 3600),
      wind_from: null,
      wind_m_s: scaled('plan-wind', KNOT),
      axis: null,
      mass_kg: null,
      earlier: null,
      swap_s: scaled('plan-swap', 60),
      draws_w: [],
      battery_wh: null,
      start: null,
      units: 'kn',
    };
    const answer = await engine.plan(asked);
    if (answer.kind === 0) {
      fill(out, h('div', { class: 'card trouble' }, h('pre', {}, text(answer))));
      say(text(answer));
      return;
    }
    const file = (name: string): Output | undefined => answer.outputs.find(one => one.path === name);
    const card = new TextDecoder().decode(file('card.html')?.bytes);
    const frame = h('iframe', { title: 'The card for the boat', sandbox: 'allow-same-origin allow-modals', class: 'paper' });
    frame.srcdoc = card;
    fill(out, h('p', { class: 'row' },
      h('button', { id: 'print-card', onclick: () => frame.contentWindow?.print() }, 'Print the card'),
      h('button', { id: 'save-card', onclick: () => save('card.html', file('card.html')!.bytes) }, 'Save the card'),
      h('button', { id: 'save-plan-notes', onclick: () => save('notes.toml', file('notes.toml')!.bytes) }, 'Save the notes to fill in')), frame);
    say('The plan is ready: the card is below the form.');
  } },
  h('p', {}, 'Before the day: how many runs, in what order, and what they can tell. The card goes on board.'),
  field('plan-resolve', 'Smallest change worth knowing', '5', '%'),
  field('plan-speeds', 'Speeds you expect, one for each setting', '3.0 4.0', 'kn', 'slowest first, a space between'),
  field('plan-old', 'The old part', 'old part', ''),
  field('plan-new', 'The new part', 'new part', ''),
  field('plan-water', 'Straight water there is', '600', 'm'),
  field('plan-time', 'Time on the water', '3', 'hours'),
  field('plan-swap', 'A swap takes', '15', 'minutes'),
  field('plan-wind', 'Wind you expect', '8', 'kn', 'empty where you do not know'),
  h('p', {}, h('button', { id: 'make-plan' }, 'Plan the day')));
  fill(byId('plan-form'), form, out);
}
