// A tablet, upright and lying, and a phone: touch, targets of 44 px, nothing off the page.
import assert from 'node:assert/strict';
import { calm, open, shown, text, transforms } from './browser.mjs';

const tooSmall = (page) => page.evaluate(() => [...document.querySelectorAll('button, select, textarea, input, a.card')]
  .map((e) => (e.matches('input[type=checkbox]') ? e.closest('label') : e))
  .filter((e) => e.checkVisibility() && !e.closest('.unseen, .skip') && !e.matches('.unseen, .skip'))
  .map((e) => [e.id || e.textContent.slice(0, 30), e.getBoundingClientRect()])
  .filter(([, b]) => b.width > 0 && (b.height < 43.5 || b.width < 43.5))
  .map(([name, b]) => `${name}: ${b.width.toFixed(0)} x ${b.height.toFixed(0)}`));

async function pinch(page, from, to) {
  const client = await page.context().newCDPSession(page);
  const box = await page.locator('#stage').boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const touch = (type, d) => client.send('Input.dispatchTouchEvent', {
    type, touchPoints: d === null ? [] : [{ x: x - d, y, id: 0 }, { x: x + d, y, id: 1 }],
  });
  await touch('touchStart', from);
  for (let i = 1; i <= 6; i += 1) await touch('touchMove', from + ((to - from) * i) / 6);
  await touch('touchEnd', null);
}

export default async function run(folder) {
  for (const viewport of [{ width: 820, height: 1180 }, { width: 1180, height: 820 }, { width: 390, height: 844 }]) {
    const { page, close } = await open(folder, { viewport, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });
    const whole = async (where) => {
      // A phone makes a page that is too wide smaller, and does not say so.
      assert.equal(await page.evaluate(() => innerWidth), viewport.width, where);
      assert.deepEqual(await tooSmall(page), [], `${where}, ${viewport.width} px`);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${where}: nothing off the page`);
    };
    await whole('overview');
    const all = await shown(page);
    if (viewport.width < 1000) {
      await page.locator('#filters-open').tap();
      await page.locator('#filters').waitFor();
      await whole('filters');
      await page.locator('.filter-state .choice').nth(1).tap();
      assert.notEqual(await shown(page), all);
      await page.locator('.filter-state .choice').nth(1).tap();
      await page.locator('#filters-close').tap();
      assert.ok(await page.locator('#filters').isHidden());
    }
    await page.locator('#grid a').first().tap();
    await page.locator('#pose').waitFor();
    await whole('pose');
    const stage = await page.locator('#stage').boundingBox();
    assert.ok(stage.height > viewport.height * 0.4, `the picture has room: ${stage.height} of ${viewport.height}`);
    const scale = (t) => Number(t.match(/scale\(([\d.]+)/)[1]);
    const [before] = await transforms(page);
    await pinch(page, 40, 120);
    const after = await transforms(page);
    assert.ok(Math.abs(scale(after[0]) / scale(before) - 3) < 0.1, `pinched: ${scale(before)} to ${scale(after[0])}`);
    assert.ok(after.every((t) => t === after[0]));
    await page.locator('[data-way=wipe]').tap();
    await calm(page);
    await whole('wipe');
    await page.locator('#approve').tap();
    assert.equal(await page.locator('#approve').getAttribute('aria-pressed'), 'true');
    await page.locator('#back').tap();
    assert.match(await text(page, 'tally'), /1 of/);
    await close();
  }
}
