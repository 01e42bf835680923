/** What the person knows and the track does not: parts, settings, wind, water, battery. */

import { type App } from './app.ts';
import { addSwap, fit, fitted, freeName, moveSwap, removeSwap, rename, renameSetting, settingPercent } from './edits.ts';
import { byId, fill, h, svg } from './dom.ts';
import { Notes, type Value, get } from './notes.ts';
import { clock, date, inUnit, instant, longDate, ms, point } from './result.ts';
import { keyMark } from './runs.ts';

export function parts(app: App): void {
  const found = app.found!;
  const { result } = found;
  const zone = app.zone;
  const all = fitted(found);
  const names = [...new Set(all.map(part => part.name))];
  const rows = all.map((part, index) => {
    const own = result.configurations.findIndex(one => one.name === part.name);
    const input = h('input', { id: `part-${index}`, type: 'text', value: part.name, 'aria-label': `Name of the part ${index === 0 ? 'at the start' : `fitted at ${clock(part.at!, zone)}`}`, autocomplete: 'off',
      onchange: (event: Event) => {
        const name = (event.target as HTMLInputElement).value.trim();
        if (name !== '' && name !== part.name) app.edit(`“${part.name}” is now “${name}”`, (notes, now) => rename(notes, now, part.name, name));
      } });
    const earlier = [...new Set(all.slice(0, index).map(one => one.name))].filter(name => name !== part.name && name !== all[index - 1]?.name);
    return h('li', {}, keyMark(own), input, part.at === undefined ? h('span', { class: 'from' }, 'from the start') : swapTime(app, index, part.at),
      index > 0 && h('span', { class: 'row' },
        ...earlier.map(name => h('button', { id: `again-${index}-${names.indexOf(name)}`, onclick: () => app.edit(`“${name}” was fitted again`, (notes, now) => fit(notes, now, index, name)) }, `It was “${name}” again`)),
        all.filter(one => one.name === part.name).length > 1 && h('button', { id: `other-${index}`, onclick: () => app.edit('another part', (notes, now) => fit(notes, now, index, freeName(now))) }, 'It was another part'),
        h('button', { id: `unswap-${index}`, class: 'quiet', onclick: () => app.edit('a swap removed', (notes, now) => removeSwap(notes, now, index)) }, 'There was no swap')));
  });
  const stops = (app.drawing?.stops ?? []).filter(([a, b]) => b - a >= 120_000 && !all.some(part => part.at !== undefined && part.at >= a && part.at <= b));
  const pick = h('select', { id: 'new-swap', 'aria-label': 'Stop in which the part was swapped' },
    ...stops.map(([a, b]) => h('option', { value: (a + b) / 2 }, `${clock(a, zone)} to ${clock(b, zone)}`)));
  fill(byId('parts'), h('h2', {}, 'Parts'),
    h('p', {}, 'What was on the boat, in order. Drag a swap in the speed figure, where it settles on a stop, or move it here.'),
    h('ol', { class: 'parts' }, ...rows),
    stops.length > 0 && h('p', { class: 'row' }, h('label', { for: 'new-swap' }, 'Another swap in the stop'), pick,
      h('button', { id: 'add-swap', onclick: () => {
        const at = Number(pick.value);
        app.edit(`a swap at ${clock(at, zone)}`, (notes, now) => addSwap(notes, now, at, freeName(now)));
      } }, 'Add')));
  settings(app);
}

function swapTime(app: App, index: number, at: number): HTMLElement {
  const zone = app.zone;
  const several = app.found!.drawings.length > 1;
  const move = (to: number | undefined): void => {
    if (to !== undefined && to !== at) app.edit(`the swap moved to ${clock(to, zone)}`, (notes, found) => moveSwap(notes, found, index, to));
  };
  const stops = (app.drawing?.stops ?? []).filter(([a, b]) => b - a >= 60_000);
  const field = h('input', { id: `swap-${index}`, type: 'text', inputmode: 'numeric', value: several ? `${date(at, zone)} ${clock(at, zone, true)}` : clock(at, zone, true), 'aria-label': 'Time of the swap',
    onchange: (event: Event) => {
      const text = (event.target as HTMLInputElement).value;
      const to = instant(text, zone, at);
      if (to === undefined) (event.target as HTMLElement).setAttribute('aria-invalid', 'true');
      else move(to);
    } });
  const before = stops.filter(([, b]) => b < at).at(-1);
  const after = stops.find(([a]) => a > at);
  const middle = (stop: [number, number] | undefined): number | undefined => stop && (stop[0] + stop[1]) / 2;
  return h('span', { class: 'row' }, h('label', { for: `swap-${index}` }, 'fitted at'), field,
    before && h('button', { id: `swap-back-${index}`, onclick: () => move(middle(before)) }, `← stop at ${clock(before[0], zone)}`),
    after && h('button', { id: `swap-on-${index}`, onclick: () => move(middle(after)) }, `stop at ${clock(after[0], zone)} →`));
}

function settings(app: App): void {
  const { result } = app.found!;
  if (result.settings.length === 0) return fill(byId('settings'));
  fill(byId('settings'), h('h2', {}, 'Settings'), h('p', {}, 'Slowest first. With their percent of full power the report also says which setting of the new part gives the old speed.'),
    h('ol', { class: 'parts' }, ...result.settings.map((setting, index) => h('li', {},
      h('input', { id: `setting-${index}`, type: 'text', value: setting.name, 'aria-label': `Name of setting ${index + 1}`, autocomplete: 'off', onchange: (event: Event) => {
        const name = (event.target as HTMLInputElement).value.trim();
        if (name !== '' && name !== setting.name) app.edit(`setting “${name}”`, (notes, found) => renameSetting(notes, found.result, index, name));
      } }),
      h('span', { class: 'row' }, number(`percent-${index}`, '% of power', setting.percent, value =>
        app.edit(`“${setting.name}” is ${value ?? 'no'} %`, (notes, found) => settingPercent(notes, found.result, index, value))))))));
}

/** A number with its label; empty is unknown. */
function number(id: string, text: string, value: Value | null | undefined, change?: (value: number | undefined) => void): HTMLElement {
  return h('span', { class: 'field' }, h('input', { id, type: 'text', inputmode: 'decimal', size: 6, value: value ?? '', onchange: (event: Event) => {
    const input = event.target as HTMLInputElement;
    const typed = input.value.trim().replace(',', '.');
    const read = Number(typed);
    if (typed !== '' && !Number.isFinite(read)) return input.setAttribute('aria-invalid', 'true');
    input.removeAttribute('aria-invalid');
    change?.(typed === '' ? undefined : read);
  } }), h('label', { for: id }, text));
}

export function conditions(app: App): void {
  const { result } = app.found!;
  const notes = new Notes(app.notes);
  const { wind } = result;
  const given = wind.source === 'given';
  const unit = result.units;
  const speed = wind.speed_m_s === null ? undefined : inUnit(wind.speed_m_s, unit).toFixed(1);
  const water = (word: string | undefined, text: string): HTMLElement => h('label', { class: 'choice' },
    h('input', { id: `water-${word ?? 'unknown'}`, type: 'radio', name: 'water', checked: (result.current ?? undefined) === word, onchange: () =>
      app.edit(word === undefined ? 'the current is not known' : word === 'none' ? 'there is no current' : `the current is a ${word}`, text => text.set('water', 'current', word)) }), text);
  fill(byId('conditions'), h('h2', {}, 'Wind and water'),
    h('div', { class: 'windrow' }, dial(app),
      h('div', {},
        h('p', {}, wind.from_deg === null ? 'The wind is not known. Turn the arrow to where it blew from.'
          : `Wind from ${Math.round(wind.from_deg)}° (${point(wind.from_deg)}), ${given ? 'as you say' : `found in the track${wind.from_se_deg ? `, give or take ${Math.round(2 * wind.from_se_deg)}°` : ''}`}. ${given ? '' : 'Turn the arrow if it was otherwise.'}`),
        h('p', { class: 'row' }, h('label', { for: 'wind-speed' }, 'Its speed'), h('input', { id: 'wind-speed', type: 'text', inputmode: 'decimal', size: 5, value: speed ?? '', onchange: (event: Event) => {
          const input = event.target as HTMLInputElement;
          const value = Number(input.value.replace(',', '.'));
          if (input.value.trim() !== '' && !(value > 0)) return input.setAttribute('aria-invalid', 'true');
          app.edit(value > 0 ? `wind of ${value} ${unit}` : 'the wind’s speed is not known', text => text.set('wind', 'speed', value > 0 ? `${value} ${unit}` : undefined));
        } }), h('span', {}, unit), given && h('button', { id: 'wind-found', class: 'quiet', onclick: () => app.edit('the wind as it was found', text => text.set('wind', 'from', undefined)) }, 'As it was found')),
        h('fieldset', {}, h('legend', {}, 'Current'), water('none', 'none'), water('river', 'a river'), water('tide', 'a tide'), water(undefined, 'not known')))),
    h('p', { class: 'row' }, h('label', { for: 'resolve' }, 'Smallest change worth knowing'),
      number('resolve', '%', percentOf(notes.get('', 'resolve')), value => app.edit(`a change of ${value ?? 'any'} % is worth knowing`, text => text.set('', 'resolve', value === undefined ? undefined : `${value} %`)))),
    h('p', { class: 'row' }, h('label', { for: 'units' }, 'Speeds in'), h('select', { id: 'units', onchange: (event: Event) => {
      const chosen = (event.target as HTMLSelectElement).value;
      app.edit(`speeds in ${chosen}`, text => text.set('', 'units', chosen));
    } }, ...['kn', 'km/h', 'mph', 'm/s'].map(one => h('option', { value: one, selected: one === unit }, one))),
    h('label', { for: 'zone' }, 'Times in'), zoneSelect(app)),
    battery(app, notes));
}

const percentOf = (value: Value | undefined): string | undefined =>
  value === undefined ? undefined : String(value).replace(/\s*%$/, '');

function zoneSelect(app: App): HTMLElement {
  const names = [...new Set([app.zone, 'UTC', ...(Intl.supportedValuesOf?.('timeZone') ?? [])])];
  return h('select', { id: 'zone', onchange: (event: Event) => app.setZone((event.target as HTMLSelectElement).value) },
    ...names.map(name => h('option', { value: name, selected: name === app.zone }, name.replaceAll('_', ' '))));
}

/** The wind as an arrow that can be turned; it points where the wind goes. */
function dial(app: App): HTMLElement {
  const { wind } = app.result!;
  let from = wind.from_deg;
  const node = h('div', { id: 'wind-dial', class: `dial${from === null ? ' unknown' : ''}`, role: 'slider', tabindex: 0, 'aria-label': 'Direction the wind blows from', 'aria-valuemin': 0, 'aria-valuemax': 359 });
  const arrow = svg('g', {}, svg('path', { d: 'M50 12v62M50 84l-9-17h18z', class: 'arrow' }), svg('path', { d: 'M50 12l-8-7M50 22l-8-7M50 12l8-7M50 22l8-7', class: 'feather' }));
  const letters = [['N', 50, 9], ['E', 94, 51], ['S', 50, 93], ['W', 6, 51]] as const;
  node.append(svg('svg', { viewBox: '-4 -4 108 108', 'aria-hidden': 'true' }, svg('circle', { cx: 50, cy: 50, r: 36, class: 'ring' }),
    ...letters.map(([text, x, y]) => svg('text', { x, y, class: 'letter' }, text)), arrow));
  const shown = (): void => {
    arrow.setAttribute('transform', `rotate(${from ?? 0} 50 50) translate(50 50) scale(0.72) translate(-50 -50)`);
    node.setAttribute('aria-valuenow', String(Math.round(from ?? 0)));
    node.setAttribute('aria-valuetext', from === null ? 'not known' : `${Math.round(from)} degrees, ${point(from)}`);
  };
  shown();
  const settle = (): void => {
    if (from !== null && from !== wind.from_deg) {
      const degrees = Math.round(from) % 360;
      app.edit(`wind from ${degrees}°`, notes => notes.set('wind', 'from', degrees));
    }
  };
  let turning = false;
  const turn = (event: PointerEvent): void => {
    const box = node.getBoundingClientRect();
    const angle = (Math.atan2(event.clientX - box.left - box.width / 2, -(event.clientY - box.top - box.height / 2)) * 180) / Math.PI;
    // The tail is what is taken hold of: it lies where the wind comes from.
    from = Math.round((angle + 360) / 5) * 5 % 360;
    shown();
  };
  node.addEventListener('pointerdown', event => {
    turning = true;
    node.setPointerCapture(event.pointerId);
    turn(event);
  });
  node.addEventListener('pointermove', event => turning && turn(event));
  node.addEventListener('pointerup', () => {
    turning = false;
    settle();
  });
  node.addEventListener('pointercancel', () => {
    turning = false;
    from = wind.from_deg;
    shown();
  });
  node.addEventListener('keydown', event => {
    const by = { ArrowRight: 5, ArrowUp: 5, ArrowLeft: -5, ArrowDown: -5, PageUp: 45, PageDown: -45 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    from = (Math.round((from ?? 0) / 5) * 5 + by + 360) % 360;
    shown();
    settle();
  });
  return node;
}

function battery(app: App, notes: Notes): HTMLElement {
  const { result } = app.found!;
  const readings = notes.named('reading');
  const names = [...new Set(fitted(app.found!).map(part => part.name))];
  const part = h('select', { id: 'reading-part', 'aria-label': 'Part' }, ...names.map(name => h('option', { value: name }, name)));
  const setting = h('select', { id: 'reading-setting', 'aria-label': 'Setting' }, ...result.settings.map(one => h('option', { value: one.name }, one.name)));
  const amps = h('input', { id: 'reading-amps', type: 'text', inputmode: 'decimal', size: 5 });
  const volts = h('input', { id: 'reading-volts', type: 'text', inputmode: 'decimal', size: 5 });
  const log = notes.get('power', 'log');
  const value = (input: HTMLInputElement): number | undefined => {
    const read = Number(input.value.replace(',', '.'));
    return read > 0 ? read : undefined;
  };
  const text = (key: string, index: number): string => {
    const block = readings[index];
    return String((block && get(block, key)) ?? '');
  };
  return h('details', { id: 'battery' }, h('summary', {}, 'Battery and what the motor drew'),
    h('p', {}, 'With these the report also says what the change costs or saves, and how far a charge goes. Drop a log of the current beside the track if you have one.'),
    typeof log === 'string' && h('p', {}, `The log “${log}” is used.`),
    h('form', { class: 'row', onsubmit: (event: Event) => {
      event.preventDefault();
      const [charge, voltage, share] = ['amp-hours', 'volts', 'usable'].map(id => byId<HTMLInputElement>(id)) as [HTMLInputElement, HTMLInputElement, HTMLInputElement];
      // A charge without its voltage says nothing of the energy.
      if (value(charge) !== undefined && value(voltage) === undefined) return voltage.setAttribute('aria-invalid', 'true');
      app.edit('the battery', notes => {
        notes.set('battery', 'amp_hours', value(charge));
        notes.set('battery', 'volts', value(voltage));
        notes.set('battery', 'usable', value(share) === undefined ? undefined : `${value(share)} %`);
      });
    } },
      number('amp-hours', 'Ah', notes.get('battery', 'amp_hours')),
      number('volts', 'V', notes.get('battery', 'volts')),
      number('usable', '% of it may be used', percentOf(notes.get('battery', 'usable'))),
      h('button', { id: 'use-battery' }, 'Use this battery')),
    h('p', {}, 'Read off a clamp meter round one cable; open nothing.'),
    h('form', { class: 'row', onsubmit: (event: Event) => {
      event.preventDefault();
      if (value(amps) === undefined) return amps.setAttribute('aria-invalid', 'true');
      app.edit('a reading of the meter', text => {
        text.add('reading', { configuration: part.value, setting: setting.value, amps: value(amps), volts: value(volts) });
      });
    } }, part, setting, amps, h('label', { for: 'reading-amps' }, 'A'), volts, h('label', { for: 'reading-volts' }, 'V'), h('button', { id: 'add-reading' }, 'Add the reading')),
    readings.length > 0 && h('ul', {}, ...readings.map((_, index) => h('li', {},
      `“${text('configuration', index)}” at “${text('setting', index)}”: ${text('amps', index)} A${text('volts', index) ? `, ${text('volts', index)} V` : ''} `,
      h('button', { id: `unread-${index}`, class: 'quiet', onclick: () => app.edit('a reading removed', notes => { const one = notes.named('reading')[index]; if (one) notes.remove(one); }) }, 'Remove')))));
}

/** What only a person can write of the day, for those who read the article. */
export function story(app: App): void {
  const notes = new Notes(app.notes);
  const line = (section: string, key: string, label: string, hint: string): HTMLElement => {
    const id = `story-${section}-${key}`;
    return h('p', { class: 'row' }, h('label', { for: id }, label), h('input', { id, type: 'text', value: notes.get(section, key) ?? '', placeholder: hint, maxlength: 200, onchange: (event: Event) => {
      const text = (event.target as HTMLInputElement).value.trim();
      app.edit(`${label.toLowerCase()} noted`, now => now.set(section, key, text === '' ? undefined : text));
    } }));
  };
  const photo = notes.get('', 'photo');
  fill(byId('story'), h('summary', {}, 'Words and a picture for the article'),
    line('', 'change', 'What was changed', 'three blades against four'),
    line('boat', 'kind', 'The boat', 'open fishing boat'),
    line('boat', 'length', 'Its length', '4.6 m'),
    line('boat', 'motor', 'Its motor', 'electric outboard, 1.1 kW'),
    line('boat', 'load', 'On board', 'two people and 40 kg of gear'),
    line('water', 'place', 'Where it was', 'the north bay of the lake'),
    h('p', {}, h('label', { for: 'story-text' }, 'In your own words'), h('textarea', { id: 'story-text', rows: 5, maxlength: 2000, value: notes.get('', 'text') ?? '', onchange: (event: Event) => {
      const text = (event.target as HTMLTextAreaElement).value.trim();
      app.edit('your words noted', now => now.set('', 'text', text === '' ? undefined : text));
    } })),
    h('p', { class: 'row' }, typeof photo === 'string' ? `The picture is “${photo}”.` : 'Drop a photograph (JPEG or PNG) on the page to show it in the article.',
      typeof photo === 'string' && h('button', { id: 'no-photo', class: 'quiet', onclick: () => app.edit('the picture taken out', now => now.set('', 'photo', undefined)) }, 'Take it out')));
}

export function days(app: App): void {
  const { drawings, result } = app.found!;
  if (drawings.length < 2) return fill(byId('days'));
  fill(byId('days'), ...drawings.map((drawing, index) => h('button', {
    id: `day-${index + 1}`, 'aria-pressed': index + 1 === app.day ? 'true' : 'false', onclick: () => app.showDay(index + 1),
  }, longDate(drawing.from || ms(result.tracks[0]?.from ?? ''), app.zone))));
}

/** The notes as text, for whoever likes it. */
export function notesText(app: App): void {
  const area = byId<HTMLTextAreaElement>('notes-text');
  if (document.activeElement !== area) area.value = app.notes;
}
