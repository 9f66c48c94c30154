import { spawn } from 'node:child_process';
import { existsSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';

/** Time limit of the tests of one fault, s, because a fault may cause an endless loop. */
const LONGEST = 120;

/** The result of a run. */
export interface TestRun {
  /** `broken` if a test file could not be loaded or no test ran. */
  readonly outcome: 'passed' | 'failed' | 'endless' | 'broken';
  /** Name of the first test that failed, or the reason why tests did not end or run. */
  readonly reason: string;
}

interface Report {
  readonly testResults: readonly {
    readonly message: string;
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

/**
 * Runs some test files in a copy of the project and stops at the first failure.
 *
 * @param tests Paths without `tests/` and `.test.ts`.
 * @param longest Time limit, s.
 */
export async function runTests(
  folder: string,
  tests: readonly string[],
  longest = LONGEST,
): Promise<TestRun> {
  const report = join(folder, 'report.json');
  rmSync(report, { force: true });
  const child = spawn(
    process.execPath,
    [
      join('node_modules', 'vitest', 'vitest.mjs'),
      'run',
      '--config=tests/vitest.config.ts',
      '--maxWorkers=1',
      '--bail=1',
      '--reporter=json',
      `--outputFile=${report}`,
      ...tests.map((test) => `tests/${test}.test.ts`),
    ],
    { cwd: folder, stdio: 'ignore', detached: true },
  );
  const end = (): void => {
    try {
      // A worker in an endless loop would not end with its parent, so the whole group is killed.
      process.kill(-child.pid!, 'SIGKILL');
    } catch {
      // The group had already ended.
    }
  };
  process.once('exit', end);
  let isEndless = false;
  const timer = setTimeout(() => {
    isEndless = true;
    end();
  }, longest * 1000);
  await new Promise((done) => child.once('close', done));
  clearTimeout(timer);
  process.off('exit', end);
  if (isEndless) return { outcome: 'endless', reason: `no end within ${longest} s` };
  if (!existsSync(report)) return { outcome: 'broken', reason: 'the test runner did not start' };
  return judge(JSON.parse(readFileSync(report, 'utf8')) as Report);
}

function judge({ testResults }: Report): TestRun {
  const all = testResults.flatMap(({ assertionResults }) => assertionResults);
  const failed = all.find(({ status }) => status === 'failed');
  if (failed !== undefined) return { outcome: 'failed', reason: failed.fullName };
  if (all.some(({ status }) => status === 'passed') && testResults.every(({ message }) => message === ''))
    return { outcome: 'passed', reason: '' };
  return { outcome: 'broken', reason: testResults[0]?.message.split('\n')[0] ?? 'no such test' };
}
