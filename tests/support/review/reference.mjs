// The page of `layfig explain --html` on a phone and on a desk, light and dark: axe-core finds nothing, nothing is
// cut off or asked for, every link within it leads somewhere.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { AXE, browser } from './browser.mjs';

const axe = readFileSync(AXE, 'utf8');

export default async function run(folder) {
  let passed = 0;
  for (const colorScheme of ['light', 'dark']) {
    for (const width of [390, 1280]) {
      const where = `${colorScheme}, ${width}`;
      const context = await browser.newContext({ viewport: { width, height: 844 }, colorScheme });
      const page = await context.newPage();
      const faults = [];
      page.on('pageerror', (e) => faults.push(e.message));
      page.on('console', (m) => { if (m.type() === 'error') faults.push(m.text()); });
      page.on('request', (r) => { if (!r.url().startsWith('file:')) faults.push(`asked for ${r.url()}`); });
      await page.goto(pathToFileURL(resolve(join(folder, 'reference.html'))).href);
      const found = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth,
        styled: getComputedStyle(document.querySelector('.keys')).borderBottomStyle,
        lost: [...document.querySelectorAll('a')].map((a) => a.getAttribute('href'))
          .filter((href) => !document.getElementById(href.slice(1))),
      }));
      assert.deepEqual(found, { wide: width, styled: 'solid', lost: [] }, where);
      // The page's policy lets no script in, so axe is run through the debugger's own door.
      await page.evaluate(axe);
      const { violations, passes } = await page.evaluate(() => window.axe.run(document, {
        preload: false,
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      }));
      assert.deepEqual(violations.map((v) => `${v.id}: ${v.help} ${v.nodes[0].html.slice(0, 160)} (${v.nodes.length})`), [], where);
      assert.deepEqual(faults, [], where);
      passed += passes.length;
      if (process.env.LAYFIG_SHOTS) await page.screenshot({ path: join(folder, `${colorScheme}-${width}.png`) });
      await context.close();
    }
  }
  console.log(`${passed} rules of axe-core passed, none broken`);
}
