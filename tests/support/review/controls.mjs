// Every control of the page, each with what it must do; at the end none may be left that was not used.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { calm, cards, exported, open, seen, shown, text, transforms } from './browser.mjs';

export default async function run(folder) {
  const expected = JSON.parse(readFileSync(join(folder, 'expected.json'), 'utf8'));
  const { page, close } = await open(folder);
  const used = new Set();
  const click = async (id) => {
    used.add(id);
    await page.locator(`#${id}`).click();
  };
  const choose = async (id, value) => {
    used.add(id);
    await page.locator(`#${id}`).selectOption(value);
  };

  // What asks for a look is shown first; the numbers are those that the data have.
  const total = expected.entries.length;
  const asks = expected.entries.filter((e) => !['identical', 'within'].includes(e.state));
  assert.equal(await shown(page), asks.length);
  await click('clear');
  assert.equal(await shown(page), total);

  // Each value of each filter gives as many poses as its number says, and as the data have.
  const filters = await page.locator('.filter:not([hidden])').count();
  assert.ok(filters >= 4);
  for (let f = 0; f < filters; f += 1) {
    const group = page.locator('.filter:not([hidden])').nth(f);
    const more = group.locator('.more:not([hidden])');
    if (await more.count()) await more.click();
    const labels = await group.locator('.choice').count();
    for (let i = 0; i < labels; i += 1) {
      const label = group.locator('.choice').nth(i);
      const says = Number(await label.locator('.number').textContent());
      await label.click();
      assert.equal(await shown(page), says, await label.textContent());
      await label.click();
    }
    assert.equal(await shown(page), total);
  }
  const differs = expected.entries.filter((e) => e.state === 'differs');
  await page.locator('.filter-state .choice', { hasText: 'differs' }).click();
  assert.equal(await shown(page), differs.length);
  const [part] = differs[0].parts;
  await page.locator('.filter-part .choice').filter({ has: page.getByText(part, { exact: true }) }).click();
  const both = differs.filter((e) => e.parts.includes(part));
  assert.equal(await shown(page), both.length, 'two filters together');
  await click('clear');

  // Search finds poses, parts and causes; nothing found is said, with a way out.
  used.add('search');
  await page.locator('#search').fill(differs[0].pose);
  await page.waitForFunction((n) => document.getElementById('shown').textContent.startsWith(`${n} of`),
    expected.entries.filter((e) => e.text.includes(differs[0].pose)).length);
  await page.locator('#search').fill('no such thing');
  await page.locator('#nothing').waitFor();
  await click('nothing-clear');
  assert.equal(await shown(page), total);

  await choose('order', 'name');
  const named = await cards(page);
  assert.deepEqual(named, [...named].sort((a, b) => a.localeCompare(b, 'en', { numeric: true })));
  await choose('order', 'file');
  assert.deepEqual((await cards(page)).slice(0, 3), expected.entries.slice(0, 3).map((e) => e.pose));
  await choose('order', 'amount');

  // The address keeps the filters.
  await page.locator('.filter-state .choice', { hasText: 'differs' }).click();
  await page.reload();
  await page.waitForFunction(() => document.getElementById('tally').textContent);
  assert.equal(await shown(page), differs.length);

  // A pose, and every way to look at it.
  const order = await cards(page);
  await page.locator('#grid a').first().click();
  await page.locator('#pose').waitFor();
  assert.equal(await text(page, 'pose-name'), order[0]);
  assert.equal(await text(page, 'pose-place'), `1 of ${differs.length}`);
  const way = async (w) => {
    await page.locator(`[data-way=${w}]`).click();
    await calm(page);
    assert.equal(await page.locator(`[data-way=${w}]`).getAttribute('aria-pressed'), 'true');
    return seen(page);
  };
  assert.deepEqual(await way('before'), { before: 1 });
  assert.deepEqual(await way('after'), { after: 1 });
  assert.deepEqual(await way('difference'), { difference: 1 });
  assert.deepEqual(await way('dissolve'), { before: 0.5, after: 0.5 });
  used.add('slide');
  await page.locator('#slide').fill('80');
  const dissolve = await seen(page);
  assert.ok(Math.abs(dissolve.after - 0.8) < 1e-6 && Math.abs(dissolve.before - 0.2) < 1e-6);
  assert.deepEqual(await way('wipe'), { before: 1, after: 1 });
  const clips = () => page.evaluate(() => ['before', 'after'].map((c) => getComputedStyle(document.querySelector(`.pane:first-child img.${c}`)).clipPath));
  const halves = await clips();
  await page.locator('#slide').fill('20');
  const fifths = await clips();
  assert.notDeepEqual(halves, fifths);
  const stage = await page.locator('#stage').boundingBox();
  await page.mouse.move(stage.x + stage.width * 0.2, stage.y + stage.height / 2);
  await page.mouse.down();
  await page.mouse.move(stage.x + stage.width * 0.7, stage.y + stage.height / 2, { steps: 4 });
  await page.mouse.up();
  assert.equal(await page.locator('#slide').inputValue(), '70', 'the line is dragged');

  // What the wipe shows is what is there: left of the line the picture before, right of it the one after.
  await way('side');
  assert.deepEqual(await seen(page), { before: 1 });
  assert.equal(await page.locator('.pane:visible').count(), 3);

  // Zoom and pan go in step.
  const same = async () => {
    const all = await transforms(page);
    assert.equal(all.length, 3);
    assert.ok(all.every((t) => t === all[0]), all.join(' / '));
    return all[0];
  };
  const fitted = await same();
  await click('zoom-in');
  const larger = await same();
  assert.notEqual(larger, fitted);
  await click('zoom-out');
  await click('whole');
  assert.equal(await text(page, 'zoom'), '100 %');
  const still = await same();
  await page.mouse.move(stage.x + 150, stage.y + 200);
  await page.mouse.down();
  await page.mouse.move(stage.x + 190, stage.y + 230, { steps: 3 });
  await page.mouse.up();
  const moved = await same();
  const numbers = (t) => t.match(/-?[\d.]+/g).map(Number);
  assert.deepEqual(numbers(moved).map((n, i) => Math.round(n - numbers(still)[i])), [40, 30, 0]);
  await page.mouse.wheel(0, -300);
  assert.notEqual(await same(), moved);
  await click('fit');
  assert.equal(await same(), fitted);
  await page.mouse.dblclick(stage.x + 100, stage.y + 300);
  assert.notEqual(await same(), fitted);
  await page.mouse.dblclick(stage.x + 100, stage.y + 300);
  assert.equal(await same(), fitted);

  // The part under the pointer, against the owners that the renderer itself wrote down.
  await way('after');
  let named_ = 0;
  for (const entry of expected.entries.filter((e) => e.samples.length).slice(0, 3)) {
    await page.goto(`${page.url().split('#')[0]}#/pose/${encodeURIComponent(entry.key)}`);
    await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, entry.pose);
    await page.waitForFunction(() => document.getElementById('probe-part').textContent);
    await way('after');
    for (const { x, y, before, after } of entry.samples) {
      const at = await page.evaluate(([px, py]) => {
        const box = document.querySelector('.pane').getBoundingClientRect();
        const [l, t, s] = document.querySelector('.sheet').style.transform.match(/-?[\d.]+(?:e-?\d+)?/g).map(Number);
        return [box.left + l + (px + 0.5) * s, box.top + t + (py + 0.5) * s];
      }, [x, y]);
      await page.mouse.move(...at);
      const says = (p) => p ?? 'nothing';
      const want = before === after ? says(after) : `${says(after)}, before ${says(before)}`;
      assert.equal(await text(page, 'probe-part'), want, `${entry.key} at ${x}, ${y}`);
      named_ += 1;
    }
  }
  assert.ok(named_ >= 20, `${named_} pixels named`);

  // A part is shown where it is: as many pixels as it owns.
  const one = expected.entries.find((e) => e.samples.length && e.parts.length);
  await page.goto(`${page.url().split('#')[0]}#/pose/${encodeURIComponent(one.key)}`);
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, one.pose);
  await page.waitForFunction(() => document.getElementById('probe-part').textContent);
  const row = page.locator('#what-list button').first();
  await row.hover();
  const marked = await page.evaluate(() => {
    const canvas = document.querySelector('.pane canvas');
    const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
    let n = 0;
    for (let i = 3; i < data.length; i += 4) n += data[i] > 0 ? 1 : 0;
    return n;
  });
  assert.equal(marked, one.owned[one.parts[0]]);
  await row.click();
  assert.equal(await row.getAttribute('aria-pressed'), 'true');
  assert.notEqual(await text(page, 'zoom'), '');
  await row.click();
  assert.equal(await row.getAttribute('aria-pressed'), 'false');

  // Places, outlines, ground.
  const boxes = () => page.locator('.pane:first-child .boxes .box').count();
  assert.equal(await boxes(), one.regions);
  await page.locator('#places-list button').first().click();
  assert.equal(await page.locator('.pane:first-child .box.chosen').count(), 1);
  await click('outline');
  assert.equal(await boxes(), 0);
  await click('outline');
  const ground = () => page.evaluate(() => getComputedStyle(document.querySelector('.pane')).backgroundColor);
  await choose('ground', 'light');
  assert.equal(await ground(), 'rgb(255, 255, 255)');
  await choose('ground', 'dark');
  assert.notEqual(await ground(), 'rgb(255, 255, 255)');
  await choose('ground', 'auto');

  // Blink: runs, pauses, is flipped by hand, goes at another pace.
  await way('blink');
  assert.equal(await text(page, 'blink-run'), 'Pause');
  await choose('blink-rate', '500');
  await page.waitForTimeout(700);
  await click('blink-run');
  assert.equal(await text(page, 'blink-run'), 'Run');
  await calm(page);
  const rest = await seen(page);
  await page.waitForTimeout(1200);
  assert.deepEqual(await seen(page), rest, 'paused');
  await click('flip');
  assert.notDeepEqual(await seen(page), rest);
  await way('side');

  // Decisions.
  await page.locator('#back').click();
  used.add('back');
  await page.locator('#grid a').first().click();
  await click('approve');
  assert.equal(await page.locator('#approve').getAttribute('aria-pressed'), 'true');
  await click('reject');
  assert.equal(await page.locator('#approve').getAttribute('aria-pressed'), 'false');
  assert.equal(await page.locator('#reject').getAttribute('aria-pressed'), 'true');
  await click('reject');
  assert.equal(await page.locator('#reject').getAttribute('aria-pressed'), 'false', 'the same again takes it back');
  used.add('note');
  await page.locator('#note').fill('elbow "too sharp" <b>');
  await click('go-on');
  const first = await text(page, 'pose-name');
  await click('approve');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent !== n, first);
  await click('go-on');
  const second = await text(page, 'pose-name');
  await page.waitForTimeout(450);
  await click('previous');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, first);
  assert.equal(await page.locator('#note').inputValue(), 'elbow "too sharp" <b>');
  await page.waitForTimeout(450);
  await click('next');
  await page.waitForFunction((n) => document.getElementById('pose-name').textContent === n, second);
  const cause = page.locator('#why-list button');
  if (await cause.count()) {
    await cause.first().click();
    await page.locator('#overview').waitFor();
    assert.equal(await page.locator('.filter-cause input:checked').count(), 1);
  } else {
    await page.locator('#back').click();
  }
  await click('clear');
  const card = page.locator('#grid li', { has: page.getByText(first, { exact: true }) }).first();
  assert.match(await card.textContent(), /approved/);
  await click('approve-shown');
  assert.match(await text(page, 'toast-text'), /approved/);
  await click('toast-undo');
  const file = await exported(page, () => click('export'));
  const written = JSON.parse(readFileSync(await file.path(), 'utf8'));
  assert.deepEqual(written.decisions.map((d) => [d.decision, d.note]), [['approve', 'elbow "too sharp" <b>']]);
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), click('import')]);
  await chooser.setFiles(await file.path());
  await page.waitForFunction(() => /1 decision read/.test(document.getElementById('toast-text').textContent));

  // Light and dark, the list of keys, the way past the filters.
  const dark = () => page.evaluate(() => document.documentElement.dataset.theme);
  const was = await dark();
  await click('theme');
  assert.notEqual(await dark(), was);
  await page.reload();
  assert.notEqual(await dark(), was, 'kept');
  await click('theme');
  await click('help-open');
  assert.ok((await page.locator('#help kbd').count()) > 40);
  await click('single-keys');
  await click('help-close');
  await page.keyboard.press('t');
  assert.equal(await dark(), was, 'keys of one letter are off');
  await click('help-open');
  await click('single-keys');
  await click('help-close');
  await page.keyboard.press('t');
  assert.notEqual(await dark(), was);
  used.add('skip');
  await page.locator('#skip').focus();
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.className), 'card');

  // None is left. The three of the narrow page are used there.
  const narrow = ['filters-open', 'filters-close', 'import-file'];
  const all = await page.evaluate(() => [...document.querySelectorAll('button[id], input[id], select[id], textarea[id]')].map((e) => e.id));
  assert.deepEqual(all.filter((id) => !used.has(id) && !narrow.includes(id)), []);
  await close();
}
