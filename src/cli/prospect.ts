import { Refusal } from '../../shared/contract/index.ts';
import { nothingSounded } from '../../shared/text/index.ts';
import { findInputs } from './input-files.ts';
import { MARK_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'prospect',
  summary:
    'Finds what your marks with fish have in common, and unmarked places on sounded water that look the same, with casts.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, MARK_STAGES);
  const files = findInputs(resolved);
  if (files.logs.length === 0) throw new Refusal([nothingSounded(SHAPE.name)], 2);
  // Loaded late, so that help and a bad command line cost little more than starting Node.
  const { prospectFiles } = await import('./prospect-files.ts');
  return prospectFiles(resolved, files);
}
