import { basename, dirname, extname, join } from 'node:path';
import type { Report } from '../../shared/contract/index.ts';
import { checkTargets, realPathOf, type TargetOptions, writeTogether } from '../files/index.ts';
import { type Ledger, openGeneration, openLedger, reportMixedOutputs } from '../run/index.ts';
import type { InputFiles } from './input-files.ts';
import type { ResolvedCommand } from './resolve-command.ts';

type LakeFiles = Pick<InputFiles, 'logs' | 'waypoints'>;

/** The file beside which the records of a lake are kept: its first log, or else its first waypoint file. */
const besideOf = ({ logs, waypoints }: LakeFiles): string | undefined =>
  [...logs, ...waypoints].find((file) => file !== '-');

/** The ledger of a run's lake; an empty ledger without a store. */
export function ledgerOf({ inputs }: ResolvedCommand, files: LakeFiles, report: Report): Ledger {
  const beside = besideOf(files);
  if (!inputs.store || beside === undefined) return { given: [], add: async () => {} };
  return openLedger(beside, report);
}

/** Does the work while no other run on the lake can write. */
export const inTurn = <T>(files: LakeFiles, work: () => Promise<T>): Promise<T> =>
  openGeneration(besideOf(files), undefined, () => {}).withLock(work);

/** Reports a run on the lake that was stopped while it renamed its outputs. */
function reportMixed({ inputs, io }: ResolvedCommand, { logs, waypoints }: LakeFiles): void {
  if (inputs.store) reportMixedOutputs([...logs, ...waypoints], io.report);
}

/** True for a run that may replace outputs; such a run rewrites all outputs. */
const isReplacing = ({ force, inPlace }: TargetOptions): boolean => force || inPlace === true;

/** Reports a run that was stopped while it renamed its outputs, unless this run may replace them. */
export async function reportStopped(
  command: ResolvedCommand,
  files: LakeFiles,
  targets: TargetOptions,
): Promise<void> {
  if (!isReplacing(targets)) await command.io.reportingAll(() => reportMixed(command, files));
}

/** An output held in memory, since nothing is written until all outputs are complete. */
export interface Output {
  readonly path: string;
  readonly content: string | Uint8Array;
}

/** What `writeOutputs` needs to record a run's outputs, and a step to take before the first of them is renamed. */
interface Noted {
  /** Folder of figures, all of which belong to the run. */
  readonly figures?: string;
  /** GPX files that may be split: `a.gpx`, `a-2.gpx`, ... */
  readonly split?: readonly string[];
  /**
   * Runs when all outputs are complete, before the first is renamed. A run stopped after that must not leave boat
   * positions that the ledger does not know.
   */
  readonly first?: () => Promise<void>;
}

/**
 * Writes all outputs of a run. Every output is complete before the first is renamed, and no other run on the lake
 * writes meanwhile.
 *
 * @param noted Undefined for a command that keeps no record of what it writes.
 */
export async function writeOutputs(
  command: ResolvedCommand,
  files: InputFiles,
  made: readonly Output[],
  targets: TargetOptions,
  noted?: Noted,
): Promise<void> {
  const { name, inputs, given, io, sideFiles } = command;
  const options = given.map(({ flag, texts }) => ({ flag, texts }));
  const read = [...files.logs, ...files.waypoints, ...files.tracks, ...sideFiles].filter(
    (file) => file !== '-',
  );
  const run =
    noted !== undefined && inputs.store
      ? { command: name, options, inputs: read, isOfSet: isOfSets(noted) }
      : undefined;
  const generation = openGeneration(besideOf(files), run, io.report);
  await generation.withLock(async () => {
    // Parts of a split file are known only now, and another run may have written since, so all are checked before the
    // first is written.
    const paths = made.map(({ path }) => path);
    const writes = checkTargets(paths, targets).map((target, i) => {
      const { content } = made[i];
      return { target, bytes: typeof content === 'string' ? new TextEncoder().encode(content) : content };
    });
    await writeTogether(writes, async () => {
      await noted?.first?.();
      await generation.begin(writes);
    });
    await generation.end();
  });
  if (noted !== undefined && isReplacing(targets)) reportMixed(command, files);
}

/** Prints the paths of the written files, except for figures, which are too many to name. */
export function noteWritten({ io, inputs }: ResolvedCommand, paths: readonly string[]): void {
  if (inputs.quiet || inputs.json) return;
  for (const path of paths) if (path !== '-' && !path.endsWith('.svg')) io.note(`wrote ${path}`);
}

/** Recognizes outputs whose number depends on the run, so that extra ones of an earlier run are removed. */
function isOfSets({ figures, split = [] }: Noted): (path: string) => boolean {
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
