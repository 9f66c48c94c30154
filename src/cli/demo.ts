import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { type CsvFile, type OptionDefinitions, Refusal, switchOption } from '../../shared/contract/index.ts';
import { commandMessages as says } from '../../shared/text/index.ts';
import { HELP_CAUTIONS } from './cautions.ts';
import { parseOwnOptions } from './parse-command-line.ts';

const SHAPE = {
  name: 'demo',
  summary: 'Makes an invented lake with three days of practice, and runs the whole job on it.',
  argument: { name: '[folder]', help: 'where to put it; default downslope-demo' },
  footer: HELP_CAUTIONS,
} as const;

const OPTIONS = {
  force: switchOption('force', 'Replace the files of an earlier demo in the folder.'),
} as const satisfies OptionDefinitions;

const say = (text = ''): void => void process.stdout.write(`${text}\n`);

export async function run(argv: readonly string[]): Promise<number> {
  const { positionals, values } = parseOwnOptions(SHAPE, OPTIONS, argv);
  const [folder = 'downslope-demo'] = positionals;
  const isFile = statSync(folder, { throwIfNoEntry: false })?.isDirectory() === false;
  if (isFile) throw new Refusal([says['folder-taken file'](undefined, folder)], 2);
  if (!values.force && existsSync(folder) && readdirSync(folder).length > 0)
    throw new Refusal([says['folder-taken'](undefined, folder)], 2);
  const [{ writeDemo }, { LAKE_NAME }, { DEMO_DATE }, { run: enrich }] = await Promise.all([
    import('../../fixtures/demo/make-demo.ts'),
    import('../../fixtures/demo/lake-forms.ts'),
    import('../../fixtures/demo/sonar-plan.ts'),
    import('./enrich.ts'),
  ]);
  const inFolder = (name: string): string => join(folder, name);
  const [table, report] = [inFolder('spots.csv'), inFolder('report.html')];
  const command = [
    inFolder('practice.gpx'),
    ...['--soundings', inFolder('sonar')],
    ...['--config', inFolder('downslope.yaml')],
    ...['--date', DEMO_DATE],
    ...['--table', table],
    ...['--geojson', inFolder('spots.geojson')],
    ...['--report', report],
    '--force',
  ];
  say(`${LAKE_NAME}, an invented lake: practice marks and three days of sonar logs.`);
  for (const { name, rows } of writeDemo(folder)) say(`  ${inFolder(name).padEnd(42)}${rows}`);
  say();
  say(`$ npx downslope enrich ${command.join(' ')}`);
  const status = await enrich(command);
  if (status !== 0) return status;
  const { readCsvFile } = await import('../formats/csv/csv-file.ts');
  say();
  for (const line of whatToLookAt(await readCsvFile(table), report, inFolder('practice.enriched.gpx')))
    say(line);
  return 0;
}

type Row = Readonly<Record<string, string>>;

function whatToLookAt(table: CsvFile, report: string, gpx: string): string[] {
  const rows = table.rows.map(({ values }): Row => values);
  const best = [...rows]
    .sort((a, b) => Number(b.downslope_fish_contact_ft) - Number(a.downslope_fish_contact_ft))
    .slice(0, 3)
    .map(bestLine);
  const unsure = rows.filter(({ status }) => status !== 'ok').map(({ waypoint }) => waypoint);
  return [
    'What to look at first',
    `  ${report}: open it in a browser; the page needs no network.`,
    `  ${gpx}: the marks as they were, each with its boat positions; load it into your unit.`,
    'Spots where the lure stays on bottom longest at the depth of the fish:',
    ...best,
    `Marks where the sonar saw too little, as the report says: ${unsure.join(', ')}.`,
  ];
}

/** Writes `  K2, ledge: boat in 25 ft, 22 ft diver, 22 yd of the retrieve on bottom among the fish`. */
function bestLine(row: Row): string {
  const spot = [row.waypoint, row.structure].filter(Boolean).join(', ');
  const boat = Math.round(Number(row.downslope_depth_ft));
  const contact = Math.round(Number(row.downslope_fish_contact_ft) / 3);
  return `  ${spot}: boat in ${boat} ft, ${row.lure}, ${contact} yd of the retrieve on bottom among the fish`;
}
