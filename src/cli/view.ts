import { renderReport, startViewServer } from '../page/index.ts';
import { createCommandIo, reportingAll } from './command-io.ts';
import { viewOptions } from './core-options.ts';
import { reportInput, runEnrichment } from './enrichment.ts';
import { findInputs } from './input-files.ts';
import { MARK_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'view',
  summary: 'Shows the report page in a browser on this machine, and updates it when the inputs change.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  let resolved = await resolveCommand(SHAPE, argv, MARK_STAGES);
  let isFirst = true;
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const { port, host } = resolved.values('view', viewOptions);
  const makePage = async (): Promise<string> => {
    // The change may be in a lure box or the configuration.
    if (!isFirst) resolved = await resolveCommand(SHAPE, argv, MARK_STAGES);
    isFirst = false;
    const files = findInputs(resolved);
    const enrichment = await reportingAll(io, () => runEnrichment(resolved, files, io, true));
    const page = renderReport(reportInput(enrichment));
    io.progress.clear();
    return page;
  };
  const watch = [
    ...resolved.positionals,
    ...(resolved.inputs.soundings ?? []),
    ...(resolved.inputs.tracks ?? []),
    ...resolved.valueFiles,
  ];
  const onRemade = (problem: Error | undefined): void =>
    io.note(
      problem === undefined ? 'The page was updated.' : `The page could not be updated: ${problem.message}`,
    );
  const server = await startViewServer({ makePage, watch, port, host, onRemade });
  const interrupted = new Promise<void>((resolve) => process.once('SIGINT', () => resolve()));
  io.note(`The report is at ${server.url} (Ctrl-C ends).`);
  await interrupted;
  await server.close();
  return 130;
}
