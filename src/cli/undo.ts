import { Refusal } from '../../shared/contract/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { checkTargets, readInput } from '../files/index.ts';
import { enrichGpx, gpxOutputOptions, readGpx } from '../formats/gpx/index.ts';
import { openLedger } from '../run/index.ts';
import { createCommandIo, reportingAll } from './command-io.ts';
import { undoOptions } from './core-options.ts';
import { writeOutputs } from './enrich-outputs.ts';
import { expandPaths } from './expand-paths.ts';
import { lockOnly } from './lake-records.ts';
import { restoredPaths } from './output-paths.ts';
import { resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'undo',
  summary:
    'Removes everything that enrich added to GPX files: the bytes you began with, except for changes made by a unit.',
  argument: { name: '<waypoints...>', help: 'enriched GPX files' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, []);
  const options = resolved.values('undo', undoOptions);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const files = resolved.positionals;
  if (files.length === 0) throw new Refusal([says['command-line nothing-to-undo'](undefined)], 2);
  const logs = expandPaths(resolved.inputs.soundings ?? [], ['.csv', '.gpx']);
  const paths = restoredPaths(files, options.out);
  const targets = { force: options.force, inputs: files, sources: logs };
  checkTargets(paths, targets);
  await reportingAll(io, async () => {
    const outputs = files.map((file, k) => {
      const { given } = openLedger(logs[0] ?? file, io.report);
      const document = readGpx(readInput(file), file, { repair: resolved.inputs.repair, given });
      document.diagnostics.forEach(io.report);
      const { parts, diagnostics } = enrichGpx(document, [], resolved.values('gpx', gpxOutputOptions));
      diagnostics.forEach(io.report);
      return { path: paths[k], content: parts[0].bytes };
    });
    await writeOutputs(outputs, targets, lockOnly({ logs, waypoints: files }));
  });
  if (!resolved.inputs.quiet && !resolved.inputs.json) for (const path of paths) io.note(`wrote ${path}`);
  return 0;
}
