/**
 * The notes as text that a person may have written: read and changed line by line, so that comments
 * and whatever is not understood stay as they are. The library judges the whole.
 */

/** `[wind]`, `[[leg]]` or, without a name, the lines before the first of them. */
export interface Block {
  readonly name: string;
  readonly lines: string[];
}

export type Value = string | number | boolean;

const HEADER = /^\s*(\[\[?)\s*([A-Za-z0-9_-]+)\s*\]\]?\s*(#.*)?$/;
const ENTRY = /^\s*([A-Za-z0-9_-]+)\s*=\s*([\s\S]*)$/;
/** Text over several lines, open until the same quotes come again. */
const LONG = /^\s*[A-Za-z0-9_-]+\s*=\s*("""|''')(?![\s\S]*?\1)/;

export class Notes {
  readonly blocks: Block[];

  constructor(text: string) {
    let block: Block = { name: '', lines: [] };
    this.blocks = [block];
    let open: string | undefined;
    for (const line of text.replace(/\r\n?/g, '\n').replace(/\n+$/, '').split('\n')) {
      if (open !== undefined) {
        block.lines[block.lines.length - 1] += `\n${line}`;
        if (line.includes(open)) open = undefined;
        continue;
      }
      open = LONG.exec(line)?.[1];
      const header = HEADER.exec(line);
      if (header) {
        block = { name: header[2] ?? '', lines: [] };
        this.blocks.push(block);
      }
      block.lines.push(line);
    }
  }

  text(): string {
    const text = this.blocks.flatMap(block => block.lines).join('\n').replace(/^\n+/, '').replace(/\n{3,}/g, '\n\n');
    return text.trim() === '' ? '' : text.replace(/\n*$/, '\n');
  }

  named(name: string): Block[] {
    return this.blocks.filter(block => block.name === name);
  }

  /** A value of a block that is there at most once; `''` for the lines before the first. */
  get(name: string, key: string): Value | undefined {
    const block = this.named(name)[0];
    return block && get(block, key);
  }

  /** Sets or, with `undefined`, removes a value; a block without any value goes. */
  set(name: string, key: string, value: Value | undefined): void {
    let block = this.named(name)[0];
    if (!block) {
      if (value === undefined) return;
      block = this.add(name, {}, false);
    }
    set(block, key, value);
    if (name !== '' && keys(block).length === 0) this.remove(block);
  }

  /** Adds a block at the end, or after the last of its name. */
  add(name: string, values: Record<string, Value | undefined>, list = true, after?: Block): Block {
    const block: Block = { name, lines: ['', list ? `[[${name}]]` : `[${name}]`] };
    for (const [key, value] of Object.entries(values)) if (value !== undefined) set(block, key, value);
    const last = after ?? this.named(name).at(-1);
    const at = last ? this.blocks.indexOf(last) + 1 : this.blocks.length;
    this.blocks.splice(at, 0, block);
    return block;
  }

  /** Removes a block; comments of its own that stand after an empty line stay. */
  remove(block: Block): void {
    const at = this.blocks.indexOf(block);
    if (at < 0) return;
    const gap = block.lines.findIndex((line, index) => index > 0 && line.trim() === '');
    const kept = gap < 0 ? [] : block.lines.slice(gap).filter(line => !ENTRY.test(line) && !HEADER.test(line));
    const before = this.blocks[at - 1];
    if (before && kept.some(line => line.trim() !== '')) before.lines.push(...kept);
    this.blocks.splice(at, 1);
  }
}

export function keys(block: Block): string[] {
  return block.lines.flatMap(line => ENTRY.exec(line)?.[1] ?? []);
}

export function get(block: Block, key: string): Value | undefined {
  for (const line of block.lines) {
    const entry = ENTRY.exec(line);
    if (entry && entry[1] === key) return read(entry[2] ?? '');
  }
  return undefined;
}

export function set(block: Block, key: string, value: Value | undefined): void {
  const at = block.lines.findIndex(line => ENTRY.exec(line)?.[1] === key);
  if (value === undefined) {
    if (at >= 0) block.lines.splice(at, 1);
    return;
  }
  const line = `${key} = ${written(value)}`;
  if (at >= 0) {
    block.lines[at] = line;
    return;
  }
  // After the last entry, before any comment or empty line that follows it.
  let last = -1;
  block.lines.forEach((one, index) => {
    if (ENTRY.test(one) || HEADER.test(one)) last = index;
  });
  if (last < 0 && block.name === '') {
    // Under the opening comment.
    const empty = block.lines.findIndex(one => !one.startsWith('#'));
    block.lines.splice(empty < 0 ? block.lines.length : empty, 0, line);
  } else {
    block.lines.splice(last + 1, 0, line);
  }
}

/** A value as TOML. */
export function written(value: Value): string {
  if (typeof value !== 'string') return String(value);
  const escaped = value.replace(/["\\]/g, '\\$&').replace(/[\u0000-\u001f\u007f]/g, char =>
    `\\u${char.charCodeAt(0).toString(16).padStart(4, '0')}`);
  return value.includes('\n') ? `"""\n${value.replace(/["\\]/g, '\\$&').replace(/[\u0000-\u0009\u000b-\u001f\u007f]/g, ' ')}\n"""` : `"${escaped}"`;
}

/** A value from TOML: text in either quotes, a number, true or false; a comment may follow. */
function read(text: string): Value | undefined {
  const long = /^("""|''')\n?([\s\S]*?)\1/.exec(text);
  if (long) return long[1] === '"""' ? unescaped(long[2] ?? '') : long[2];
  if (text.startsWith('"')) {
    const match = /^"((?:[^"\\]|\\.)*)"/.exec(text);
    if (!match) return undefined;
    return unescaped(match[1] ?? '');
  }
  if (text.startsWith("'")) return /^'([^']*)'/.exec(text)?.[1];
  const bare = text.replace(/#.*$/, '').trim();
  if (bare === 'true') return true;
  if (bare === 'false') return false;
  const number = Number(bare.replaceAll('_', ''));
  return bare !== '' && Number.isFinite(number) ? number : bare || undefined;
}

function unescaped(text: string): string {
  return text.replace(/\\(u[0-9a-fA-F]{4}|U[0-9a-fA-F]{8}|.)/g, (_, code: string) => {
    if (/^[uU]./.test(code)) return String.fromCodePoint(Math.min(Number.parseInt(code.slice(1), 16), 0x10ffff));
    return { n: '\n', t: '\t', r: '\r', b: '\b', f: '\f' }[code] ?? code;
  });
}
