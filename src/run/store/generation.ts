import { createHash } from 'node:crypto';
import { existsSync, lstatSync, readFileSync, realpathSync, rmSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import type { Report } from '../../../shared/contract/index.ts';
import { storeMessages as says } from '../../../shared/text/index.ts';
import {
  type FileIdentity,
  identityOf,
  isRunning,
  readFolder,
  readStateFile,
  type Write,
  withLock,
  writeStateFile,
} from '../../files/index.ts';
import { VERSION } from '../../version.ts';
import { reasonOf } from './reason-of.ts';
import { STORE_FOLDER } from './store-folder.ts';

/** Name of the lock that exists while a run writes outputs or settings of logs. */
const LOCK = 'writing';
const MANIFEST = /^outputs-[0-9a-f]{16}\.json$/;
const MAX_BYTES = 16 << 20;
/** Age of a run after which it counts as dead, ms, even if its process ID is in use again; judgment. */
const OLDEST = 24 * 3600 * 1000;

/** Record of the inputs and outputs of one run. `isSame` marks an output that the run did not change. */
interface Manifest {
  readonly version: string;
  /** `writing` from before the first output is put in place until after the last. */
  readonly state: 'writing' | 'done';
  /** ID of the process that wrote. */
  readonly process: number;
  /** Time at which the run began to put outputs in place, ms since 1970. */
  readonly at: number;
  readonly command: string;
  readonly options: readonly { readonly flag: string; readonly texts: readonly string[] }[];
  readonly inputs: readonly { readonly path: string; readonly identity?: FileIdentity }[];
  readonly outputs: readonly (NotedOutput & { readonly isSame: boolean })[];
  /** Outputs of earlier runs to remove when all `outputs` are in place. */
  readonly replaces: readonly NotedOutput[];
}

interface NotedOutput {
  readonly path: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** Input for the manifest of a run, besides the outputs. */
export interface GenerationOf {
  readonly command: string;
  readonly options: Manifest['options'];
  readonly inputs: readonly string[];
  /** True for an output in a set that this run rewrites completely, such as the figures in their folder. */
  readonly isOfSet: (path: string) => boolean;
}

export type Generation = ReturnType<typeof openGeneration>;

/**
 * Opens the record of the outputs of one run, in the lake's store.
 *
 * @param beside A log or waypoint file, whose folder holds the store; undefined when all inputs are pipes.
 * @param of Undefined to record nothing and only take the lock.
 */
export function openGeneration(beside: string | undefined, of: GenerationOf | undefined, report: Report) {
  const folder = join(dirname(beside ?? ''), STORE_FOLDER);
  let manifest: Manifest | undefined;
  return {
    /** Runs `work` while no other run on the lake writes outputs, so that outputs of two runs do not mix. */
    withLock: <T>(work: () => Promise<T>): Promise<T> =>
      beside === undefined ? work() : withLock(join(folder, LOCK), work),
    /** Records outputs that are about to be put in place. */
    async begin(writes: readonly Write[]): Promise<void> {
      if (of === undefined || beside === undefined) return;
      const outputs = writes
        .filter(({ target }) => target.realPath !== '-')
        .map(({ target, bytes }) => {
          const output = { path: target.realPath, bytes: bytes.length, sha256: hashOf(bytes) };
          return { ...output, isSame: isAsWritten(output) };
        });
      if (outputs.length === 0) return;
      const written = new Set(outputs.map(({ path }) => path));
      const replaces = manifestsIn(folder)
        .flatMap((known) => known.manifest.outputs)
        .filter(({ path }) => !written.has(path) && of.isOfSet(path) && existsSync(path))
        .map(({ path, bytes, sha256 }) => ({ path, bytes, sha256 }));
      manifest = {
        version: VERSION,
        state: 'writing',
        process: process.pid,
        at: Date.now(),
        command: of.command,
        options: of.options,
        inputs: of.inputs.map((path) => ({ path: resolve(path), identity: identityOf(path) })),
        outputs,
        replaces,
      };
      await note(folder, manifest, report);
    },
    /** Removes unchanged outputs in `replaces`, and records that all outputs are in place. */
    async end(): Promise<void> {
      if (manifest === undefined) return;
      removeEarlier(manifest.replaces, report);
      forgetReplaced(folder, manifest);
      await note(folder, { ...manifest, state: 'done' }, report);
    },
  };
}

/**
 * Reports the outputs of a stopped run if they are mixed with outputs of an earlier run.
 *
 * @param beside Logs and waypoint files of the lake, whose folders may hold a store; `-` is ignored.
 */
export function reportMixedOutputs(beside: readonly string[], report: Report): void {
  const folders = new Set(
    beside.filter((file) => file !== '-').map((file) => join(dirname(file), STORE_FOLDER)),
  );
  for (const folder of folders) {
    for (const { manifest } of manifestsIn(folder)) {
      if (manifest.state !== 'writing' || (isRunning(manifest.process) && Date.now() - manifest.at < OLDEST))
        continue;
      const differing = manifest.outputs.filter(({ isSame }) => !isSame);
      const newer = differing.filter(isAsWritten);
      const older = [
        ...differing.filter((output) => !newer.includes(output)),
        ...manifest.replaces.filter(isAsWritten),
      ];
      if (newer.length > 0 && older.length > 0)
        report(says['mixed-outputs'](undefined, newer.map(shown), older.map(shown)));
    }
  }
}

const shown = ({ path }: NotedOutput): string => {
  const fromHere = relative('', path);
  const name = fromHere.startsWith('..') ? path : fromHere;
  return existsSync(path) ? name : `${name} (missing)`;
};

const hashOf = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

/**
 * Returns a function that tells whether a file was written by an earlier run and not changed since. Paths may
 * lead through links. A file that was also an input, because it was written in place, counts as the user's.
 *
 * @param folders Folders whose stores hold the manifests.
 */
export function writtenBefore(folders: readonly string[]): (path: string) => boolean {
  const noted = new Map<string, NotedOutput>();
  for (const folder of folders)
    for (const { manifest } of manifestsIn(join(folder, STORE_FOLDER))) {
      const inputs = new Set(manifest.inputs?.map(({ path }) => path));
      for (const output of manifest.outputs)
        if (!inputs.has(output.path) && existsSync(output.path)) noted.set(realpathSync(output.path), output);
    }
  return (path) => {
    const output = noted.size === 0 ? undefined : noted.get(realpathSync(path));
    return output !== undefined && isAsWritten(output);
  };
}

function isAsWritten({ path, bytes, sha256 }: NotedOutput): boolean {
  try {
    const stats = statSync(path);
    return stats.isFile() && stats.size === bytes && hashOf(readFileSync(path)) === sha256;
  } catch {
    return false;
  }
}

function removeEarlier(earlier: readonly NotedOutput[], report: Report): void {
  for (const output of earlier) if (isAsWritten(output)) rmSync(output.path, { force: true });
  const changed = earlier.filter(({ path }) => existsSync(path)).map(shown);
  if (changed.length > 0) report(says['older-output'](undefined, [...new Set(changed)]));
}

/** Removes manifests of other runs whose outputs have all been overwritten or removed. */
function forgetReplaced(folder: string, { outputs, process: own, at }: Manifest): void {
  const written = new Set(outputs.map(({ path }) => path));
  for (const { file, manifest } of manifestsIn(folder))
    if (
      (manifest.process !== own || manifest.at !== at) &&
      manifest.outputs.every(({ path }) => written.has(path) || !existsSync(path))
    )
      rmSync(file, { force: true });
}

async function note(folder: string, manifest: Manifest, report: Report): Promise<void> {
  // One file per run, so that a run stopped before its first output does not hide an earlier stopped run.
  const key = hashOf(Buffer.from(`${manifest.process} ${manifest.at}`)).slice(0, 16);
  const path = join(folder, `outputs-${key}.json`);
  try {
    await writeStateFile(path, new TextEncoder().encode(`${JSON.stringify(manifest)}\n`));
  } catch (cause) {
    if (manifest.state === 'writing') report(says.outputs({ file: path }, reasonOf(cause)));
  }
}

function manifestsIn(folder: string): { readonly file: string; readonly manifest: Manifest }[] {
  if (!lstatSync(folder, { throwIfNoEntry: false })?.isDirectory()) return [];
  return readFolder(folder).flatMap(({ name }) => {
    if (!MANIFEST.test(name)) return [];
    const file = join(folder, name);
    try {
      const manifest = JSON.parse(new TextDecoder().decode(readStateFile(file, MAX_BYTES)));
      return isManifest(manifest) ? [{ file, manifest }] : [];
    } catch {
      return [];
    }
  });
}

function isManifest(value: unknown): value is Manifest {
  const found = (value ?? {}) as Partial<Record<keyof Manifest, unknown>>;
  return (
    (found.state === 'writing' || found.state === 'done') &&
    [found.process, found.at].every((number) => typeof number === 'number') &&
    [found.outputs, found.replaces].every((list) => Array.isArray(list) && list.every(isNoted))
  );
}

const isNoted = (output: Partial<NotedOutput> | null): boolean =>
  typeof output?.path === 'string' && typeof output.bytes === 'number' && typeof output.sha256 === 'string';
