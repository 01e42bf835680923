/** What the page knows: files, notes with their history, what was found, and what is pointed at. */

import { type Found, noted, setZone } from './edits.ts';
import { type Answer, Engine, type FileIn, Superseded, text } from './engine.ts';
import { Notes } from './notes.ts';
import { type Drawing, type Leg, type Result, drawings, ms } from './result.ts';

interface Step { notes: string; label: string }

/** What a change concerns: everything, or only what is pointed at. */
export type Change = 'found' | 'pointed' | 'view';

export class App {
  readonly engine: Engine;
  files: (FileIn & { kind: number })[] = [];
  notes = '';
  found: Found | undefined;
  /** The day shown, from 1. */
  day = 1;
  hovered: number | undefined;
  selected: number | undefined;
  /** The time pointed at. */
  cursor: number | undefined;
  /** The times shown. */
  window: [number, number] = [0, 1];
  /** Why the notes as they are now cannot be used. */
  trouble = '';
  busy = false;
  /** Legs of which the notes say something. */
  changed = new Set<number>();
  /** Whether the zone is this machine's, which nobody has confirmed. */
  zoneAssumed = false;
  /** How long the library took, ms. */
  took = 0;
  readonly past: Step[] = [];
  readonly future: Step[] = [];
  readonly #listeners: ((change: Change) => void)[] = [];
  #say: (text: string) => void;

  constructor(engine: Engine, say: (text: string) => void) {
    this.engine = engine;
    this.#say = say;
  }

  listen(listener: (change: Change) => void): void {
    this.#listeners.push(listener);
  }

  tell(change: Change): void {
    for (const listener of this.#listeners) listener(change);
  }

  get result(): Result | undefined {
    return this.found?.result;
  }

  get drawing(): Drawing | undefined {
    return this.found?.drawings[this.day - 1];
  }

  get zone(): string {
    return this.result?.timezone.name ?? 'UTC';
  }

  leg(number: number | undefined): Leg | undefined {
    return number === undefined ? undefined : this.result?.legs.find(leg => leg.leg === number);
  }

  /** The legs of the day shown, in order of time. */
  get legs(): Leg[] {
    const legs = this.result?.legs.filter(leg => leg.day === this.day) ?? [];
    return legs.sort((a, b) => ms(a.start) - ms(b.start));
  }

  /** Changes the notes by hand; what was done can be undone. */
  edit(label: string, change: (notes: Notes, found: Found) => void): void {
    if (!this.found) return;
    const notes = new Notes(this.notes);
    change(notes, this.found);
    this.become(notes.text(), label);
  }

  /** Takes other notes. */
  become(notes: string, label: string): void {
    if (notes === this.notes) return;
    this.past.push({ notes: this.notes, label });
    this.future.length = 0;
    this.notes = notes;
    void this.analyse(label);
  }

  setZone(zone: string): void {
    this.zoneAssumed = false;
    this.edit(`times in ${zone}`, (notes, found) => setZone(notes, found.result, zone));
  }

  undo(): void {
    const step = this.past.pop();
    if (!step) return;
    this.future.push({ notes: this.notes, label: step.label });
    this.notes = step.notes;
    void this.analyse(`Undone: ${step.label}`);
  }

  redo(): void {
    const step = this.future.pop();
    if (!step) return;
    this.past.push({ notes: this.notes, label: step.label });
    this.notes = step.notes;
    void this.analyse(`Done again: ${step.label}`);
  }

  /** Asks the library, and says what it answers. */
  async analyse(label: string, again = true): Promise<void> {
    this.busy = true;
    this.tell('view');
    let answer: Answer;
    try {
      answer = await this.engine.analyse(this.notes);
    } catch (error) {
      if (error instanceof Superseded) return;
      if (again) return this.analyse(label, false);
      this.busy = false;
      this.trouble = 'The calculation stopped twice. Nothing is lost: undo the last change, or save your notes.';
      this.tell('found');
      return;
    }
    this.busy = false;
    if (answer.kind === 0) {
      this.trouble = text(answer);
      this.tell('found');
      this.#say(this.trouble);
      return;
    }
    this.trouble = '';
    this.took = answer.took;
    const first = this.found === undefined;
    const before = this.drawing;
    const numbers = answer.outputs[3]?.bytes.buffer ?? new ArrayBuffer(0);
    const result = JSON.parse(text(answer, 0)) as Result;
    this.found = { result, understood: new Notes(text(answer, 1)), drawings: drawings(text(answer, 2), numbers) };
    this.found.drawings.forEach((drawing, index) => {
      if (drawing.stops.length === 0) drawing.stops = pauses(result.legs.filter(leg => leg.day === index + 1), drawing);
    });
    const own = new Notes(this.notes);
    this.changed = new Set(result.legs.filter(leg => noted(own, leg, result).length > 0).map(leg => leg.leg));
    if (this.day > this.found.drawings.length) this.day = 1;
    if (this.leg(this.selected) === undefined) this.selected = undefined;
    if (this.leg(this.hovered) === undefined) this.hovered = undefined;
    const now = this.drawing;
    if (first || !before || !now || before.from !== now.from || before.to !== now.to) this.showAll();
    this.tell('found');
    this.#say(label);
  }

  showAll(): void {
    const drawing = this.drawing;
    if (drawing) this.window = [drawing.from, Math.max(drawing.to, drawing.from + 1e3)];
  }

  /** The times in which the double runs lie. */
  showRuns(): void {
    const legs = this.legs.filter(leg => leg.included);
    if (legs.length === 0) return this.showAll();
    const from = Math.min(...legs.map(leg => ms(leg.start)));
    const to = Math.max(...legs.map(leg => ms(leg.end)));
    this.window = [from - (to - from) * 0.04, to + (to - from) * 0.04];
  }

  showDay(day: number): void {
    this.day = day;
    this.selected = this.hovered = this.cursor = undefined;
    this.showAll();
    this.tell('found');
  }

  point(leg: number | undefined, time?: number): void {
    if (this.hovered === leg && this.cursor === time) return;
    this.hovered = leg;
    this.cursor = time;
    this.tell('view');
  }

  select(leg: number | undefined): void {
    const there = this.leg(leg);
    if (there && there.day !== this.day) this.showDay(there.day);
    this.selected = there?.leg;
    this.tell('pointed');
  }

  /** The leg before or after the selected one. */
  step(by: 1 | -1): void {
    const legs = this.legs;
    const at = legs.findIndex(leg => leg.leg === this.selected);
    const next = at < 0 ? legs.find(leg => leg.included) ?? legs[0] : legs[at + by];
    if (!next) return;
    this.select(next.leg);
    const [from, to] = this.window;
    const [start, end] = [ms(next.start), ms(next.end)];
    if (start < from || end > to) {
      const middle = (start + end) / 2;
      this.window = [middle - (to - from) / 2, middle + (to - from) / 2];
      this.tell('view');
    }
  }
}

/** Times between legs, where the drawing names no stops. */
function pauses(legs: Leg[], drawing: Drawing): [number, number][] {
  const spans = legs.map((leg): [number, number] => [ms(leg.start), ms(leg.end)]).sort((a, b) => a[0] - b[0]);
  const edges = [drawing.from, ...spans.flat(), drawing.to];
  const found: [number, number][] = [];
  for (let index = 0; index + 1 < edges.length; index += 2) {
    const [from, to] = [edges[index]!, edges[index + 1]!];
    if (to - from >= 60_000) found.push([from, to]);
  }
  return found;
}
