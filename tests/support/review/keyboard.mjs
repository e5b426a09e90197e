// Everything without a pointer: all controls are reached by Tab in order, all keys of the list do something,
// and a whole review is done from the first pose to the exported file.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { calm, cards, exported, open, seen, shown, text, transforms } from './browser.mjs';

/** Where Tab goes, from the start of the page until it comes round. */
async function round(page) {
  await page.evaluate(() => { document.activeElement.blur(); scrollTo(0, 0); });
  const stops = [];
  for (let i = 0; i < 150; i += 1) {
    await page.keyboard.press('Tab');
    const stop = await page.evaluate(() => {
      const e = document.activeElement;
      if (e === document.body) return null;
      const box = e.getBoundingClientRect();
      const style = getComputedStyle(e);
      e.dataset.stop ??= String(Math.random());
      return {
        name: e.id || `${e.tagName} ${e.textContent.slice(0, 30)}`, stop: e.dataset.stop,
        inSight: box.width > 0 && box.bottom > 0 && box.top < innerHeight,
        outline: style.outlineStyle === 'none' ? 0 : parseFloat(style.outlineWidth),
      };
    });
    // Tab begins where the focus was, and passes the browser's own controls on its way round.
    if (!stop) continue;
    if (stops.some((s) => s.stop === stop.stop)) break;
    stops.push(stop);
  }
  const start = stops.findIndex((s) => s.name === 'skip');
  return [...stops.slice(start), ...stops.slice(0, start)];
}

function check(stops, wanted) {
  for (const s of stops) {
    assert.ok(s.outline >= 2, `the focus is seen on ${s.name}`);
    assert.ok(s.inSight, `${s.name} is in sight when it has the focus`);
  }
  const names = stops.map((s) => s.name);
  const places = wanted.map((w) => names.indexOf(w));
  assert.ok(places.every((p) => p >= 0), `${wanted.filter((w, i) => places[i] < 0)} not reached: ${names}`);
  assert.deepEqual(places, [...places].sort((a, b) => a - b), `in the order of the page: ${names}`);
}

export default async function run(folder) {
  const { page, close } = await open(folder);
  // From the start, so that the browser's own chooser is long out of the way when its turn comes.
  page.on('filechooser', () => {});
  const key = async (...keys) => { for (const k of keys) await page.keyboard.press(k); };
  const focused = () => page.evaluate(() => document.activeElement.id || document.activeElement.className);
  const pressed = (w) => page.locator(`[data-way=${w}]`).getAttribute('aria-pressed');

  check(await round(page), ['skip', 'import', 'export', 'theme', 'help-open', 'clear', 'search', 'order', 'approve-shown']);

  // The overview.
  await key('/');
  assert.equal(await focused(), 'search');
  await page.keyboard.type('zzzz');
  await page.locator('#nothing').waitFor();
  await key('Escape', 'c');
  const total = await shown(page);
  await key('f');
  assert.match(await page.evaluate(() => document.activeElement.closest('form').id), /filters/);
  await key('Space');
  assert.ok((await shown(page)) < total);
  await key('Space', 'g');
  assert.equal(await focused(), 'card');
  const word = () => page.evaluate(() => document.activeElement.querySelector('.pose-word').textContent);
  const order = await cards(page);
  assert.equal(await word(), order[0]);
  await key('ArrowRight', 'ArrowRight', 'ArrowLeft');
  assert.equal(await word(), order[1]);
  await key('ArrowDown', 'ArrowUp');
  assert.equal(await word(), order[1]);
  await key('End');
  assert.notEqual(await word(), order[1]);
  await key('Home');
  assert.equal(await word(), order[0]);
  await key('PageDown', 'PageUp', 'Home');
  await key('a');
  assert.match(await page.locator('#grid li').first().textContent(), /approved/);
  await key('z');
  assert.doesNotMatch(await page.locator('#grid li').first().textContent(), /approved/);
  await key('r', 'z', 'Shift+A');
  assert.match(await text(page, 'toast-text'), /approved/);
  await key('Control+z');
  await key('t');
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), 'dark');
  await key('t', '?');
  assert.ok(await page.evaluate(() => document.getElementById('help').open));
  // Tab stays in the list of keys, Escape closes it and the focus is where it was.
  await key('Tab', 'Tab', 'Tab', 'Escape');
  assert.equal(await focused(), 'card');

  // Into a pose.
  await key('Enter');
  await page.locator('#pose').waitFor();
  assert.equal(await text(page, 'pose-name'), order[0]);
  assert.equal(await focused(), 'stage');
  check(await round(page), ['back', 'next', 'stage', 'zoom-out', 'fit', 'ground', 'outline', 'approve', 'reject', 'note']);
  await key('p');
  assert.equal(await focused(), 'stage');
  for (const [k, w] of Object.entries({ 1: 'side', 2: 'before', 3: 'after', 4: 'difference', 5: 'wipe', 6: 'dissolve', 7: 'blink' })) {
    await key(k);
    await calm(page);
    assert.equal(await pressed(w), 'true', w);
  }
  await key('Space');
  assert.equal(await text(page, 'blink-run'), 'Run');
  await calm(page);
  const now = await seen(page);
  await key('x');
  assert.notDeepEqual(await seen(page), now);
  await key('6');
  await calm(page);
  await key('.', '.');
  assert.equal(await page.locator('#slide').inputValue(), '60');
  await key(',');
  assert.equal(await page.locator('#slide').inputValue(), '55');
  const changes = async (k) => {
    const before = await transforms(page);
    await key(k);
    assert.notDeepEqual(await transforms(page), before, k);
  };
  for (const k of ['+', '-', '9', 'ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', '0']) await changes(k);
  // The middle of the picture is under a cross, and its part is said.
  await key('p', '+', '+');
  assert.ok(await page.locator('.cross').isVisible());
  await key('ArrowRight');
  await page.waitForFunction(() => document.getElementById('said').textContent === document.getElementById('probe-part').textContent);
  await changes('c');
  assert.equal(await page.locator('.pane:first-child .box.chosen').count(), 1);
  await key('o');
  assert.equal(await page.locator('.boxes .box').count(), 0);
  await key('o');
  const ground = await page.locator('#ground').inputValue();
  await key('b');
  assert.notEqual(await page.locator('#ground').inputValue(), ground);

  // A review from pose to pose.
  await key('a');
  assert.equal(await page.locator('#approve').getAttribute('aria-pressed'), 'true');
  await calm(page);
  await key('j');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, order[1]);
  await key('r', 'n');
  assert.equal(await focused(), 'note');
  await page.keyboard.type('1 aj?');
  await key('Escape');
  assert.equal(await focused(), 'stage');
  assert.equal(await text(page, 'pose-name'), order[1], 'letters in a note are letters');
  await calm(page);
  await key('k');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, order[0]);
  await key('g');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent !== n, order[0]);
  assert.equal(await text(page, 'pose-name'), order[2], 'the next undecided');
  await key('Escape');
  await page.locator('#overview').waitFor();
  assert.equal(await word(), order[2], 'back on the pose that was open');
  const file = await exported(page, () => key('e'));
  const { decisions } = JSON.parse(readFileSync(await file.path(), 'utf8'));
  assert.deepEqual(decisions.map((d) => [d.decision, d.note]).sort(), [['approve', ''], ['reject', '1 aj?']]);
  await key('n');
  await page.waitForFunction(() => document.activeElement.id === 'note');
  await key('Escape');
  assert.equal(await focused(), 'stage', 'out of the note');
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), key('i')]);
  assert.ok(chooser);
  await close();
}
