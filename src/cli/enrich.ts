import { findInputs } from './input-files.ts';
import { MARK_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'enrich',
  summary: 'Turns waypoints and sonar logs into enriched GPX: structure, boat positions, casts and lures.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, [...MARK_STAGES, 'writer']);
  const files = findInputs(resolved);
  // Loaded late, so that help and a bad command line cost little more than starting Node.
  const { enrichFiles } = await import('./enrich-files.ts');
  return enrichFiles(resolved, files);
}
