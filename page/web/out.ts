/** What is taken away: files singly or in one archive, figures in pixels, a day kept in the browser. */

import { type Output } from './engine.ts';

const TYPES: Record<string, string> = {
  html: 'text/html', md: 'text/markdown', csv: 'text/csv', json: 'application/json', gpx: 'application/gpx+xml',
  svg: 'image/svg+xml', png: 'image/png', toml: 'text/plain', zip: 'application/zip',
};

export function save(name: string, bytes: BlobPart): void {
  const type = TYPES[name.split('.').at(-1) ?? ''] ?? 'application/octet-stream';
  const url = URL.createObjectURL(new Blob([bytes], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/* An archive without compression: APPNOTE.TXT of the ZIP format, 4.3. */

const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = TABLE[(c ^ byte) & 0xff]! ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

export function zip(files: Output[], at = new Date()): Uint8Array<ArrayBuffer> {
  const encoder = new TextEncoder();
  const dos = ((at.getHours() << 11) | (at.getMinutes() << 5) | (at.getSeconds() >> 1))
    | ((((at.getFullYear() - 1980) << 9) | ((at.getMonth() + 1) << 5) | at.getDate()) << 16);
  const parts: Uint8Array<ArrayBuffer>[] = [];
  const directory: Uint8Array<ArrayBuffer>[] = [];
  let offset = 0;
  for (const { path, bytes } of files) {
    const name = encoder.encode(path);
    const common = new DataView(new ArrayBuffer(26));
    common.setUint16(0, 20, true);
    common.setUint16(2, 0x0800, true); // names are UTF-8
    common.setUint32(6, dos >>> 0, true);
    common.setUint32(10, crc32(bytes), true);
    common.setUint32(14, bytes.length, true);
    common.setUint32(18, bytes.length, true);
    common.setUint16(22, name.length, true);
    const shared = new Uint8Array(common.buffer);
    const local = new Uint8Array(30 + name.length);
    local.set([0x50, 0x4b, 3, 4]);
    local.set(shared, 4);
    local.set(name, 30);
    const central = new Uint8Array(46 + name.length);
    central.set([0x50, 0x4b, 1, 2, 20, 0]);
    central.set(shared, 6);
    new DataView(central.buffer).setUint32(42, offset, true);
    central.set(name, 46);
    parts.push(local, bytes);
    directory.push(central);
    offset += local.length + bytes.length;
  }
  const size = directory.reduce((sum, one) => sum + one.length, 0);
  const end = new DataView(new ArrayBuffer(22));
  end.setUint32(0, 0x06054b50, true);
  end.setUint16(8, files.length, true);
  end.setUint16(10, files.length, true);
  end.setUint32(12, size, true);
  end.setUint32(16, offset, true);
  const all = new Uint8Array(offset + size + 22);
  let to = 0;
  for (const part of [...parts, ...directory, new Uint8Array(end.buffer)]) {
    all.set(part, to);
    to += part.length;
  }
  return all;
}

/** A figure in pixels, twice as fine as drawn; nothing where the browser cannot. */
export async function png(figure: Output): Promise<Output | undefined> {
  const url = URL.createObjectURL(new Blob([figure.bytes], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement('canvas');
    const wide = image.naturalWidth || 900;
    const high = image.naturalHeight || 600;
    const scale = Math.min(2, 4000 / wide);
    canvas.width = Math.round(wide * scale);
    canvas.height = Math.round(high * scale);
    const g = canvas.getContext('2d');
    if (!g) return undefined;
    g.fillStyle = '#fff';
    g.fillRect(0, 0, canvas.width, canvas.height);
    g.drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise<Blob | null>(done => canvas.toBlob(done, 'image/png'));
    return blob ? { path: figure.path.replace(/svg$/, 'png'), bytes: new Uint8Array(await blob.arrayBuffer()) } : undefined;
  } catch {
    return undefined;
  } finally {
    URL.revokeObjectURL(url);
  }
}

/* The last day, kept only where the person says so. */

export interface Kept { files: { name: string; bytes: Uint8Array<ArrayBuffer> }[]; notes: string; at: number }

function store(): Promise<IDBDatabase> {
  return new Promise((done, failed) => {
    const open = indexedDB.open('thereback', 1);
    open.onupgradeneeded = () => open.result.createObjectStore('day');
    open.onsuccess = () => done(open.result);
    open.onerror = () => failed(open.error);
  });
}

async function act<T>(mode: IDBTransactionMode, what: (day: IDBObjectStore) => IDBRequest<T>): Promise<T | undefined> {
  try {
    const database = await store();
    return await new Promise<T>((done, failed) => {
      const request = what(database.transaction('day', mode).objectStore('day'));
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
  } catch {
    return undefined;
  }
}

export const keep = (day: Kept): Promise<unknown> => act('readwrite', store => store.put(day, 'last'));
export const kept = (): Promise<Kept | undefined> => act('readonly', store => store.get('last') as IDBRequest<Kept>);
export const forget = (): Promise<unknown> => act('readwrite', store => store.delete('last'));
