// Decisions are kept, taken out and read in again; files that are none change nothing; without a store the page works.
import assert from 'node:assert/strict';
import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { exported, open, shown, text } from './browser.mjs';

async function read(page, path) {
  await page.locator('#import-file').setInputFiles(path);
  await page.waitForFunction(() => !document.getElementById('toast').hidden && !document.getElementById('import-file').value);
  return text(page, 'toast-text');
}

export default async function run(folder) {
  const { page, close } = await open(folder);
  const total = await shown(page);
  await page.keyboard.press('g');
  await page.keyboard.press('a');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('r');
  await page.keyboard.press('n');
  await page.waitForFunction(() => document.activeElement.id === 'note');
  const note = 'wrist \u201cpops\u201d \u2013 </script> \u05d0 \u{1f9ed}\nsecond line';
  await page.locator('#note').fill(note);
  // Kept over a reload, the note too although the field was never left.
  await page.reload();
  await page.waitForFunction(() => document.getElementById('tally').textContent);
  assert.match(await text(page, 'tally'), /2 of/);
  assert.equal(await page.locator('#note').inputValue(), note);
  const file = await exported(page, () => page.locator('#export').click());
  const path = join(folder, 'decisions.json');
  copyFileSync(await file.path(), path);
  const written = readFileSync(path, 'utf8');
  const value = JSON.parse(written);
  assert.equal(value.decisions.length, 2);

  // Into a browser that knows nothing: the same decisions, and the same file again.
  const other = await open(folder, { before: () => { Object.defineProperty(window, 'localStorage', { get() { throw new Error('denied'); } }); } });
  assert.match(await read(other.page, path), /^2 decisions read/);
  assert.match(await text(other.page, 'tally'), /2 of/);
  const again = await exported(other.page, () => other.page.locator('#export').click());
  assert.equal(readFileSync(await again.path(), 'utf8'), written);
  await other.page.keyboard.press('?');
  assert.match(await text(other.page, 'help-kept'), /keeps nothing/);
  await other.page.keyboard.press('Escape');

  // Files that are no decisions, or none about these pictures.
  const bad = join(folder, 'bad.json');
  const tally = await text(other.page, 'tally');
  const says = async (content, words) => {
    writeFileSync(bad, content);
    assert.match(await read(other.page, bad), words);
    assert.equal(await text(other.page, 'tally'), tally, String(words));
  };
  const [one] = value.decisions;
  await says('{', /not JSON/);
  await says('[]', /no file of decisions/);
  await says('null', /no file of decisions/);
  await says(JSON.stringify({ format: 99, decisions: [] }), /another version/);
  await says(JSON.stringify({ format: 1, decisions: [{ ...one, pose: '__proto__' }] }), /1 of poses that are not here/);
  await says(JSON.stringify({ format: 1, decisions: [{ ...one, picture: 'ffff' }] }), /1 about other pictures/);
  await says(JSON.stringify({ format: 1, decisions: [{ ...one, decision: 'constructor' }, 7, null, { ...one, note: 'x'.repeat(5000) }] }), /4 that cannot be read/);
  await other.page.evaluate(() => document.getElementById('toast-undo').click());
  await other.close();

  // What somebody else wrote into the store is no decision, and what is about other pictures is forgotten.
  await page.evaluate(() => {
    for (const k of Object.keys(localStorage)) if (k.includes('decisions.')) localStorage.setItem(k, '[{"pose": 3}, 1, {"decision": "approve"}]');
  });
  await page.reload();
  await page.waitForFunction(() => document.getElementById('tally').textContent);
  assert.match(await text(page, 'tally'), /0 of/);
  assert.ok(total >= 2);
  await close();
}
