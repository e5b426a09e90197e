// Opens a review page in headless Chromium, from the disk, and watches that it asks for nothing else.
import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(join(process.env.LAYFIG_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');
export const AXE = require.resolve('axe-core/axe.min.js');

export const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--force-color-profile=srgb',
    '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

/** A page on the review in this folder. `before` runs in the page before its own programs. */
export async function open(folder, { hash = '', before, ...context } = {}) {
  const made = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, ...context });
  const page = await made.newPage();
  const faults = [];
  page.on('pageerror', (e) => faults.push(`error: ${e.message}`));
  page.on('console', (m) => { if (m.type() === 'error') faults.push(`console: ${m.text()}`); });
  page.on('request', (r) => { if (!/^(file|blob|data):/.test(r.url())) faults.push(`asked for ${r.url()}`); });
  page.on('requestfailed', (r) => faults.push(`not found: ${r.url()}`));
  if (before) await page.addInitScript(before);
  await page.goto(pathToFileURL(resolve(folder, 'index.html')).href + hash);
  await page.waitForFunction(() => document.getElementById('tally')?.textContent);
  const close = async () => {
    assert.deepEqual(faults, [], 'the page runs without faults and asks for nothing outside its folder');
    await made.close();
  };
  return { page, close, faults };
}

export const text = (page, id) => page.locator(`#${id}`).evaluate((e) => e.textContent.trim());
export const cards = (page) => page.locator('#grid .pose-word').allTextContents();
export const shown = async (page) => Number((await text(page, 'shown')).replaceAll(',', '').match(/^\d+/)[0]);
/** What of the pictures is to be seen in the first pane: the computed style, not what the program says. */
export const seen = (page) => page.evaluate(() => Object.fromEntries(
  [...document.querySelectorAll('#stage .pane:first-child img')]
    .filter((i) => !i.hidden && Number(getComputedStyle(i).opacity) > 0)
    .map((i) => [i.className, Number(getComputedStyle(i).opacity)])));
export const transforms = (page) => page.evaluate(() =>
  [...document.querySelectorAll('.pane')].filter((p) => !p.hidden).map((p) => p.querySelector('.sheet').style.transform));
/** Pictures change when they may, at most 400 ms later. */
export const calm = (page) => page.waitForTimeout(450);

export async function exported(page, press) {
  const [download] = await Promise.all([page.waitForEvent('download'), press()]);
  assert.equal(download.suggestedFilename(), 'decisions.json');
  return download;
}
