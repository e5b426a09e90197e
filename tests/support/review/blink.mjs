// WCAG 2.2, 2.3.1, Three Flashes or Below Threshold: nothing flashes more than three times in any one second.
// Counted are changes of what is painted, seen frame by frame, whatever asks for them.
import assert from 'node:assert/strict';
import { calm, open, seen, text } from './browser.mjs';

const watch = (page) => page.evaluate(() => {
  window.changes = [];
  let last = '';
  const look = (now) => {
    const what = [...document.querySelectorAll('.pane:first-child img')]
      .map((i) => (getComputedStyle(i).opacity > 0 && !i.hidden ? i.src : '')).join();
    if (last && what !== last) window.changes.push(now);
    last = what;
    window.watching = requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
});

async function most(page) {
  const changes = await page.evaluate(() => window.changes);
  let worst = 0;
  for (const from of changes) worst = Math.max(worst, changes.filter((t) => t >= from && t < from + 1000).length);
  await page.evaluate(() => { window.changes = []; });
  return { changes: changes.length, worst };
}

export default async function run(folder) {
  const { page, close } = await open(folder);
  await page.locator('#grid a').first().click();
  await page.locator('[data-way=blink]').click();
  await page.locator('#blink-rate').selectOption('500');
  await watch(page);
  await page.waitForTimeout(6000);
  const alone = await most(page);
  assert.ok(alone.changes >= 8, `it blinks: ${alone.changes} changes in 6 s`);
  assert.ok(alone.worst <= 3, `${alone.worst} changes in a second`);
  console.log(`blinking: ${alone.changes} changes in 6 s, at most ${alone.worst} in any second`);

  // However the keys are hammered.
  await page.locator('#stage').focus();
  const until = Date.now() + 5000;
  for (let i = 0; Date.now() < until; i += 1) await page.keyboard.press(['x', '2', '3', ' ', '7', 'j', 'k', 'x'][i % 8]);
  await page.waitForTimeout(500);
  const hammered = await most(page);
  assert.ok(hammered.changes > 0);
  assert.ok(hammered.worst <= 3, `${hammered.worst} changes in a second under the keys`);
  console.log(`keys hammered for 5 s: ${hammered.changes} changes, at most ${hammered.worst} in any second`);

  // A held key is no other thing.
  await page.keyboard.down('j');
  for (let i = 0; i < 60; i += 1) {
    await page.keyboard.down('j');
    await page.waitForTimeout(30);
  }
  await page.keyboard.up('j');
  await page.waitForTimeout(500);
  assert.ok((await most(page)).worst <= 3);

  // Nor is a review in haste, each decision bringing the next undecided pose.
  await page.locator('#back').click();
  await page.locator('#grid a').first().click();
  await page.locator('#go-on').check();
  await page.locator('#stage').focus();
  const hasty = Date.now() + 4000;
  for (let i = 0; Date.now() < hasty; i += 1) await page.keyboard.press(['a', 'r', 'a', 'g', 'z'][i % 5]);
  await page.waitForTimeout(500);
  const decided = await most(page);
  assert.ok(decided.changes > 2, `it goes on: ${decided.changes} changes`);
  assert.ok(decided.worst <= 3, `${decided.worst} changes in a second of hasty decisions`);
  console.log(`decisions hammered for 4 s: ${decided.changes} changes, at most ${decided.worst} in any second`);
  await close();

  // Where the system asks for less motion nothing blinks; by hand it can still be flipped.
  const still = await open(folder, { reducedMotion: 'reduce' });
  await still.page.locator('#grid a').first().click();
  await still.page.locator('[data-way=blink]').click();
  await calm(still.page);
  await watch(still.page);
  await still.page.waitForTimeout(3000);
  assert.equal((await most(still.page)).changes, 0);
  assert.ok(await still.page.locator('#blink-run').isDisabled());
  assert.match(await text(still.page, 'blink-run'), /reduced motion/);
  const before = await seen(still.page);
  await still.page.locator('#flip').click();
  assert.notDeepEqual(await seen(still.page), before);
  // Asked for while it blinks, it stops.
  await still.page.emulateMedia({ reducedMotion: 'no-preference' });
  await still.page.waitForTimeout(2600);
  assert.ok((await most(still.page)).changes >= 2, 'it blinks again');
  await still.page.emulateMedia({ reducedMotion: 'reduce' });
  await calm(still.page);
  await most(still.page);
  await still.page.waitForTimeout(2500);
  assert.equal((await most(still.page)).changes, 0);
  await still.close();
}
