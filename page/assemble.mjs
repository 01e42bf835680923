// node assemble.mjs ROOT WORK MODULE SOURCES OUT: puts the parts of the page into one file.
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync, renameSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const [root, work, module, sources, out] = process.argv.slice(2);
const text = path => readFileSync(path, 'utf8');
const packed = path => gzipSync(readFileSync(path), { level: 9 }).toString('base64');
// Neither script may hold what would end it.
const script = text => text.trim().replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--');
const page = script(text(`${work}/main.js`));
const parts = {
  STYLE: text(`${work}/style.css`).trim(),
  SOURCES: sources,
  MODULE: packed(module),
  WORKER: script(text(`${work}/worker.js`)),
  LAKE: packed(`${root}/samples/lake_trim.gpx`),
  FIRTH: packed(`${root}/samples/firth_scrub.gpx`),
  POWER: packed(`${root}/samples/lake_trim.power.csv`),
  NOTES: packed(`${root}/samples/lake_trim.notes.toml`),
  PAGE: page,
  'SCRIPT-HASH': `'sha256-${createHash('sha256').update(page).digest('base64')}'`,
};
const made = text(`${root}/page/web/index.html`).replace(/@([A-Z-]+)@/g, (whole, name) => parts[name] ?? whole);
writeFileSync(`${out}.part`, made);
renameSync(`${out}.part`, out);
console.log(`${out}: ${Buffer.byteLength(made)} bytes; module ${readFileSync(module).length}, packed ${parts.MODULE.length}`);
