// axe-core on every state of the page, light and dark; contrasts recomputed from what is painted
// (WCAG 2.2: relative luminance, contrast ratio; 1.4.3 asks 4.5, 1.4.11 asks 3).
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { AXE, calm, open } from './browser.mjs';

const axe = readFileSync(AXE, 'utf8');

async function judge(page, where) {
  // The page's policy lets no script in, so axe is run through the debugger's own door.
  await page.evaluate(axe);
  const { violations, passes } = await page.evaluate(() => window.axe.run(document, {
    preload: false,
    runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
  }));
  const told = violations.map((v) => `${v.id}: ${v.help}\n${v.nodes.slice(0, 4).map((n) => `  ${n.html.slice(0, 160)}\n  ${n.failureSummary}`).join('\n')}`);
  assert.deepEqual(told, [], where);
  return passes.length;
}

/** The least contrast of the page's colours, by use. */
const contrasts = (page) => page.evaluate(() => {
  const style = getComputedStyle(document.documentElement);
  const probe = document.createElement('i');
  document.body.append(probe);
  const colour = (name) => {
    probe.style.color = style.getPropertyValue(name);
    return getComputedStyle(probe).color.match(/[\d.]+/g).slice(0, 3).map(Number);
  };
  const light = (rgb) => {
    const [r, g, b] = rgb.map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => {
    const [x, y] = [light(colour(a)), light(colour(b))].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const out = {};
  for (const words of ['--ink', '--quiet', '--sea', '--yes', '--no', '--new']) {
    for (const under of ['--paper', '--sheet']) out[`${words} on ${under}`] = [ratio(words, under), 4.5];
  }
  for (const words of ['--ink', '--quiet', '--sea']) out[`${words} on --wash`] = [ratio(words, '--wash'), 4.5];
  out['--on-sea on --sea'] = [ratio('--on-sea', '--sea'), 4.5];
  out['--sheet on --yes'] = [ratio('--sheet', '--yes'), 4.5];
  out['--sheet on --no'] = [ratio('--sheet', '--no'), 4.5];
  out['--edge on --paper'] = [ratio('--edge', '--paper'), 3];
  out['--edge on --sheet'] = [ratio('--edge', '--sheet'), 3];
  out['--mark on --ground'] = [ratio('--mark', '--ground'), 3];
  probe.remove();
  return out;
});

export default async function run(folder) {
  let passed = 0;
  for (const colorScheme of ['light', 'dark']) {
    const { page, close } = await open(folder, { colorScheme });
    assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), colorScheme);
    for (const [pair, [is, least]] of Object.entries(await contrasts(page))) {
      assert.ok(is >= least, `${colorScheme}: ${pair} has ${is.toFixed(2)}, needs ${least}`);
    }
    for (const ground of ['light', 'mid', 'dark']) {
      await page.evaluate((g) => { document.documentElement.dataset.ground = g; }, ground);
      const [is, least] = (await contrasts(page))['--mark on --ground'];
      assert.ok(is >= least, `${colorScheme}: outlines on ${ground} have ${is.toFixed(2)}`);
    }
    await page.evaluate(() => { document.documentElement.dataset.ground = 'auto'; });
    passed += await judge(page, `overview, ${colorScheme}`);
    await page.locator('#grid a').first().focus();
    await page.keyboard.press('a');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('r');
    passed += await judge(page, `overview with decisions, ${colorScheme}`);
    await page.keyboard.press('Enter');
    for (const way of ['side', 'before', 'wipe', 'dissolve', 'blink']) {
      await page.locator(`[data-way=${way}]`).click();
      await calm(page);
      passed += await judge(page, `${way}, ${colorScheme}`);
    }
    await page.keyboard.press('?');
    passed += await judge(page, `keys, ${colorScheme}`);
    await page.keyboard.press('Escape');
    await page.keyboard.press('Escape');
    await page.locator('#search').fill('no such thing');
    await page.locator('#nothing').waitFor();
    passed += await judge(page, `nothing found, ${colorScheme}`);
    await close();
  }
  console.log(`${passed} rules of axe-core passed, none broken`);
}
