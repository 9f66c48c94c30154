import { createHash } from 'node:crypto';
import { createReadStream, statSync } from 'node:fs';
import { isDeepStrictEqual } from 'node:util';

/** Identity of a file's content without reading it. Times are in ns since 1970, as text. */
export interface FileIdentity {
  readonly device: string;
  readonly inode: string;
  readonly size: number;
  /** Modification time, which copying programs may set to anything. */
  readonly modified: string;
  /** Time of the last change of content or metadata, which programs cannot set as they can `modified`. */
  readonly changed: string;
}

/** Coarsest resolution of file times, ms: that of memory cards. */
const TIME_STEP = 2000;

/** Returns the identity of a regular file; undefined for anything else. */
export function identityOf(path: string): FileIdentity | undefined {
  try {
    const stats = statSync(path, { bigint: true });
    if (!stats.isFile()) return undefined;
    return {
      device: `${stats.dev}`,
      inode: `${stats.ino}`,
      size: Number(stats.size),
      modified: `${stats.mtimeNs}`,
      changed: `${stats.ctimeNs}`,
    };
  } catch {
    return undefined;
  }
}

export const isUnchanged = (before: FileIdentity | undefined, after: FileIdentity | undefined): boolean =>
  isDeepStrictEqual(before, after);

/** True when size and times are equal; device and inode may differ. */
export const isSameContent = (
  a: Pick<FileIdentity, 'size' | 'modified' | 'changed'>,
  b: Pick<FileIdentity, 'size' | 'modified' | 'changed'>,
): boolean => a.size === b.size && a.modified === b.modified && a.changed === b.changed;

/** True when a later change of the file would show in its times. @param now Present time, ms since 1970. */
export const isSettled = ({ changed }: FileIdentity, now: number): boolean =>
  now - Number(BigInt(changed) / 1_000_000n) > TIME_STEP;

export async function hashFile(path: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const chunk of createReadStream(path, { highWaterMark: 1 << 20 })) hash.update(chunk as Buffer);
  return hash.digest('hex');
}
