import { LOG_STAGES, MARK_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plan',
  summary: 'Plans the day on an enriched lake: which spots, in what order, when to rest them.',
  argument: { name: '<lake...>', help: 'enriched GPX files, or a folder of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const isTyped = (flag: string): boolean =>
    argv.some((word) => word === flag || word.startsWith(`${flag}=`));
  const [report, boat] = [isTyped('--report'), isTyped('--boat')];
  const resolved = await resolveCommand(SHAPE, argv, [...(report ? MARK_STAGES : LOG_STAGES), 'plan']);
  // Loaded late, so that help and a bad command line cost little more than starting Node.
  const { planFiles } = await import('./plan-files.ts');
  return planFiles(resolved, { report, boat });
}
