// node run.mjs SCENARIO FOLDER: one scenario on the review page in FOLDER; a failed assertion is the exit code.
import { resolve } from 'node:path';
import { browser } from './browser.mjs';

const [scenario, folder] = process.argv.slice(2);
let code = 0;
try {
  const { default: run } = await import(`./${scenario}.mjs`);
  await run(resolve(folder));
  console.log(`${scenario}: passed`);
} catch (error) {
  console.error(error);
  code = 1;
}
await browser.close();
process.exit(code);
