import { createHash } from 'node:crypto';
import { createReadStream, mkdirSync, readFileSync, type Stats, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type { Diagnostic } from '../../../shared/contract/index.ts';
import { storeNotWritten, storeRebuilt } from '../../../shared/text/index.ts';
import { checkTarget, writeAtomically } from '../../files/index.ts';
import { decodeLog, encodeLog, type StoredLog, type StoredOrigin } from './log-codec.ts';

/** Keeps reduced soundings beside the logs, so that a log is read once. */
export interface LakeStore {
  /** The stored log, if the file and everything the reduction depends on are unchanged. */
  find(file: string): Promise<StoredLog | undefined>;
  keep(file: string, log: StoredLog): Promise<void>;
}

/** Folder beside each log. */
const FOLDER = '.downslope';

/**
 * Opens the store of a run.
 *
 * A stored log counts when its options are the same and its file has the same length and the same times, that of
 * its content and that of any change to it, or else the same content: a log may be copied over with its old time.
 * One that is damaged, foreign or of another version is rebuilt with a note, never trusted.
 *
 * @param dependsOn Everything besides a log's bytes that its reduction depends on; plain data.
 */
export function openLakeStore(
  dependsOn: (file: string) => unknown,
  report: (diagnostic: Diagnostic) => void,
): LakeStore {
  const reductionFor = (file: string): string =>
    createHash('sha256')
      .update(JSON.stringify(dependsOn(file)))
      .digest('hex');
  const contents = new Map<string, string>();
  const contentOf = async (file: string): Promise<string> => {
    const known = contents.get(file) ?? (await hashFile(file));
    contents.set(file, known);
    return known;
  };
  return {
    async find(file) {
      const path = storePath(file);
      const bytes = readIfThere(path);
      if (bytes === undefined) return undefined;
      try {
        const { log, origin } = decodeLog(bytes);
        if (origin.reduction !== reductionFor(file)) return undefined;
        if (isSameStat(statSync(file), origin) || (await contentOf(file)) === origin.content) return log;
        return undefined;
      } catch (cause) {
        report(storeRebuilt(path, (cause as Error).message));
        return undefined;
      }
    },
    async keep(file, log) {
      const path = storePath(file);
      try {
        const { size, mtimeMs, ctimeMs } = statSync(file);
        const origin = {
          size,
          modified: mtimeMs,
          changed: ctimeMs,
          content: await contentOf(file),
          reduction: reductionFor(file),
        };
        mkdirSync(dirname(path), { recursive: true });
        const target = checkTarget(path, { force: true, inPlace: false, inputs: [] });
        await writeAtomically(target, encodeLog(log, origin));
      } catch (cause) {
        report(storeNotWritten(dirname(path), (cause as Error).message.split('\n')[0]));
      }
    },
  };
}

const storePath = (file: string): string => join(dirname(file), FOLDER, `${basename(file)}.arrow`);

/** Programs that copy set the time of the content as they like; nobody sets the time of the change. */
const isSameStat = ({ size, mtimeMs, ctimeMs }: Stats, origin: StoredOrigin): boolean =>
  size === origin.size && mtimeMs === origin.modified && ctimeMs === origin.changed;

function readIfThere(path: string): Uint8Array | undefined {
  try {
    return readFileSync(path);
  } catch {
    return undefined;
  }
}

async function hashFile(file: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const chunk of createReadStream(file, { highWaterMark: 1 << 20 })) hash.update(chunk as Buffer);
  return hash.digest('hex');
}
