// Draws SVG files in headless Chromium: node browser_shots.mjs FOLDER
// For every FOLDER/*.svg a FOLDER/*.browser.png of the document's own size is written, on white.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createRequire } from 'node:module';

const [folder] = process.argv.slice(2);
const require = createRequire(join(process.env.LAYFIG_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--force-color-profile=srgb',
    '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
const page = await browser.newPage({ deviceScaleFactor: 1 });
let drawn = 0;
for (const name of readdirSync(folder).filter((n) => n.endsWith('.svg')).sort()) {
  const svg = readFileSync(join(folder, name), 'utf8');
  const [, width, height] = svg.match(/<svg[^>]* width="([\d.]+)" height="([\d.]+)"/);
  const size = { width: Math.round(Number(width)), height: Math.round(Number(height)) };
  await page.setViewportSize(size);
  await page.setContent(`<style>html,body{margin:0;background:#fff}svg{display:block}</style>${svg}`);
  // Embedded pictures are decoded before the shot.
  await page.evaluate(() => Promise.all([...document.querySelectorAll('image')].map((i) => i.decode?.())));
  await page.screenshot({ path: join(folder, name.replace(/svg$/, 'browser.png')), clip: { x: 0, y: 0, ...size } });
  drawn += 1;
}
await browser.close();
console.log(`${drawn} drawn`);
