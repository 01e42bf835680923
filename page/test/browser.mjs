// A browser with the page open from its file, and small helpers.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

export const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
export const file = process.env.PAGE ?? join(root, 'output/page/thereback.html');
const target = process.env.CARGO_TARGET_DIR ?? join(root, 'target');
export const command = process.env.THEREBACK ?? ['debug', 'release'].map(one => join(target, one, 'thereback')).find(existsSync);

let browser;
export const launch = async () => {
  browser ??= await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-dev-shm-usage'] });
  return browser;
};
export const close = () => browser?.close();

/** The page, opened from its file without any network; what went wrong in it is collected. */
export async function open(options = {}) {
  const context = await (await launch()).newContext({ viewport: { width: 1280, height: 900 }, offline: true, acceptDownloads: true, timezoneId: 'Europe/Helsinki', ...options });
  const page = await context.newPage();
  const wrong = [];
  const requests = [];
  page.on('pageerror', error => wrong.push(String(error)));
  page.on('console', message =>
    // The article is shown without its script.
    message.type() === 'error' && !/about:srcdoc.*sandboxed/.test(message.text()) && wrong.push(message.text()));
  page.on('request', request => requests.push(request.url()));
  await page.goto(`file://${file}`);
  await page.waitForSelector('body[data-ready]', { timeout: 60_000 });
  return { page, wrong, requests, context };
}

/** Drops files on the page as a person does. */
export async function drop(page, ...paths) {
  const files = paths.map(path => typeof path === 'string' ? { name: path.split('/').at(-1), text: readFileSync(path).toString('base64') } : { name: path.name, text: Buffer.from(path.bytes).toString('base64') });
  await page.evaluate(given => {
    const data = new DataTransfer();
    for (const { name, text } of given) data.items.add(new File([Uint8Array.from(atob(text), char => char.charCodeAt(0))], name));
    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
  }, files);
}

/** Waits until the library has answered everything. */
export async function settled(page) {
  await page.waitForSelector('#day:not([hidden])', { timeout: 60_000 });
  await page.waitForSelector('body:not(.busy):not(.working)', { timeout: 60_000 });
}

export async function demo(page, name) {
  await page.click(`[data-demo=${name}]`);
  await settled(page);
}

export const notes = page => page.evaluate(() => window.thereback.notes);
export const result = page => page.evaluate(() => window.thereback.result);

/** Does something and returns the lines that the notes gained by it. */
export async function gained(page, act) {
  const before = (await notes(page)).split('\n');
  await act();
  await settled(page);
  return (await notes(page)).split('\n').filter(line => line !== '' && !before.includes(line));
}

/** What a click saves. */
export async function saved(page, selector) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(selector)]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}

/** The files of an archive without compression. */
export function unzip(bytes) {
  const files = new Map();
  let at = 0;
  while (bytes.readUInt32LE(at) === 0x04034b50) {
    const [size, name, extra] = [bytes.readUInt32LE(at + 18), bytes.readUInt16LE(at + 26), bytes.readUInt16LE(at + 28)];
    const start = at + 30 + name + extra;
    files.set(bytes.toString('utf8', at + 30, at + 30 + name), bytes.subarray(start, start + size));
    at = start + size;
  }
  return files;
}

/** What the command writes for the same files and notes. */
export function commanded(files, notesText) {
  assert.ok(command, 'no thereback to compare with: build it, or name it in THEREBACK');
  const folder = mkdtempSync(join(tmpdir(), 'thereback-page-'));
  for (const { name, bytes } of files) writeFileSync(join(folder, name), bytes);
  writeFileSync(join(folder, 'notes.toml'), notesText);
  const tracks = files.filter(one => one.track !== false).map(one => one.name);
  try {
    execFileSync(command, ['report', ...tracks, '--notes', 'notes.toml', '-o', 'out'], { cwd: folder, stdio: 'pipe' });
  } catch (error) {
    // 1 means that there was nothing to measure: the files are there all the same.
    if (error.status !== 1) throw new Error(String(error.stderr));
  }
  return name => readFileSync(join(folder, 'out', name));
}
