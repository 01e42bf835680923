// The page in a real browser, as a person uses it.
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { readFileSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { close, commanded, demo, drop, file, gained, notes, open, result, root, saved, settled, unzip } from './browser.mjs';

const sample = name => join(root, 'samples', name);
after(close);

test('one file, small, from the disk, without network', async () => {
  assert.ok(statSync(file).size <= 2.5e6 || process.env.PAGE_QUICK, `${statSync(file).size} bytes`);
  const { page, wrong, requests } = await open();
  await drop(page, sample('firth_scrub.gpx'));
  await settled(page);
  const others = requests.filter(url => !url.startsWith('file://') && !url.startsWith('blob:') && !url.startsWith('data:'));
  assert.deepEqual(others, []);
  assert.deepEqual(wrong, []);
  assert.match(await page.textContent('#answer'), /“B” was 10.\d? ?% faster than “A”|“B” was 10(\.\d)? % faster/);
  assert.match(await page.textContent('#live'), /faster/);
  await page.context().close();
});

test('the same bytes as the command, file by file, on every sample', async () => {
  for (const name of ['lake', 'firth', 'power']) {
    const { page } = await open();
    await demo(page, name);
    const files = unzip((await saved(page, '[data-out=zip]')).bytes);
    const track = name === 'firth' ? 'firth_scrub.gpx' : 'lake_trim.gpx';
    const given = [{ name: track, bytes: readFileSync(sample(track)) }];
    if (name === 'power') given.push({ name: 'lake_trim.power.csv', bytes: readFileSync(sample('lake_trim.power.csv')), track: false });
    const made = commanded(given, files.get('notes.toml').toString());
    assert.ok(files.has('result.json') && files.has('report.html') && files.has('legs.gpx'));
    for (const [path, bytes] of files) {
      if (path === 'notes.toml' || path.endsWith('.png')) continue;
      assert.ok(made(path).equals(bytes), `${name}: ${path} is not what the command writes`);
    }
    assert.ok([...files.keys()].some(path => path.endsWith('.png')));
    await page.context().close();
  }
});

test('each correction by hand is a line of the notes, answered, undone and done again', async () => {
  const { page, wrong } = await open();
  await demo(page, 'lake');
  const clean = await notes(page);
  const legs = () => page.evaluate(() => window.thereback.result.legs);
  const pick = async number => {
    if (await page.locator(`#left-out[open], #left-out`).count()) await page.evaluate(() => { const all = document.getElementById('left-out'); if (all) all.open = true; });
    await page.click(`#pick-${number}`);
  };
  const [first, second] = (await result(page)).double_runs[0].legs;
  const before = await result(page);

  // Leave a leg out, with a reason.
  await pick(first);
  await page.fill('#why', 'ferry "wake" \\ <b>');
  assert.deepEqual(await gained(page, () => page.click('#leave-out')), ['[[leg]]', `leg = ${first}`, 'exclude = "ferry \\"wake\\" \\\\ <b>"']);
  assert.equal((await legs()).find(leg => leg.leg === first).included, false);
  assert.match((await legs()).find(leg => leg.leg === first).reason, /ferry "wake" \\ <b>/);
  assert.equal(await page.locator('#slip b').count(), 0);
  await page.click('#undo');
  await settled(page);
  assert.deepEqual(await result(page), before);
  await page.click('#redo');
  await settled(page);
  assert.equal((await legs()).find(leg => leg.leg === first).included, false);

  // Take it in again.
  await page.click('#take-in');
  await settled(page);
  assert.equal(await notes(page), clean);
  assert.deepEqual(await result(page), before);

  // Take in one that was left out.
  const left = before.legs.find(leg => !leg.included && leg.leg > 2);
  await pick(left.leg);
  assert.deepEqual(await gained(page, () => page.click('#take-in')), ['[[leg]]', `leg = ${left.leg}`, 'include = true']);
  await page.click('#undo');
  await settled(page);

  // Cut, and join again.
  await pick(first);
  const cut = await gained(page, () => page.click('#cut'));
  assert.match(cut.at(-1), /^cut = "\d\d:\d\d(:\d\d)?"$/);
  assert.equal((await legs()).length, before.legs.length + 1);
  await page.click('#undo');
  await settled(page);
  const joined = await gained(page, () => page.click('#join'));
  assert.deepEqual(joined, ['[[leg]]', `leg = ${first}`, 'join = "next"']);
  await page.click('#undo');
  await settled(page);

  // Move its ends by button and by typing.
  await pick(first);
  assert.match((await gained(page, () => page.click('#start-later'))).at(-1), /^start = /);
  await page.fill('#end-at', await page.inputValue('#end-at').then(text => text.replace(/\d\d$/, '40')));
  assert.match((await gained(page, () => page.press('#end-at', 'Enter'))).at(-1), /^end = "\d\d:\d\d:40"$/);
  assert.equal((await legs()).find(leg => leg.leg === first).end.slice(17, 19), '40');
  await page.click('#as-found');
  await settled(page);
  assert.equal(await notes(page), clean);

  // Pair two legs.
  await page.selectOption('#partner', String(second));
  assert.deepEqual(await gained(page, () => page.click('#pair')), ['[[leg]]', `leg = ${first}`, `pair = ${second}`]);
  await page.click('#undo');
  await settled(page);

  // Names, and the swap.
  await page.fill('#part-1', 'amidships');
  await page.press('#part-1', 'Tab');
  await settled(page);
  assert.equal((await result(page)).configurations[1].name, 'amidships');
  await page.fill('#setting-0', 'cruise');
  await page.press('#setting-0', 'Tab');
  await settled(page);
  assert.equal((await result(page)).settings[0].name, 'cruise');
  const moved = await gained(page, () => page.click('[id^=swap-back-]'));
  assert.ok(moved.some(line => /^from = "\d\d:\d\d/.test(line)), moved.join());
  await page.click('#undo');
  await settled(page);
  const parts = await page.locator('#parts input[id^=part-]').count();
  await page.click('#add-swap');
  await settled(page);
  assert.equal((await notes(page)).match(/\[\[configuration\]\]/g).length, parts + 1);
  await page.click('#undo');
  await settled(page);
  await page.click('#unswap-1');
  await settled(page);
  assert.equal((await result(page)).configurations.length, 1);
  await page.click('#undo');
  await settled(page);

  // Wind, current, battery.
  await page.focus('#wind-dial');
  assert.match((await gained(page, () => page.keyboard.press('ArrowRight'))).join('|'), /^\[wind\]\|from = \d+$/);
  await page.fill('#wind-speed', '11');
  assert.deepEqual(await gained(page, () => page.press('#wind-speed', 'Tab')), ['speed = "11 kn"']);
  assert.deepEqual(await gained(page, () => page.click('#current-none')), ['[water]', 'current = "none"']);
  assert.equal((await result(page)).current, 'none');
  await page.click('#battery summary');
  await page.fill('#amp-hours', '160');
  await page.fill('#volts', '25.6');
  await page.fill('#usable', '80');
  assert.deepEqual(await gained(page, () => page.click('#use-battery')), ['[battery]', 'amp_hours = 160', 'volts = 25.6', 'usable = "80 %"']);
  await page.fill('#title', 'Where should the battery sit?');
  await page.press('#title', 'Tab');
  await settled(page);
  assert.equal((await result(page)).title, 'Where should the battery sit?');

  // All of it undone.
  while (await page.isEnabled('#undo')) await page.click('#undo');
  await settled(page);
  assert.equal(await notes(page), clean);
  assert.deepEqual(await result(page), before);
  assert.deepEqual(wrong, []);
  await page.context().close();
});

test('drag a leg’s end and a swap in the figure', async () => {
  const { page } = await open();
  await demo(page, 'lake');
  await page.locator('#time').scrollIntoViewIfNeeded();
  const box = await page.locator('#time').boundingBox();
  const x = time => page.evaluate(at => {
    const [from, to] = window.thereback.window;
    return 40 + ((at - from) / (to - from)) * (document.getElementById('time').clientWidth - 50);
  }, time);
  const drag = async (px, py, by) => {
    const box = await page.locator('#time').boundingBox();
    await page.mouse.move(box.x + px, box.y + py);
    await page.mouse.down();
    await page.mouse.move(box.x + px + by / 2, box.y + py, { steps: 3 });
    await page.mouse.move(box.x + px + by, box.y + py, { steps: 3 });
    await page.mouse.up();
  };
  const run = (await result(page)).double_runs[3];
  const leg = (await result(page)).legs.find(one => one.leg === run.legs[0]);
  await page.mouse.click(box.x + await x((Date.parse(leg.start) + Date.parse(leg.end)) / 2), box.y + 150);
  assert.equal(await page.evaluate(() => window.thereback.selected), leg.leg);
  // Near enough to take hold of: zoom in on it.
  await page.focus('#time');
  const middle = await x((Date.parse(leg.start) + Date.parse(leg.end)) / 2);
  await page.mouse.move(box.x + middle, box.y + 150);
  for (let i = 0; i < 6; i++) await page.mouse.wheel(0, -240);
  const ended = await gained(page, async () => drag(await x(Date.parse(leg.end)), 150, -30));
  assert.ok(ended.some(line => line.startsWith('end = ')), ended.join());
  await page.click('#undo');
  await page.click('#time-all');
  await settled(page);
  const swap = await page.evaluate(() => {
    const app = window.thereback;
    const runs = app.result.double_runs;
    const at = runs.findIndex(run => run.configuration !== runs[0].configuration);
    return [runs[at - 1], runs[at]].map(run => Date.parse(run.at));
  });
  const marker = await page.evaluate(() => document.getElementById('swap-1').value);
  const day = leg.start.slice(0, 10);
  const at = Date.parse(`${day}T${marker.length === 5 ? `${marker}:00` : marker}+03:00`);
  assert.ok(swap[0] < at && at < swap[1], `${marker} lies between ${swap.map(one => new Date(one).toISOString())}`);
  const moved = await gained(page, async () => drag(await x(at), 10, -160));
  assert.ok(moved.some(line => line.startsWith('from = ')), moved.join());
  await page.context().close();
});

test('keyboard alone: from the demo to a leg left out', async () => {
  const { page, wrong } = await open();
  const tabTo = async id => {
    for (let i = 0; i < 200; i++) {
      if (await page.evaluate(() => document.activeElement?.id) === id) return;
      await page.keyboard.press('Tab');
    }
    assert.fail(`the keyboard does not reach ${id}`);
  };
  await tabTo('demo-a');
  await page.keyboard.press('Enter');
  await settled(page);
  await tabTo('time');
  await page.keyboard.press('+');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('0');
  await page.keyboard.press(']');
  await page.keyboard.press(']');
  const selected = await page.evaluate(() => window.thereback.selected);
  assert.ok(selected > 0);
  await tabTo('why');
  await page.keyboard.type('weeds');
  await page.keyboard.press('Enter');
  await settled(page);
  assert.match(await notes(page), /exclude = "weeds"/);
  await page.keyboard.press('Escape');
  await page.evaluate(() => document.activeElement.blur());
  await page.keyboard.press('Control+z');
  await settled(page);
  assert.doesNotMatch(await notes(page), /weeds/);
  assert.deepEqual(wrong, []);
  await page.context().close();
});

test('a phone with touch: nothing wider than the screen, nothing smaller than a finger', async () => {
  for (const width of [320, 390]) {
    const { page } = await open({ viewport: { width, height: 800 }, hasTouch: true, isMobile: true });
    await page.tap('[data-demo=lake]');
    await settled(page);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= width, `${width}: wider than the screen`);
    const small = await page.evaluate(() => [...document.querySelectorAll('button, select, input, summary, [role=slider]')]
      .filter(node => node.checkVisibility({ checkVisibilityCSS: true }) && node.type !== 'radio' && node.type !== 'checkbox')
      .filter(node => { const box = node.getBoundingClientRect(); return box.height < 43.5 && box.width > 1 && !node.classList.contains('hidden-submit'); })
      .map(node => `${node.tagName} ${node.id} ${node.textContent.slice(0, 20)}`));
    assert.deepEqual(small, []);
    await page.locator('#track').scrollIntoViewIfNeeded();
    const box = await page.locator('#track').boundingBox();
    await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
    assert.notEqual(await page.evaluate(() => window.thereback.selected), undefined);
    await page.context().close();
  }
});

test('accessible: axe finds nothing, light and dark', async () => {
  const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  for (const colorScheme of ['light', 'dark']) {
    const { page } = await open({ colorScheme });
    const check = async () => {
      // Past the page's own policy, which allows no script but its own.
      await page.evaluate(source => void (0, window.eval)(source), axe).catch(() => undefined);
      if (!(await page.evaluate(() => 'axe' in window))) {
        const session = await page.context().newCDPSession(page);
        await session.send('Runtime.evaluate', { expression: axe });
      }
      const found = await page.evaluate(() => window.axe.run(document, { iframes: false }));
      return found.violations.map(one => `${one.id}: ${one.nodes.map(node => node.target.join(' ')).slice(0, 4).join(', ')}`);
    };
    assert.deepEqual(await check(), []);
    await demo(page, 'lake');
    await page.evaluate(() => { for (const one of document.querySelectorAll('details')) one.open = true; });
    await page.locator('.pick').first().click();
    await page.waitForTimeout(6500);
    assert.deepEqual(await check(), []);
    await page.context().close();
  }
});

test('wrong and hostile files are answered in words, and names never become markup', async () => {
  const { page, wrong } = await open();
  await drop(page, { name: '<img src=x onerror=alert(1)>.gpx', bytes: 'no track at all' });
  await page.waitForSelector('#welcome-said .trouble');
  const said = await page.textContent('#welcome-said');
  assert.match(said, /cannot read `<img src=x onerror=alert\(1\)>\.gpx`/);
  assert.match(said, /hint: /);
  const evil = '<script>window.evil = 1</script><img src=x onerror="window.evil=1">';
  await drop(page, { name: `${evil}.gpx`.replaceAll('/', ':'), bytes: readFileSync(sample('firth_scrub.gpx')) });
  await settled(page);
  await page.fill('#part-0', evil);
  await page.press('#part-0', 'Tab');
  await settled(page);
  await page.fill('#title', evil);
  await page.press('#title', 'Tab');
  await settled(page);
  await page.click('#article summary');
  await page.waitForTimeout(800);
  assert.equal(await page.evaluate(() => window.evil), undefined);
  assert.equal(await page.locator('main img').count(), 0);
  // Notes that cannot be read are answered by the library, and undone.
  await page.evaluate(() => { document.getElementById('notes').open = true; });
  await page.fill('#notes-text', 'nonsense = ');
  await page.click('#notes-apply');
  await page.waitForSelector('#doubts .trouble');
  assert.match(await page.textContent('#doubts'), /cannot read `notes.toml`: line 1/);
  await page.click('#trouble-undo');
  await settled(page);
  assert.equal(await page.locator('#doubts .trouble').count(), 0);
  assert.deepEqual(wrong, []);
  await page.context().close();
});

/** A GPX of the same track some days later. */
const later = (name, days) => Buffer.from(readFileSync(sample(name), 'utf8').replaceAll(/<time>(\d{4}-\d\d-\d\d)/g, (_, date) =>
  `<time>${new Date(Date.parse(`${date}T00:00:00Z`) + days * 864e5).toISOString().slice(0, 10)}`));

test('two days, one after the other, and a correction on the second', async () => {
  const { page } = await open();
  await drop(page, sample('lake_trim.gpx'), { name: 'later.gpx', bytes: later('lake_trim.gpx', 3) });
  await settled(page);
  assert.equal(await page.locator('#days button').count(), 2);
  await page.click('#day-2');
  const leg = (await result(page)).double_runs.at(-1).legs[0];
  await page.click(`#pick-${leg}`);
  await page.fill('#why', 'weeds');
  await page.click('#leave-out');
  await settled(page);
  assert.equal((await result(page)).legs.find(one => one.leg === leg).included, false);
  const made = commanded([
    { name: 'lake_trim.gpx', bytes: readFileSync(sample('lake_trim.gpx')) },
    { name: 'later.gpx', bytes: later('lake_trim.gpx', 3) },
  ], await notes(page));
  const files = unzip((await saved(page, '[data-out=data]')).bytes);
  assert.ok(made('result.json').equals(files.get('result.json')));
  await page.context().close();
});

test('a log beside the track, notes read back, a file taken away', async () => {
  const { page } = await open();
  await drop(page, sample('lake_trim.gpx'), sample('lake_trim.power.csv'), sample('lake_trim.notes.toml'));
  await settled(page);
  assert.equal((await result(page)).title, 'Where should the battery sit, and what does that save?');
  assert.equal((await result(page)).power.source, 'log');
  const text = (await saved(page, '[data-out=notes]')).bytes.toString();
  const again = await open();
  await drop(again.page, sample('lake_trim.gpx'), sample('lake_trim.power.csv'), { name: 'notes.toml', bytes: text });
  await settled(again.page);
  assert.deepEqual(await result(again.page), await result(page));
  await page.click('#from summary');
  await page.click('#drop-1');
  // The answer is under way before the page says so.
  for (let tries = 0; tries < 300 && (await result(page)).power.source === 'log'; tries++) await page.waitForTimeout(100);
  assert.notEqual((await result(page)).power.source, 'log');
  await page.context().close();
  await again.context.close();
});

test('a worker that dies starts again, and nothing is lost', async () => {
  const { page } = await open();
  await demo(page, 'firth');
  const before = await result(page);
  await page.evaluate(() => window.thereback.engine.restart());
  await page.fill('#part-0', 'foul');
  await page.press('#part-0', 'Tab');
  await settled(page);
  assert.equal((await result(page)).configurations[0].name, 'foul');
  assert.equal((await result(page)).legs.length, before.legs.length);
  // Changes faster than answers: only the last one counts.
  await page.evaluate(() => {
    for (let n = 0; n < 12; n++) window.thereback.edit(`try ${n}`, notes => notes.set('', 'title', `try ${n}`));
  });
  await settled(page);
  assert.equal((await result(page)).title, 'try 11');
  await page.context().close();
});

test('the plan: a few questions, the card', async () => {
  const { page, wrong } = await open();
  await page.click('#plan summary');
  await page.click('#make-plan');
  await page.waitForSelector('#plan-out iframe');
  const card = (await saved(page, '#save-card')).bytes.toString();
  assert.match(card, /<html/i);
  assert.match((await saved(page, '#save-plan-notes')).bytes.toString(), /\[\[configuration\]\]/);
  await page.fill('#plan-speeds', '');
  await page.click('#make-plan');
  await page.waitForSelector('#plan-out .trouble');
  assert.deepEqual(wrong, []);
  await page.context().close();
});

test('the last day is kept only if the person says so', async () => {
  const { page, context } = await open();
  await demo(page, 'firth');
  const again = async () => {
    await page.goto(`file://${file}`);
    await page.waitForSelector('body[data-ready]');
    await page.waitForTimeout(500);
  };
  await again();
  assert.equal(await page.locator('#go-on').count(), 0);
  await demo(page, 'firth');
  await page.fill('#title', 'Kept');
  await page.press('#title', 'Tab');
  await settled(page);
  await page.check('#keep');
  await page.waitForTimeout(500);
  await again();
  await page.click('#go-on');
  await settled(page);
  assert.equal((await result(page)).title, 'Kept');
  await context.close();
});

test('speed: ready, first answer, later answers, frames', { skip: !process.env.PAGE_TIMES }, async () => {
  const { page } = await open();
  console.log('ready after', await page.getAttribute('body', 'data-ready'), 'ms');
  await drop(page, { name: 'long.gpx', bytes: long() });
  await settled(page);
  console.log('first answer', await page.evaluate(() => window.thereback.took.toFixed(0)), 'ms in the worker');
  for (let i = 0; i < 4; i++) {
    const took = await page.evaluate(async n => {
      const began = performance.now();
      window.thereback.edit('title', notes => notes.set('', 'title', `n ${n}`));
      while (window.thereback.busy) await new Promise(done => setTimeout(done, 1));
      return [performance.now() - began, window.thereback.took];
    }, i);
    console.log('later answer', took.map(one => one.toFixed(0)).join(' of which in the worker '), 'ms');
  }
  const frames = await page.evaluate(async () => {
    const app = window.thereback;
    const [from, to] = app.window;
    const times = [];
    let last = performance.now();
    for (let n = 0; n < 90; n++) {
      app.window = [from + (to - from) * n * 0.002, to - (to - from) * n * 0.003];
      app.tell('view');
      await new Promise(requestAnimationFrame);
      times.push(performance.now() - last);
      last = performance.now();
    }
    return times.sort((a, b) => a - b);
  });
  console.log('a frame: median', frames[45].toFixed(1), 'ms, worst in ten', frames[81].toFixed(1), 'ms');
  await page.context().close();
});

/** The lake day, twice as long: 28,800 fixes. */
function long() {
  const text = readFileSync(sample('lake_trim.gpx'), 'utf8');
  const points = [...text.matchAll(/<trkpt[\s\S]*?<\/trkpt>/g)].map(match => match[0]);
  const shift = points.map(one => one.replace(/<time>([^<]*)/, (_, at) => `<time>${new Date(Date.parse(at) + 4.2 * 36e5).toISOString()}`));
  const head = text.slice(0, text.indexOf(points[0]));
  const all = [...points.slice(0, 14_400), ...shift.slice(0, 14_400)];
  return Buffer.from(`${head}${all.join('\n')}</trkseg></trk></gpx>`);
}
