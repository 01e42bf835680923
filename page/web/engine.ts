/** The library in its worker, seen from the page: started, asked, stopped when out of date, started again. */

interface Ask<Name extends string> { ask: Name; id: number }
export type Question =
  | (Ask<'load'> & { module: WebAssembly.Module })
  | Ask<'forget'>
  | (Ask<'read'> & { name: string; bytes: Uint8Array })
  | (Ask<'analyse'> & { notes: string })
  | Ask<'write'>
  | (Ask<'plan'> & { asked: string });
type Unnumbered = Question extends infer Q ? (Q extends Question ? Omit<Q, 'id'> : never) : never;

export interface Output { path: string; bytes: Uint8Array<ArrayBuffer> }
export interface Answer { id: number; kind: number; outputs: Output[]; took: number; broken?: string }
export interface FileIn { name: string; bytes: Uint8Array<ArrayBuffer> }

/** A newer question has taken the place of this one. */
export class Superseded extends Error {}

interface Waiting { question: Unnumbered; since: number; done: (answer: Answer) => void; failed: (error: Error) => void }

/** An analysis that has run so long is stopped for a newer one; a shorter wait is cheaper than a new start, ms. */
const PATIENCE = 250;

export class Engine {
  #worker: Worker | undefined;
  #module: Promise<WebAssembly.Module>;
  #source: string;
  #waiting = new Map<number, Waiting>();
  #last = 0;
  #latest = 0;
  /** Files that the library holds, to be given again after a new start. */
  files: FileIn[] = [];
  /** How often the worker was started. */
  starts = 0;

  constructor(packed: string, worker: string) {
    this.#source = URL.createObjectURL(new Blob([worker], { type: 'text/javascript' }));
    const bytes = Uint8Array.from(atob(packed.trim()), char => char.charCodeAt(0));
    const unpacked = new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip')));
    this.#module = unpacked.arrayBuffer().then(wasm => WebAssembly.compile(wasm));
    void this.#start();
  }

  ready(): Promise<unknown> {
    return this.#module;
  }

  async #start(): Promise<void> {
    this.starts++;
    const worker = new Worker(this.#source);
    this.#worker = worker;
    worker.onmessage = ({ data }: MessageEvent<Answer>) => this.#answered(data);
    worker.onerror = event => this.#broke(event.message || 'the worker stopped');
    const module = await this.#module;
    if (this.#worker !== worker) return;
    this.#post(worker, { ask: 'load', module });
    for (const { name, bytes } of this.files) this.#post(worker, { ask: 'read', name, bytes });
    // Asked while the module was being made.
    for (const [id, { question }] of this.#waiting) worker.postMessage({ ...question, id });
    this.#loaded = worker;
  }
  #loaded: Worker | undefined;

  #post(worker: Worker, question: Unnumbered): void {
    worker.postMessage({ ...question, id: ++this.#last });
  }

  #ask(question: Unnumbered): Promise<Answer> {
    return new Promise((done, failed) => {
      const id = ++this.#last;
      this.#waiting.set(id, { question, since: performance.now(), done, failed });
      if (this.#worker && this.#loaded === this.#worker) this.#worker.postMessage({ ...question, id });
    });
  }

  #answered(answer: Answer): void {
    if (answer.broken !== undefined) return this.#broke(answer.broken);
    const waiting = this.#waiting.get(answer.id);
    this.#waiting.delete(answer.id);
    waiting?.done(answer);
  }

  /** What was asked fails; the files are given to a new worker. */
  #broke(why: string): void {
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    this.restart();
    for (const one of waiting) one.failed(new Error(why));
  }

  restart(): void {
    this.#worker?.terminate();
    this.#worker = undefined;
    void this.#start();
  }

  /** Forgets all files and reads these; what each is, or why it cannot be read. */
  async open(files: FileIn[]): Promise<Answer[]> {
    this.#supersede();
    this.files = [];
    await this.#ask({ ask: 'forget' });
    return this.add(files);
  }

  async add(files: FileIn[]): Promise<Answer[]> {
    const answers: Answer[] = [];
    for (const file of files) {
      const answer = await this.#ask({ ask: 'read', ...file });
      if (answer.kind > 0) this.files.push(file);
      answers.push(answer);
    }
    return answers;
  }

  /** The newest analysis; an older one that still runs is given up. */
  async analyse(notes: string): Promise<Answer> {
    this.#supersede();
    const mine = ++this.#latest;
    const answer = await this.#ask({ ask: 'analyse', notes });
    if (mine !== this.#latest) throw new Superseded();
    return answer;
  }

  #supersede(): void {
    const now = performance.now();
    const old = [...this.#waiting].filter(([, one]) => one.question.ask === 'analyse' || one.question.ask === 'write');
    if (old.length === 0) return;
    for (const [id, one] of old) {
      this.#waiting.delete(id);
      one.failed(new Superseded());
    }
    if (old.some(([, one]) => now - one.since > PATIENCE)) this.restart();
  }

  write(): Promise<Answer> {
    return this.#ask({ ask: 'write' });
  }

  plan(asked: unknown): Promise<Answer> {
    return this.#ask({ ask: 'plan', asked: JSON.stringify(asked) });
  }
}

const decoder = new TextDecoder();
export const text = (answer: Answer, index = 0): string => decoder.decode(answer.outputs[index]?.bytes);
