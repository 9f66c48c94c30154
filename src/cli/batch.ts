import { type OptionDefinitions, pathOption, switchOption } from '../../shared/contract/index.ts';
import { plural, batchMessages as says } from '../../shared/text/index.ts';
import { checkTarget, writeAtomically } from '../files/index.ts';
import { formatCsv } from '../formats/table/index.ts';
import { readJobs } from './batch/job-list.ts';
import { type JobResult, runJobs } from './batch/run-jobs.ts';
import { HELP_CAUTIONS } from './cautions.ts';
import { createCommandIo } from './command-io.ts';
import { parseOwnOptions } from './parse-command-line.ts';

const SHAPE = {
  name: 'batch',
  summary:
    'Runs many lakes: lake folders, or YAML files that list lakes. A lake that fails does not stop the others.',
  argument: { name: '<jobs...>', help: 'lake folders, or YAML files with a list "lakes"' },
  footer: `Arguments after -- are passed to enrich for every lake. A lake folder contains waypoints/, logs/, tracks/,
levels.csv, lures.csv and downslope.yaml; only waypoints are needed. Its outputs go to its folder plan/. A folder that
runs plugins of its own, or uses files outside itself, runs only once you trust it: downslope trust FOLDER.

${HELP_CAUTIONS}`,
} as const;

const BATCH_OPTIONS = {
  jobs: {
    kind: 'count',
    min: 1,
    max: 64,
    default: 1,
    flag: 'jobs',
    help: 'Number of lakes to run at a time; even a single lake uses every core.',
  },
  again: switchOption('again', 'Also run lakes whose inputs have not changed.'),
  summary: pathOption('summary', 'CSV file for the table of results.'),
  force: switchOption('force', 'Replace the summary file if it exists.'),
  json: switchOption('json', 'Print messages as JSON lines on standard error.'),
} as const satisfies OptionDefinitions;

/**
 * Runs all jobs and prints the table of results to standard output.
 *
 * @returns Exit status: 0, 1 if any job failed, or 128 + n after signal n.
 */
export async function run(argv: readonly string[]): Promise<number> {
  const split = argv.indexOf('--');
  const [own, extra] = split < 0 ? [argv, []] : [argv.slice(0, split), argv.slice(split + 1)];
  const { positionals, values } = parseOwnOptions(SHAPE, BATCH_OPTIONS, own);
  const io = createCommandIo(values.json, 'm');
  const { summary, force } = values;
  const target = summary === undefined ? undefined : checkTarget(summary, { force, sources: positionals });
  const jobs = readJobs(positionals, extra);
  const started = Date.now();
  const { results, endedBy } = await runJobs(jobs, {
    jobs: values.jobs,
    again: values.again,
    onStart: ({ name }, position) =>
      io.progress(`Lake ${position + 1} of ${jobs.length}: ${name}`, position / jobs.length),
    onEnd: (result, done) => {
      if (values.json) return;
      for (const ask of result.requests) io.note(`${result.name}, trusted: ${ask}`);
      io.note(endLine(result, done, jobs.length, (Date.now() - started) / 1000));
    },
  });
  for (const { outcome, name, status, said } of results)
    if (status !== 0)
      io.report(
        status === endedBy
          ? says['job-failed stopped'](undefined, name)
          : says['job-failed'](undefined, name, status, said, outcome === 'incomplete'),
      );
  const table = resultTable(results);
  io.print(table);
  if (target !== undefined) await writeAtomically(target, new TextEncoder().encode(table));
  return endedBy ?? (results.some(({ status }) => status !== 0) ? 1 : 0);
}

function endLine(
  { name, outcome, seconds, summary }: JobResult,
  done: number,
  all: number,
  elapsed: number,
): string {
  const what =
    summary === undefined
      ? ''
      : `, ${plural(summary.waypoints, 'waypoint')}, ${plural(summary.soundings, 'sounding')}`;
  const left = done < all ? `; about ${Math.ceil((elapsed / done) * (all - done))} s left` : '';
  return `${done}/${all} ${name}: ${outcome}, ${seconds.toFixed(1)} s${what}${left}`;
}

function resultTable(results: readonly JobResult[]): string {
  const rows = results.map(({ name, outcome, status, seconds, summary, outFolder }) => [
    name,
    outcome,
    String(status),
    seconds.toFixed(1),
    String(summary?.waypoints ?? ''),
    String(summary?.withBoat ?? ''),
    String(summary?.soundings ?? ''),
    outFolder,
  ]);
  const header = ['lake', 'outcome', 'status', 'seconds', 'waypoints', 'with_boat', 'soundings', 'out'];
  return formatCsv([header, ...rows], '\n', true);
}
