import { createHash } from 'node:crypto';
import { basename, dirname, join } from 'node:path';
import type { Diagnostic } from '../../../shared/contract/index.ts';
import { storeNotWritten, storeRebuilt } from '../../../shared/text/index.ts';
import {
  type FileIdentity,
  hashFile,
  identityOf,
  isSameContent,
  isSettled,
  isUnchanged,
  readOwnFile,
  writeOwnFile,
} from '../../files/index.ts';
import { checkStoredLog } from './check-stored-log.ts';
import { decodeLog, encodeLog, type StoredLog, type StoredOrigin } from './log-codec.ts';

/** Keeps reduced soundings beside the logs, so that a log is read once. */
export interface LakeStore {
  /** The stored log, if the file and everything the reduction depends on are unchanged. */
  find(file: string): Promise<StoredLog | undefined>;
  /**
   * Keeps what was read of a file.
   *
   * @param identity The file's before it was read. When it is another by now, nothing is kept: what was read may be
   *   of an older content than the file's.
   */
  keep(file: string, log: StoredLog, identity: FileIdentity): Promise<void>;
}

/** Folder beside each log. */
const FOLDER = '.downslope';
/** Longest stored log that is read, bytes. */
const MOST_BYTES = 2 ** 31 - 1;

/**
 * Opens the store of a run.
 *
 * A stored log counts when its options are the same and its file has the same length and the same times, that of
 * its content and that of any change to it, or else the same content: a log may be copied over with its old time.
 * One that is damaged, foreign or of another version is rebuilt with a note, never trusted. What stands in its place
 * and is no file is passed over with a note, and no link is followed.
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
  return {
    async find(file) {
      const identity = identityOf(file);
      if (identity === undefined) return undefined;
      const path = storePath(file);
      try {
        const bytes = readOwnFile(path, MOST_BYTES);
        if (bytes === undefined) return undefined;
        const { log, origin } = decodeLog(bytes);
        if (origin.reduction !== reductionFor(file)) return undefined;
        const isKnown = isSameContent(origin, identity) || isOf(await contentOf(file, identity), origin);
        if (!isKnown) return undefined;
        checkStoredLog(log);
        return log;
      } catch (cause) {
        report(storeRebuilt(path, (cause as Error).message));
        return undefined;
      }
    },
    async keep(file, log, identity) {
      const path = storePath(file);
      try {
        const content = await contentOf(file, identity);
        if (content === undefined) throw new Error('the log was changed');
        const { size, modified, changed } = identity;
        const reduction = reductionFor(file);
        // Without a time of change the next run looks at the content.
        const origin = {
          size,
          modified,
          changed: isSettled(identity, Date.now()) ? changed : '',
          content,
          reduction,
        };
        await writeOwnFile(path, encodeLog(log, origin));
      } catch (cause) {
        report(storeNotWritten(dirname(path), (cause as Error).message.split('\n')[0]));
      }
    },
  };
}

/** False without a content. */
const isOf = (content: string | undefined, origin: StoredOrigin): boolean =>
  content !== undefined && content === origin.content;

const storePath = (file: string): string => join(dirname(file), FOLDER, `${basename(file)}.arrow`);

/** Hash of a file that is the same before and after; undefined for one that is not. */
async function contentOf(file: string, identity: FileIdentity): Promise<string | undefined> {
  const content = await hashFile(file);
  return isUnchanged(identity, identityOf(file)) ? content : undefined;
}
