import { basename, dirname, extname, join } from 'node:path';
import type { Report } from '../../shared/contract/index.ts';
import { checkTargets, realPathOf, type TargetOptions, writeTogether } from '../files/index.ts';
import { type Ledger, openGeneration, openLedger, reportMixedOutputs } from '../run/index.ts';
import type { InputFiles } from './input-files.ts';
import type { ResolvedCommand } from './resolve-command.ts';

type LakeFiles = Pick<InputFiles, 'logs' | 'waypoints'>;

/** Finds the file beside which a lake's records are kept: the first log, or else the first waypoint file. */
const besideOf = ({ logs, waypoints }: LakeFiles): string | undefined =>
  [...logs, ...waypoints].find((file) => file !== '-');

/**
 * Opens the ledger of a run's lake. Without a store, or with standard input alone, the ledger is empty and
 * keeps nothing.
 */
export function ledgerOf({ inputs }: ResolvedCommand, files: LakeFiles, report: Report): Ledger {
  const beside = besideOf(files);
  if (!inputs.store || beside === undefined) return { given: [], add: async () => {} };
  return openLedger(beside, report);
}

/** Does the work while no other run on the lake can write. */
export const inTurn = <T>(files: LakeFiles, work: () => Promise<T>): Promise<T> =>
  openGeneration(besideOf(files), undefined, () => {}).withLock(work);

/** With a store, reports the mixed outputs of runs on the lake that were stopped while renaming outputs. */
function reportMixed({ inputs, io }: ResolvedCommand, { logs, waypoints }: LakeFiles): void {
  if (inputs.store) reportMixedOutputs([...logs, ...waypoints], io.report);
}

const isReplacing = ({ force, inPlace }: TargetOptions): boolean => force || inPlace === true;

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

/** What `writeOutputs` needs to record a run's outputs. */
interface Noted {
  /** Folder of figures. All figures in the folder belong to the run. */
  readonly figures?: string;
  /** Paths of GPX files before splitting: `a.gpx` may be written as `a-1.gpx`, `a-2.gpx`, ... */
  readonly split?: readonly string[];
  /**
   * Runs when all outputs are complete, before the first is renamed. By then the ledger must know all boat
   * positions, because the run may be stopped at any later moment.
   */
  readonly first?: () => Promise<void>;
}

/**
 * Writes all outputs of a run. Every output is complete before the first is renamed, and no other run on the
 * lake writes in the meantime.
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
    // All outputs are checked before the first is written. Parts of a split file are known only now, and
    // another run may have written since the first check.
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

/** Prints the paths of the written files other than figures; nothing with `--quiet` or `--json`. */
export function noteWritten({ io, inputs }: ResolvedCommand, paths: readonly string[]): void {
  if (inputs.quiet || inputs.json) return;
  for (const path of paths) if (path !== '-' && !path.endsWith('.svg')) io.note(`wrote ${path}`);
}

/** Recognizes figures and parts of split files, so that those left from an earlier run can be removed. */
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
