import { describe, expect, test, vi } from 'vitest';
import { HELP_CAUTIONS } from '../../src/cli/cautions.ts';
import { PLAN_CAUTIONS } from '../../src/day/plan-cautions.ts';
import { formatPlanGpx } from '../../src/day/plan-gpx.ts';
import { formatPlanText } from '../../src/day/plan-text.ts';
import { plan, ringLake } from '../day/lake.ts';

/** Cautions for an angler who relies on a depth, a run or a boat position from this program. */
const MUST_SAY = [
  /not for navigation/i,
  /estimates/,
  /local law and licensed practice/i,
  /life jacket/i,
  /cut-off lanyard/,
];

/** Returns the help of a command. */
async function helpOf(command: string): Promise<string> {
  const { run } = (await import(`../../src/cli/${command}.ts`)) as {
    run(argv: readonly string[]): Promise<number>;
  };
  const write = vi.spyOn(process.stdout, 'write').mockImplementation(() => true);
  try {
    await run(['--help']).catch(() => {});
    return write.mock.calls.map(([text]) => String(text)).join('');
  } finally {
    write.mockRestore();
  }
}

describe('cautions', () => {
  test('are complete in the help texts', () => {
    for (const part of MUST_SAY) expect(HELP_CAUTIONS).toMatch(part);
  });

  test.each(['enrich', 'plan', 'check', 'view', 'lake', 'undo', 'batch', 'plugins'])(
    'end the help of the command %s',
    async (command) => {
      expect((await helpOf(command)).trimEnd().endsWith(HELP_CAUTIONS)).toBe(true);
    },
  );

  test('of the day plan are complete, and its GPX and text include the first', () => {
    for (const part of MUST_SAY) expect(PLAN_CAUTIONS.join(' ')).toMatch(part);
    const made = plan(ringLake(5, 3)).plan!;
    expect(formatPlanGpx(made, 'ft', 50)).toContain('<desc>Not for navigation.');
    expect(formatPlanText(made, 'ft')).toContain('Not for navigation.');
  });
});
