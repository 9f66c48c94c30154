import { basename, dirname, extname, join } from 'node:path';
import type { Diagnostic } from '../../shared/contract/index.ts';
import { realPathOf } from '../files/index.ts';
import { type Generation, openGeneration, reportMixedOutputs } from '../run/index.ts';
import type { InputFiles } from './input-files.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Groups of outputs whose number depends on the run, so that those of an earlier run must be removed. */
export interface OutputSets {
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
  report: (diagnostic: Diagnostic) => void,
): Generation {
  const inputs = [...logs, ...waypoints, ...tracks, ...resolved.sideFiles].filter((file) => file !== '-');
  if (!resolved.inputs.store) return lockOnly({ logs, waypoints });
  const options = resolved.given.map(({ flag, texts }) => ({ flag, texts }));
  return openGeneration(
    besideOf({ logs, waypoints }),
    { command, options, inputs, isOfSet: isOfSets(sets) },
    report,
  );
}

/** Turns on a lake, for a command that keeps no record of what it writes. */
export const lockOnly = (files: Pick<InputFiles, 'logs' | 'waypoints'>): Generation =>
  openGeneration(besideOf(files), undefined, () => {});

const besideOf = ({ logs, waypoints }: Pick<InputFiles, 'logs' | 'waypoints'>): string | undefined =>
  [...logs, ...waypoints].find((file) => file !== '-');

/** Reports a run on the lake that was stopped while it renamed its outputs. */
export function reportMixed(
  { inputs }: ResolvedCommand,
  { logs, waypoints }: Pick<InputFiles, 'logs' | 'waypoints'>,
  report: (diagnostic: Diagnostic) => void,
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
