/** The page put together. */

import { App } from './app.ts';
import { announced, answer, doubts, grow } from './answer.ts';
import { conditions, days, notesText, parts, story } from './conditions.ts';
import { byId, fill, h } from './dom.ts';
import { Engine, type FileIn, type Output, text } from './engine.ts';
import { Notes } from './notes.ts';
import { forget, keep, kept, png, save, zip } from './out.ts';
import { plan } from './plan.ts';
import { point, runs } from './runs.ts';
import { slip } from './slip.ts';
import { timeFigure } from './time.ts';
import { trackFigure } from './track.ts';

const inlined = (id: string): string => document.getElementById(id)?.textContent ?? '';
const live = byId('live');
/** Says something to whoever listens, and shows it for a while. */
function say(what: string, shown = what.split('\n')[0] ?? ''): void {
  live.textContent = what;
  const note = byId('said');
  note.textContent = shown;
  // Shown anew, also where the words are the same.
  note.style.animation = 'none';
  void note.offsetWidth;
  note.style.animation = '';
}

const engine = new Engine(inlined('module'), inlined('worker'));
const app = new App(engine, label => {
  if (app.trouble !== '') return say(app.trouble);
  const done = `${label.charAt(0).toUpperCase()}${label.slice(1)}.`;
  say(`${done} ${app.result ? announced(app.result) : ''}`, done);
});
Object.assign(window, { thereback: app });

/* Opening */

const ZONE = (() => {
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  return zone && zone !== 'Etc/Unknown' ? zone : 'UTC';
})();

function freshNotes(zone: string): string {
  return `# What was put right by hand. With the command line the same answer comes from\n#   thereback report TRACK --notes notes.toml\ntimezone = "${zone}"\nunits = "kn"\n`;
}

async function open(given: FileIn[], notes?: string): Promise<void> {
  byId('welcome-said').textContent = '';
  const texts = given.filter(file => /\.toml$/i.test(file.name));
  const files = given.filter(file => !/\.toml$/i.test(file.name));
  const known = notes ?? (texts.length > 0 ? new TextDecoder().decode(texts.at(-1)!.bytes) : undefined);
  if (files.length === 0 && !app.found) {
    if (known !== undefined) {
      pending = known;
      return refuse('The notes are kept. Now drop the track they belong to.');
    }
    return refuse('There was no file in that. Drop a track: GPX, NMEA 0183 or a table (CSV).');
  }
  if (files.length > 0) {
    document.body.classList.add('working');
    say(`Reading ${files.map(file => file.name).join(', ')} …`);
    const answers = await engine.add(files);
    document.body.classList.remove('working');
    const troubles: string[] = [];
    answers.forEach((read, index) => {
      const file = files[index]!;
      if (read.kind === 0) troubles.push(text(read));
      else app.files.push({ ...file, kind: read.kind });
    });
    if (troubles.length > 0) refuse(troubles.join('\n\n'));
    if (!app.files.some(file => file.kind === 1)) {
      if (troubles.length === 0) refuse('That goes with a track; drop the track as well.');
      return;
    }
  }
  let next = known ?? pending ?? (app.notes || freshNotes(ZONE));
  pending = undefined;
  if (known === undefined && app.notes === '') app.zoneAssumed = true;
  const edited = new Notes(next);
  // Without a zone in the notes this machine's is said, so that the command line reads them alike.
  if (edited.get('', 'timezone') === undefined) {
    edited.set('', 'timezone', ZONE);
    app.zoneAssumed = true;
  }
  for (const file of app.files) {
    if (file.kind === 2 && edited.get('wind', 'log') === undefined) edited.set('wind', 'log', file.name);
    if (file.kind === 3 && edited.get('power', 'log') === undefined) edited.set('power', 'log', file.name);
    if (file.kind === 4 && edited.get('', 'photo') === undefined) edited.set('', 'photo', file.name);
  }
  next = edited.text();
  if (app.found && app.notes !== next) app.become(next, known === undefined ? 'a file added' : 'notes opened');
  else {
    app.notes = next;
    await app.analyse(app.found ? 'Files added' : 'Read');
  }
}
let pending: string | undefined;

function refuse(why: string): void {
  const node = byId(app.found ? 'day-said' : 'welcome-said');
  fill(node, h('div', { class: 'card trouble', role: 'alert' }, h('pre', {}, why),
    h('button', { class: 'quiet', onclick: () => fill(node) }, 'Close')));
  say(why);
}

async function take(list: FileList | File[]): Promise<void> {
  try {
    const files = await Promise.all([...list].map(async file => ({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) })));
    await open(files);
  } catch (error) {
    refuse(`That could not be read: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function anew(): void {
  location.hash = '';
  location.reload();
}

async function unpack(id: string): Promise<Uint8Array<ArrayBuffer>> {
  const bytes = Uint8Array.from(atob(inlined(id).trim()), char => char.charCodeAt(0));
  const plain = new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip')));
  return new Uint8Array(await plain.arrayBuffer());
}

async function demo(name: string): Promise<void> {
  const file = async (id: string, as: string): Promise<FileIn> => ({ name: as, bytes: await unpack(id) });
  if (name === 'firth') return open([await file('demo-firth', 'firth_scrub.gpx')], freshNotes('Europe/London'));
  const lake = await file('demo-lake', 'lake_trim.gpx');
  if (name === 'lake') return open([lake], freshNotes('Europe/Helsinki'));
  return open([lake, await file('demo-power', 'lake_trim.power.csv')], new TextDecoder().decode(await unpack('demo-notes')));
}

const picker = byId<HTMLInputElement>('pick');
picker.addEventListener('change', () => {
  if (picker.files) void take(picker.files);
  picker.value = '';
});
for (const button of document.querySelectorAll<HTMLElement>('[data-pick]')) button.addEventListener('click', () => picker.click());
for (const button of document.querySelectorAll<HTMLElement>('[data-demo]')) {
  button.addEventListener('click', () => void demo(button.dataset.demo ?? ''));
}
addEventListener('dragover', event => {
  event.preventDefault();
  document.body.classList.add('dropping');
});
addEventListener('dragleave', event => {
  if (event.relatedTarget === null) document.body.classList.remove('dropping');
});
addEventListener('drop', event => {
  event.preventDefault();
  document.body.classList.remove('dropping');
  if (event.dataTransfer) void take(event.dataTransfer.files);
});

/* Showing */

const view = trackFigure(byId<HTMLCanvasElement>('track'), app);
timeFigure(byId<HTMLCanvasElement>('time'), app);
byId('track-in').addEventListener('click', () => view.zoom(1.6));
byId('track-out').addEventListener('click', () => view.zoom(1 / 1.6));
byId('track-all').addEventListener('click', () => view.whole());
byId('track-runs').addEventListener('click', () => view.runs());
const zoomTime = (factor: number): void => {
  const [from, to] = app.window;
  const drawing = app.drawing;
  if (!drawing) return;
  const wide = Math.min(Math.max((to - from) / factor, 30_000), drawing.to - drawing.from);
  const middle = Math.min(Math.max((from + to) / 2, drawing.from + wide / 2), drawing.to - wide / 2);
  app.window = [middle - wide / 2, middle + wide / 2];
  app.tell('view');
};
byId('time-in').addEventListener('click', () => zoomTime(1.6));
byId('time-out').addEventListener('click', () => zoomTime(1 / 1.6));
byId('time-all').addEventListener('click', () => { app.showAll(); app.tell('view'); });
byId('time-runs').addEventListener('click', () => { app.showRuns(); app.tell('view'); });

const undo = byId<HTMLButtonElement>('undo');
const redo = byId<HTMLButtonElement>('redo');
undo.addEventListener('click', () => app.undo());
redo.addEventListener('click', () => app.redo());
addEventListener('keydown', event => {
  const typing = event.target instanceof HTMLTextAreaElement || (event.target instanceof HTMLInputElement && event.target.type === 'text');
  if (typing || !(event.ctrlKey || event.metaKey)) return;
  const key = event.key.toLowerCase();
  if (key === 'z' && !event.shiftKey) app.undo();
  else if (key === 'y' || (key === 'z' && event.shiftKey)) app.redo();
  else return;
  event.preventDefault();
});

function files(): void {
  const { result } = app.found!;
  const tracks = new Map(result.tracks.map(track => [track.file, track]));
  fill(byId('files'), ...app.files.map((file, index) => {
    const track = tracks.get(file.name);
    const aside = track?.set_aside.reduce((sum, one) => sum + one.count, 0) ?? 0;
    const said = file.kind === 1 ? (track ? `${track.fixes_read.toLocaleString('en')} fixes${aside > 0 ? `, ${aside} set aside (${track.set_aside.map(one => `${one.count} ${one.reason}`).join(', ')})` : ''}` : 'track') : file.kind === 2 ? 'wind log' : file.kind === 3 ? 'power log' : 'picture';
    return h('li', {}, h('strong', {}, file.name), ` ${said} `, app.files.length > 1 && h('button', { id: `drop-${index}`, class: 'quiet', onclick: () => void remove(index) }, 'Take away'));
  }));
}

async function remove(index: number): Promise<void> {
  const gone = app.files[index];
  const left = app.files.filter((_, at) => at !== index);
  if (!gone || !left.some(file => file.kind === 1)) return refuse('At least one track is needed. To begin with another, start anew.');
  await engine.open(left.map(({ name, bytes }) => ({ name, bytes })));
  app.files = left;
  const notes = new Notes(app.notes);
  if (gone.kind === 2) notes.set('wind', 'log', undefined);
  if (gone.kind === 3) notes.set('power', 'log', undefined);
  if (gone.kind === 4) notes.set('', 'photo', undefined);
  app.notes = notes.text();
  await app.analyse(`${gone.name} taken away`);
}

app.listen(change => {
  document.body.classList.toggle('busy', app.busy);
  undo.disabled = app.past.length === 0;
  redo.disabled = app.future.length === 0;
  undo.title = app.past.length > 0 ? `Undo: ${app.past.at(-1)!.label}` : '';
  redo.title = app.future.length > 0 ? `Do again: ${app.future.at(-1)!.label}` : '';
  if (!app.found) {
    if (app.trouble) refuse(app.trouble);
    return;
  }
  if (change === 'view') return point(app);
  if (change === 'found') {
    byId('welcome').hidden = true;
    byId('day').hidden = false;
    byId('bar').hidden = false;
    answer(app);
    doubts(app);
    days(app);
    runs(app);
    parts(app);
    conditions(app);
    story(app);
    notesText(app);
    files();
    figuresSaid();
    stale();
    if (keeping) void keep({ files: app.files.map(({ name, bytes }) => ({ name, bytes })), notes: app.notes, at: Date.now() });
  }
  slip(app);
  point(app);
});

/** The figures in words. */
function figuresSaid(): void {
  const { result } = app.found!;
  const counted = app.legs.filter(leg => leg.included).length;
  const words = `${app.legs.length} legs, of which ${counted} count, in ${result.double_runs.filter(run => run.day === app.day).length} double runs; ${(app.drawing?.stops ?? []).length} stops`;
  byId('time').setAttribute('aria-label', `Speed over time: ${words}. Arrow keys move, plus and minus zoom, brackets go from leg to leg.`);
  byId('track').setAttribute('aria-label', `The track from above: ${words}. Arrow keys move, plus and minus zoom, brackets go from leg to leg.`);
}

const title = byId<HTMLTextAreaElement>('title');
title.addEventListener('input', () => grow(title));
addEventListener('resize', () => grow(title));
title.addEventListener('keydown', event => {
  if (event.key !== 'Enter') return;
  event.preventDefault();
  title.blur();
});
title.addEventListener('change', () => nameDay(title.value.replace(/\s+/g, ' ').trim()));
const nameDay = (title: string): void => {
  app.edit(title === '' ? 'no title' : `title “${title}”`, notes => notes.set('', 'title', title === '' ? undefined : title));
};
byId('notes-apply').addEventListener('click', () => app.become(byId<HTMLTextAreaElement>('notes-text').value, 'notes changed as text'));

/* Out */

let made: { notes: string; outputs: Output[] } | undefined;
function stale(): void {
  if (made && made.notes !== app.notes) made = undefined;
  if (byId<HTMLDetailsElement>('article').open) void article();
}
async function outputs(): Promise<Output[]> {
  if (made) return made.outputs;
  const notes = app.notes;
  const answer = await engine.write();
  if (answer.kind === 0) throw new Error(text(answer));
  made = { notes, outputs: answer.outputs };
  return answer.outputs;
}
const own = (): Output => ({ path: 'notes.toml', bytes: new TextEncoder().encode(app.notes) });
const stem = (): string => (app.files.find(file => file.kind === 1)?.name ?? 'day').replace(/\.[^.]*$/, '').replace(/[^\p{L}\p{N}_-]+/gu, '-').slice(0, 60) || 'day';

async function out(what: string): Promise<void> {
  try {
    if (what === 'notes') return save('notes.toml', own().bytes);
    const all = await outputs();
    const named = (name: string): Output[] => all.filter(file => file.path === name);
    const figures = all.filter(file => file.path.endsWith('.svg'));
    const pixels = async (): Promise<Output[]> => (await Promise.all(figures.map(png))).filter(one => one !== undefined);
    const pack = (name: string, list: Output[]): void => save(name, zip(list));
    switch (what) {
      case 'html':
        return save(`${stem()}.html`, named('report.html')[0]!.bytes);
      case 'md':
        return save(`${stem()}.md`, named('report.md')[0]!.bytes);
      case 'svg':
        return pack(`${stem()}-figures.zip`, figures);
      case 'png':
        return pack(`${stem()}-figures-png.zip`, await pixels());
      case 'data':
        return pack(`${stem()}-data.zip`, all.filter(file => /\.(csv|json|gpx|geojson)$/.test(file.path)));
      default:
        return pack(`${stem()}.zip`, [...all, ...(await pixels()), own()]);
    }
  } catch (error) {
    refuse(error instanceof Error ? error.message : String(error));
  }
}
for (const button of document.querySelectorAll<HTMLElement>('[data-out]')) button.addEventListener('click', () => void out(button.dataset.out ?? ''));

async function article(): Promise<void> {
  const frame = byId<HTMLIFrameElement>('article-frame');
  try {
    const html = new TextDecoder().decode((await outputs()).find(file => file.path === 'report.html')?.bytes);
    if (frame.srcdoc !== html) frame.srcdoc = html;
  } catch {
    // A newer analysis is on its way and will ask again.
  }
}
byId('article').addEventListener('toggle', () => {
  if (byId<HTMLDetailsElement>('article').open) void article();
});
byId('anew').addEventListener('click', anew);

/* The last day */

let keeping = false;
const keepBox = byId<HTMLInputElement>('keep');
keepBox.addEventListener('change', () => {
  keeping = keepBox.checked;
  if (keeping) void keep({ files: app.files.map(({ name, bytes }) => ({ name, bytes })), notes: app.notes, at: Date.now() }).then(() => say('This day is kept in this browser.'));
  else void forget().then(() => say('Nothing is kept in this browser.'));
});
void kept().then(day => {
  if (!day || app.found) return;
  fill(byId('kept'), h('p', { class: 'row' },
    h('button', { id: 'go-on', onclick: async () => {
      keeping = keepBox.checked = true;
      await open(day.files, day.notes);
    } }, `Go on with ${day.files[0]?.name ?? 'the last day'}`),
    h('button', { id: 'forget', class: 'quiet', onclick: () => void forget().then(() => fill(byId('kept'))) }, 'Forget it')));
});

plan(engine, say);
engine.ready().then(() => {
  document.body.dataset.ready = String(Math.round(performance.now()));
}, () => refuse('This browser cannot run WebAssembly, which the page needs.'));
