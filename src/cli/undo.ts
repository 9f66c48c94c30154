import { defaultsOf } from '../../shared/contract/index.ts';
import { checkTargets, readInput } from '../files/index.ts';
import { enrichGpx, gpxOutputOptions, readGpx } from '../formats/gpx/index.ts';
import { openLedger } from '../run/index.ts';
import { undoOptions } from './command-options.ts';
import { expandPaths } from './input-files.ts';
import { noteWritten, writeOutputs } from './lake-records.ts';
import { restoredPaths } from './output-paths.ts';
import { resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'undo',
  summary: 'Gives back GPX files as they were before enrich, apart from changes made by a unit.',
  argument: { name: '<waypoints...>', help: 'enriched GPX files' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, []);
  const { io, inputs, positionals: waypoints } = command;
  const options = command.values('undo', undoOptions);
  const logs = expandPaths(inputs.soundings ?? [], { what: 'sonar logs', extensions: ['.csv', '.gpx'] });
  const paths = restoredPaths(waypoints, options.out);
  const targets = { force: options.force, sources: [...waypoints, ...logs] };
  checkTargets(paths, targets);
  await io.reportingAll(async () => {
    const outputs = waypoints.map((file, k) => {
      const { given } = openLedger(logs[0] ?? file, io.report);
      const document = readGpx(readInput(file), file, { repair: inputs.repair, given });
      const { parts, diagnostics } = enrichGpx(document, [], defaultsOf(gpxOutputOptions));
      [...document.diagnostics, ...diagnostics].forEach(io.report);
      return { path: paths[k], content: parts[0].bytes };
    });
    await writeOutputs(command, { logs, waypoints, tracks: [] }, outputs, targets);
  });
  noteWritten(command, paths);
  return 0;
}
