import { basename, dirname, extname, join } from 'node:path';
import type { Report } from '../../shared/contract/index.ts';
import { realPathOf } from '../files/index.ts';
import {
  type Generation,
  type Ledger,
  openGeneration,
  openLedger,
  reportMixedOutputs,
} from '../run/index.ts';
import type { InputFiles } from './input-files.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Groups of outputs whose number depends on the run, so that those of an earlier run must be removed. */
interface OutputSets {
  readonly figures?: string;
  /** GPX files that may be split: `a.gpx`, `a-2.gpx`, ... */
  readonly split?: readonly string[];
}

/** Record of what a command writes, beside the lake's first log or else its first waypoint file. */
export function generationOf(
  command: string,
  resolved: ResolvedCommand,
  { logs, waypoints, tracks }: InputFiles,
  sets: OutputSets,
  report: Report,
): Generation {
  const inputs = [...logs, ...waypoints, ...tracks, ...resolved.sideFiles].filter((file) => file !== '-');
  if (!resolved.inputs.store) return lockOnly({ logs, waypoints });
  const options = resolved.given.map(({ flag, texts }) => ({ flag, texts }));
  const run = { command, options, inputs, isOfSet: isOfSets(sets) };
  return openGeneration(besideOf({ logs, waypoints }), run, report);
}

/** Turns on a lake, for a command that keeps no record of what it writes. */
export const lockOnly = (files: LakeFiles): Generation =>
  openGeneration(besideOf(files), undefined, () => {});

/** The ledger of a run's lake, in the same place; an empty ledger without a store. */
export function ledgerOf({ inputs }: ResolvedCommand, files: LakeFiles, report: Report): Ledger {
  const beside = besideOf(files);
  if (!inputs.store || beside === undefined) return { given: [], add: async () => {} };
  return openLedger(beside, report);
}

type LakeFiles = Pick<InputFiles, 'logs' | 'waypoints'>;

const besideOf = ({ logs, waypoints }: LakeFiles): string | undefined =>
  [...logs, ...waypoints].find((file) => file !== '-');

/** Reports a run on the lake that was stopped while it renamed its outputs. */
export function reportMixed(
  { inputs }: ResolvedCommand,
  { logs, waypoints }: LakeFiles,
  report: Report,
): void {
  if (inputs.store) reportMixedOutputs([...logs, ...waypoints], report);
}

function isOfSets({ figures, split = [] }: OutputSets): (path: string) => boolean {
  const folder = figures === undefined ? undefined : realPathOf(figures);
  const stems = split
    .filter((path) => path !== '-')
    .map((path) => {
      const full = join(realPathOf(dirname(path)), basename(path));
      return { stem: full.slice(0, full.length - extname(full).length), extension: extname(full) };
    });
  return (path) =>
    (dirname(path) === folder && extname(path) === '.svg') ||
    stems.some(
      ({ stem, extension }) =>
        path.startsWith(stem) &&
        path.endsWith(extension) &&
        /^-\d+$/.test(path.slice(stem.length, path.length - extension.length)),
    );
}
