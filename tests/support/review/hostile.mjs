// Names that try to be markup, script, or the words beside them; and names that are very long.
import assert from 'node:assert/strict';
import { open, text } from './browser.mjs';

export default async function run(folder) {
  const { page, close } = await open(folder, { before: () => { window.alert = () => { window.broken = 'alert'; }; } });
  const safe = async (where) => {
    assert.equal(await page.evaluate(() => window.broken ?? null), null, where);
    const strange = await page.evaluate(() => document.querySelectorAll('main img[onerror], main script, main iframe, main style, svg[onload], [onclick]').length);
    assert.equal(strange, 0, `${where}: no markup came from a name`);
    const raw = await page.evaluate(() => [...document.body.innerText, ...document.title].filter((c) => /[\u202a-\u202e\u2066-\u2069\u200e\u200f\u0007]/.test(c)).length);
    assert.equal(raw, 0, `${where}: no name turns the text around it`);
    const wide = await page.evaluate(() => [document.documentElement.scrollWidth - document.documentElement.clientWidth,
      document.getElementById('facts').scrollWidth - document.getElementById('facts').clientWidth,
      document.getElementById('filters').scrollWidth - document.getElementById('filters').clientWidth]);
    assert.ok(wide.every((w) => w <= 1), `${where}: nothing is pushed off the page: ${wide}`);
  };
  await safe('overview');
  assert.match(await text(page, 'grid'), /<img src=x onerror=/, 'the name is there, as text');
  assert.match(await text(page, 'grid'), /\u27e8U\+202E\u27e9/, 'what would turn the text is shown as its number');
  const count = await page.locator('#grid li').count();
  for (let i = 0; i < count; i += 1) {
    await page.locator('#grid a').nth(i).click();
    await page.locator('#pose').waitFor();
    await safe(`pose ${i}`);
    const head = await page.locator('.pose-head').boundingBox();
    assert.ok(head.height < 260, `the name leaves room for the picture: ${head.height}`);
    await page.keyboard.press('Escape');
    await page.locator('#overview').waitFor();
  }
  // Broken and made-up addresses.
  for (const hash of ['#/pose/%E0%A4%A', '#/pose/nobody', '#/?cause=99&state=%3Cscript%3E&order=__proto__', '#/?search=%3Cimg%20src%3Dx%3E', '#constructor']) {
    await page.evaluate((h) => { location.hash = h; }, hash);
    await page.waitForTimeout(80);
    assert.ok(await page.locator('#overview').isVisible(), hash);
    await safe(hash);
  }
  await close();
}
