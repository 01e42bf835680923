/** Holds the library: bytes in, bytes out, one call after another. */

import type { Answer, Question } from './engine.ts';

interface Library {
  memory: WebAssembly.Memory;
  room(length: number): number;
  forget(): void;
  read(nameLength: number): number;
  analyse(): number;
  write(): number;
  plan(): number;
  count(): number;
  size(output: number): number;
  at(output: number): number;
  name_size(output: number): number;
  name_at(output: number): number;
}

const scope = self as unknown as { onmessage: (event: MessageEvent<Question>) => void; postMessage(answer: Answer, moved?: Transferable[]): void };
const utf8 = new TextEncoder();
const text = new TextDecoder();
let library: Promise<Library> | undefined;

async function load(module: WebAssembly.Module): Promise<Library> {
  // Crates in the tree name functions of a browser that are never called.
  const imports: Record<string, Record<string, () => never>> = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    (imports[from] ??= {})[name] = () => {
      throw new Error(`${name} is not there`);
    };
  }
  const instance = await WebAssembly.instantiate(module, imports);
  return instance.exports as unknown as Library;
}

function put(one: Library, ...parts: Uint8Array[]): void {
  let at = one.room(parts.reduce((sum, part) => sum + part.length, 0));
  for (const part of parts) {
    new Uint8Array(one.memory.buffer, at, part.length).set(part);
    at += part.length;
  }
}

function outputs(one: Library): { path: string; bytes: Uint8Array<ArrayBuffer> }[] {
  return Array.from({ length: one.count() }, (_, index) => ({
    path: text.decode(new Uint8Array(one.memory.buffer, one.name_at(index), one.name_size(index))),
    bytes: new Uint8Array(one.memory.buffer, one.at(index), one.size(index)).slice(),
  }));
}

scope.onmessage = async ({ data }) => {
  const began = performance.now();
  try {
    if (data.ask === 'load') library = load(data.module);
    const one = await library;
    if (!one) throw new Error('the library is not there');
    let kind = 1;
    switch (data.ask) {
      case 'load':
        break;
      case 'forget':
        one.forget();
        break;
      case 'read': {
        const name = utf8.encode(data.name);
        put(one, name, data.bytes);
        kind = one.read(name.length);
        break;
      }
      case 'analyse':
        put(one, utf8.encode(data.notes));
        kind = one.analyse();
        break;
      case 'write':
        kind = one.write();
        break;
      case 'plan':
        put(one, utf8.encode(data.asked));
        kind = one.plan();
        break;
    }
    const made = data.ask === 'load' || data.ask === 'forget' ? [] : outputs(one);
    scope.postMessage({ id: data.id, kind, outputs: made, took: performance.now() - began }, made.map(file => file.bytes.buffer));
  } catch (error) {
    scope.postMessage({ id: data.id, kind: 0, outputs: [], took: 0, broken: String(error) });
  }
};
