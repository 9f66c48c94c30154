import { visible } from '../../shared/contract/index.ts';
import { plural } from '../../shared/text/index.ts';
import { readInput, writeStateFile } from '../files/index.ts';
import { type Habit, readGpx, unitHabits } from '../formats/gpx/index.ts';
import { unitCommandOptions } from './command-options.ts';
import { findInputs } from './input-files.ts';
import { ledgerOf } from './lake-records.ts';
import { resolveCommand } from './resolve-command.ts';
import { makeSettingsFolder, unitFile } from './user-settings.ts';

const SHAPE = {
  name: 'unit',
  summary: 'Learns from an export how your unit changes waypoints, so that enrich can write for it.',
  argument: { name: '<export>', help: 'a GPX file exported by the unit' },
  footer: `An export with boat positions from downslope works best. Give the same --soundings as for enrich, or put the
export into the folder of the marks, so that its boat positions can be compared with what downslope wrote. Then write
for the unit with downslope enrich --unit NAME.`,
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, ['reader']);
  const { io, inputs } = command;
  const { save } = command.values('unit-command', unitCommandOptions);
  const [file] = command.positionals;
  const target = save === undefined ? undefined : unitFile(save, '--save');
  await io.reportingAll(async () => {
    const { given } = ledgerOf(command, findInputs(command, [file]), io.report);
    const document = readGpx(readInput(file), file, { repair: inputs.repair, given });
    const { compared, habits } = unitHabits(document.waypoints, given);
    io.print(`${reportLines(document.waypoints.length, compared, habits).join('\n')}\n`);
    if (target === undefined) return;
    makeSettingsFolder();
    await writeStateFile(target, new TextEncoder().encode(settingsText(habits)));
    io.note(`wrote ${target}`);
    io.note(`write for this unit with: downslope enrich MARKS --unit ${save}`);
  });
  return 0;
}

function reportLines(waypoints: number, compared: number, habits: readonly Habit[]): string[] {
  const sure =
    compared === 0
      ? 'none written by downslope, so what the unit changes is a guess from the export alone'
      : `${compared} written by downslope, compared with what the unit was given`;
  return [
    `${plural(waypoints, 'waypoint')}; ${sure}`,
    ...habits.map(({ found, by, options }) => {
      const flags = Object.entries(options).map(([flag, value]) =>
        typeof value === 'string' && value !== 'on' ? `${flag} ${value}` : flag,
      );
      return `${by.padEnd(7)}${found}${flags.length === 0 ? '' : ` (--${flags.join(' --')})`}`;
    }),
  ];
}

const settingsText = (habits: readonly Habit[]): string =>
  habits
    .flatMap(({ found, by, options }) =>
      Object.entries(options).map(
        ([flag, value]) =>
          `# ${by}: ${visible(found)}\n${flag}: ${typeof value === 'string' ? value : JSON.stringify(value)}\n`,
      ),
    )
    .join('') || '# This unit needs no options.\n';
