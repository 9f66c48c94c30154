import { randomBytes } from 'node:crypto';
import {
  linkSync,
  lstatSync,
  readFileSync,
  renameSync,
  rmdirSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { codeOf } from './output-target.ts';
import { makeStateFolder } from './state-file.ts';
import { isRunning } from './temporary-files.ts';

/** Time between checks of a lock that another run holds, ms. */
const PAUSE = 20;
/** Time between renewals of a lock, ms. */
const RENEWAL = 500;
/** Age at which a lock expires, ms. The process ID in an old lock may be reused or forged. */
const OLDEST = 10_000;
const MAX_BYTES = 100;

/**
 * Does the work while no other run holds the same lock.
 *
 * A lock left by a killed run is taken over. Where no lock can be made, as on a read-only card, the work is
 * done without a lock.
 *
 * @param path The lock, a file in one of the program's own folders. The folder is made if missing, and
 * removed afterward if it is empty.
 */
export async function withLock<T>(path: string, work: () => Promise<T>): Promise<T> {
  const token = `${process.pid} ${randomBytes(8).toString('hex')}`;
  let isHeld = false;
  try {
    while (!takeLock(path, token)) {
      removeExpired(path, token);
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
    isHeld = true;
  } catch {
    // Where no lock can be made, the store and the record of what was written cannot be saved either.
  }
  const renewal = setInterval(() => {
    if (isHeld && contentOf(path) === token)
      unless(['ENOENT'], () => utimesSync(path, new Date(), new Date()));
  }, RENEWAL);
  try {
    return await work();
  } finally {
    clearInterval(renewal);
    if (isHeld && contentOf(path) === token) rmSync(path, { force: true });
    if (isHeld) removeEmpty(dirname(path));
  }
}

/** Tries to take the lock and returns whether this succeeded. @throws Error when no lock can be made here. */
function takeLock(path: string, token: string): boolean {
  // The lock is written elsewhere and linked into place, since a half-written lock would look abandoned.
  const whole = `${path}-${token.split(' ')[1]}`;
  makeStateFolder(dirname(path));
  try {
    // ENOENT: another run may have finished and removed the folder, which was then empty.
    return (
      unless(['EEXIST', 'ENOENT'], () => {
        writeFileSync(whole, token, { flag: 'wx' });
        linkSync(whole, path);
        return true;
      }) === true
    );
  } finally {
    rmSync(whole, { force: true });
  }
}

/** Returns the result of a call; undefined when it fails with one of these codes. */
function unless<T>(codes: readonly string[], call: () => T): T | undefined {
  try {
    return call();
  } catch (cause) {
    if (!codes.includes(codeOf(cause))) throw cause;
    return undefined;
  }
}

function removeExpired(path: string, token: string): void {
  const found = contentOf(path);
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (found === undefined || stats === undefined) return;
  if (isRunning(Number.parseInt(found, 10)) && Math.abs(Date.now() - stats.mtimeMs) < OLDEST) return;
  const aside = `${path}-${token.split(' ')[1]}`;
  try {
    unless(['ENOENT', 'EEXIST'], () => {
      renameSync(path, aside);
      // Another run may have taken over the lock in the meantime.
      if (contentOf(aside) !== found) linkSync(aside, path);
    });
  } finally {
    rmSync(aside, { force: true });
  }
}

function removeEmpty(folder: string): void {
  try {
    rmdirSync(folder);
  } catch {
    // The folder is not empty, or another run has removed it.
  }
}

/**
 * Returns the content of a lock: empty when too long, undefined when there is no lock.
 *
 * @throws Error when the path is not a file or cannot be read.
 */
function contentOf(path: string): string | undefined {
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (stats === undefined) return undefined;
  if (!stats.isFile()) throw new Error('no file');
  if (stats.size > MAX_BYTES) return '';
  return unless(['ENOENT'], () => readFileSync(path, 'utf8'));
}
