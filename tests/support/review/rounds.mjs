// A whole review of real comparisons by keys alone: every pose that asks is opened, looked at and decided as
// `wishes.json` beside the page says; what was decided is exported to `decisions.json` there.
import assert from 'node:assert/strict';
import { copyFileSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { exported, open, shown, text } from './browser.mjs';

export default async function run(folder) {
  const wishes = new Map(JSON.parse(readFileSync(join(folder, 'wishes.json'), 'utf8')).map((w) => [w.pose, w]));
  const { page, close } = await open(folder);
  const key = async (...keys) => { for (const k of keys) await page.keyboard.press(k); };
  const opened = () => page.evaluate(() => decodeURIComponent(location.hash.replace('#/pose/', '')));
  assert.equal(await shown(page), wishes.size, 'the page begins with what asks for a look');
  await key('g', 'Home', 'Enter');
  await page.locator('#pose').waitFor();

  const met = new Set();
  for (;;) {
    const pose = await opened();
    const wish = wishes.get(pose);
    assert.ok(wish && !met.has(pose), `${pose} is one that asks, and is met once`);
    met.add(pose);
    // Real pictures, of the size that the comparison gives.
    const pictures = () => page.evaluate(async () => {
      const images = [...document.querySelectorAll('#stage .pane:not([hidden]) img:not([hidden])')].filter((i) => i.hasAttribute('src'));
      await Promise.all(images.map((i) => i.decode()));
      return images.map((i) => [i.className, i.naturalWidth, i.naturalHeight]);
    });
    const looks = await pictures();
    assert.ok(looks.length > 0, `${pose} has pictures`);
    for (const [look, ...size] of looks) assert.deepEqual(size, wish.size, `${pose}: ${look}`);
    assert.equal(await page.evaluate(() => document.querySelectorAll('main img[onerror], main script').length), 0, pose);
    if (pose.endsWith('/beg')) assert.match(await text(page, 'pose-note'), /<img src=x onerror=alert\(1\)> a <\/script> "sardine"/);
    const words = (list) => page.locator(`#${list} .part`).allTextContents();
    if (wish.state === 'differs') {
      assert.deepEqual(await page.locator('#why-list .cause').allTextContents(), wish.causes, pose);
      assert.deepEqual(await words('what-list'), wish.parts, pose);
      await key('c');
      assert.equal(await page.locator('.pane:first-child .box.chosen').count(), 1, `${pose}: a changed place`);
    }
    if (wish.rejected !== null) assert.ok((await text(page, 'refused')).includes(wish.rejected), `${pose} was rejected before`);
    else assert.ok(await page.locator('#refused').isHidden(), `${pose} was not rejected before`);

    if (wish.note) {
      await key('n');
      await page.waitForFunction(() => document.activeElement.id === 'note');
      await page.keyboard.type(wish.note);
      await key('Escape');
    }
    if (wish.decision) {
      await key(wish.decision === 'approve' ? 'a' : 'r');
      assert.equal(await page.locator(`#${wish.decision}`).getAttribute('aria-pressed'), 'true', pose);
    }
    if (await page.locator('#next').isDisabled()) break;
    await key('j');
    await page.waitForFunction((p) => decodeURIComponent(location.hash.replace('#/pose/', '')) !== p, pose);
  }
  assert.equal(met.size, wishes.size, 'all that ask were met');
  const decided = [...wishes.values()].filter((w) => w.decision).length;
  assert.ok((await text(page, 'tally')).startsWith(`${decided} of ${wishes.size} decided`), await text(page, 'tally'));
  // The list of what is left comes with one key, and the file with another.
  await key('Escape');
  await page.locator('#overview').waitFor();
  const file = await exported(page, () => key('e'));
  copyFileSync(await file.path(), join(folder, 'decisions.json'));
  await close();
}
