import { renderReport, startViewServer } from '../page/index.ts';
import { viewOptions } from './command-options.ts';
import { reportInput, runEnrichment } from './enrichment.ts';
import { findInputs } from './input-files.ts';
import { MARK_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'view',
  summary:
    'Prints an address at which your browser shows the report page, and updates the page when the inputs change.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const first = await resolveCommand(SHAPE, argv, MARK_STAGES);
  const { io, positionals, inputs, valueFiles } = first;
  let isFirst = true;
  const makePage = async (): Promise<string> => {
    // Options are resolved again, since a lure box or the configuration may have changed.
    const command = isFirst ? first : await resolveCommand(SHAPE, argv, MARK_STAGES);
    isFirst = false;
    const files = findInputs(command);
    const enrichment = await command.io.reportingAll(() => runEnrichment(command, files, true));
    const page = renderReport(reportInput(enrichment));
    command.io.clearProgress();
    return page;
  };
  const server = await startViewServer({
    makePage,
    watch: [...positionals, ...(inputs.soundings ?? []), ...(inputs.tracks ?? []), ...valueFiles],
    ...first.values('view', viewOptions),
    onRemade: (problem) =>
      io.note(
        problem === undefined ? 'The page was updated.' : `The page could not be updated: ${problem.message}`,
      ),
  });
  const interrupted = new Promise<void>((resolve) => process.once('SIGINT', () => resolve()));
  io.note(`The report is at ${server.url} (Ctrl-C ends).`);
  await interrupted;
  await server.close();
  return 130;
}
