import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { bringBrowser } from '../server/launch/browser.mjs';
import { root, run, toolScript } from '../server/launch/child.mjs';
import { prepare } from '../server/launch/prepare.mjs';

// `npm test`: everything, from a fresh clone. Arguments go to the test runner (`npm test -- tests/decoders`).
const report = join(root, '.cache', 'tests.json');
const failedChecks = [];

/** Goes on after a failure: one run shows everything that is wrong. */
async function check(name, work) {
  try {
    if ((await work()) !== 0) throw new Error('see above');
  } catch (error) {
    failedChecks.push(name);
    console.error(`${name} failed: ${error.message}`);
  }
}

async function browser() {
  const path = await bringBrowser();
  if (path !== null) {
    process.env.FIVEUNIT_CHROMIUM = path;
    return 0;
  }
  console.warn(
    'BROWSER TESTS SKIPPED: no Chromium or Chrome found. Install one, or set FIVEUNIT_CHROMIUM to its path.',
  );
  return process.env.CI ? 1 : 0;
}

/** The counts of the runner's report. A file that could not even be loaded is one failure: it holds no tests to count. */
function counts() {
  const { numPassedTests, numFailedTests, numPendingTests, numTodoTests, testResults } = JSON.parse(
    readFileSync(report, 'utf8'),
  );
  const broken = testResults.filter(
    ({ status, assertionResults }) => status === 'failed' && !assertionResults.some((test) => test.status === 'failed'),
  );
  return {
    passed: numPassedTests,
    failed: numFailedTests + broken.length,
    skipped: numPendingTests + numTodoTests,
  };
}

try {
  await prepare({ targets: [] });
} catch (error) {
  console.error(`npm test: ${error.message}`);
  console.log('0 passed, 1 failed');
  process.exit(1);
}

await check('browser', browser);
await check('lint', () => run(process.execPath, [toolScript('@biomejs/biome', 'biome'), 'ci']));
await check('types', () => run(process.execPath, [toolScript('typescript', 'tsc'), '-b']));
await check('build', async () => {
  await prepare({ targets: ['server', 'web'] });
  return 0;
});

mkdirSync(join(root, '.cache'), { recursive: true });
rmSync(report, { force: true });
const code = await run(process.execPath, [
  toolScript('vitest'),
  'run',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${report}`,
  ...(process.env.FIVEUNIT_CHROMIUM ? [] : ['--project=!browser']),
  ...process.argv.slice(2),
]);

let { passed, failed, skipped } = { passed: 0, failed: 0, skipped: 0 };
try {
  ({ passed, failed, skipped } = counts());
} catch {
  console.error('The test runner left no report.');
}
// Whatever made the runner say no without a failed test (an error outside of all tests, say) must not count as none.
if (code !== 0 && failed === 0) failed = 1;
if (failedChecks.length > 0) console.error(`Failed besides the tests: ${failedChecks.join(', ')}`);
failed += failedChecks.length;

console.log(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
process.exitCode = failed > 0 ? 1 : 0;
