import { createHash } from 'node:crypto';
import { basename, dirname, join } from 'node:path';
import type { Report } from '../../../shared/contract/index.ts';
import type { LogEntry } from '../../../shared/engine/index.ts';
import { storeMessages as says } from '../../../shared/text/index.ts';
import {
  type FileIdentity,
  hashFile,
  identityOf,
  isSameContent,
  isSettled,
  isUnchanged,
  readStateFile,
  writeStateFile,
} from '../../files/index.ts';
import { checkStoredLog } from './check-stored-log.ts';
import { decodeLog, encodeLog } from './log-codec.ts';
import { reasonOf } from './reason-of.ts';
import { STORE_FOLDER } from './store-folder.ts';

const MAX_BYTES = 2 ** 31 - 1;

/**
 * Opens the store of reduced soundings, next to the logs. Unchanged logs then need not be read again.
 *
 * A stored log is used if `dependsOn` returns what it did before and the log is unchanged. A log is unchanged
 * if its length and its times of modification and change are the same, or if its content is the same. A
 * stored log that is damaged, foreign or of another format version is reported and replaced. A link, folder
 * or pipe in the place of a stored log is reported and left there.
 *
 * @param dependsOn Returns everything besides a log's bytes that its reduction depends on, as plain data.
 */
export function openLakeStore(dependsOn: (file: string) => unknown, report: Report) {
  const reductionFor = (file: string): string =>
    createHash('sha256')
      .update(JSON.stringify(dependsOn(file)))
      .digest('hex');
  return {
    async find(file: string): Promise<LogEntry | undefined> {
      const identity = identityOf(file);
      if (identity === undefined) return undefined;
      const path = storePath(file);
      try {
        const bytes = readStateFile(path, MAX_BYTES);
        if (bytes === undefined) return undefined;
        const { log, origin } = decoded(bytes);
        if (origin.reduction !== reductionFor(file)) return undefined;
        if (!isSameContent(origin, identity) && origin.content !== (await contentOf(file, identity)))
          return undefined;
        return log;
      } catch (cause) {
        report(says.rebuilt({ file: path }, reasonOf(cause)));
        return undefined;
      }
    },
    /** @param identity Identity of the file before reading. A log that has changed since is not stored. */
    async keep(file: string, log: LogEntry, identity: FileIdentity): Promise<void> {
      const path = storePath(file);
      try {
        const content = await contentOf(file, identity);
        if (content === undefined) throw new Error('a log changed during the run');
        const { size, modified, changed } = identity;
        const reduction = reductionFor(file);
        // Without a change time, the next run compares the content.
        const origin = {
          size,
          modified,
          changed: isSettled(identity, Date.now()) ? changed : '',
          content,
          reduction,
        };
        await writeStateFile(path, encodeLog(log, origin));
      } catch (cause) {
        report(says['not-written']({ file: dirname(path) }, reasonOf(cause)));
      }
    },
  };
}

const storePath = (file: string): string => join(dirname(file), STORE_FOLDER, `${basename(file)}.arrow`);

/** Returns the hash of a file; undefined when the file has changed since `identity` was taken. */
async function contentOf(file: string, identity: FileIdentity): Promise<string | undefined> {
  const content = await hashFile(file);
  return isUnchanged(identity, identityOf(file)) ? content : undefined;
}

/** @throws Error for a stored log that cannot be decoded or has impossible values. */
function decoded(bytes: Uint8Array): ReturnType<typeof decodeLog> {
  try {
    const found = decodeLog(bytes);
    checkStoredLog(found.log);
    return found;
  } catch {
    throw new Error('it is damaged');
  }
}
