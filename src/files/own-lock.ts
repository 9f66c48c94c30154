import { randomBytes } from 'node:crypto';
import { linkSync, lstatSync, readFileSync, renameSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { codeOf } from './output-target.ts';
import { makeOwnFolder } from './own-file.ts';
import { isRunning } from './stale-files.ts';

/** Time between checks of a lock that another run holds, ms. */
const PAUSE = 20;
/**
 * Time between renewals of a lock, and age from which a lock expires, ms. The process ID in an old lock may be reused
 * or forged.
 */
const RENEWAL = 500;
const OLDEST = 10_000;

/**
 * Does some work while no other run works under the same lock.
 *
 * A lock left by a killed run is taken over. If no lock can be made, as on a read-only card, the work is done without
 * one.
 *
 * @param path The lock, a file in one of the program's own folders, which is made if missing.
 */
export async function inTurn<T>(path: string, work: () => Promise<T>): Promise<T> {
  const own = `${process.pid} ${randomBytes(8).toString('hex')}`;
  let isHeld = false;
  try {
    makeOwnFolder(dirname(path));
    while (!takes(path, own)) {
      passOver(path, own);
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
    isHeld = true;
  } catch {
    // Without a lock there is no store either, and no record of what was written.
  }
  const renewal = setInterval(() => {
    if (isHeld && contentOf(path) === own) renew(path);
  }, RENEWAL);
  try {
    return await work();
  } finally {
    clearInterval(renewal);
    if (isHeld && contentOf(path) === own) rmSync(path, { force: true });
  }
}

/** Tries to take the lock. @throws Error when no lock can be made. */
function takes(path: string, own: string): boolean {
  // The lock is written elsewhere and linked into place, because an empty lock would look like one left behind.
  const whole = `${path}-${own.split(' ')[1]}`;
  try {
    writeFileSync(whole, own, { flag: 'wx' });
    linkSync(whole, path);
    return true;
  } catch (cause) {
    if (codeOf(cause) !== 'EEXIST') throw cause;
    return false;
  } finally {
    rmSync(whole, { force: true });
  }
}

/** Removes an expired lock. */
function passOver(path: string, own: string): void {
  const found = contentOf(path);
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (found === undefined || stats === undefined) return;
  if (isRunning(Number(found.split(' ')[0])) && Math.abs(Date.now() - stats.mtimeMs) < OLDEST) return;
  const aside = `${path}-${own.split(' ')[1]}`;
  try {
    renameSync(path, aside);
    // Another run may have taken over the lock in the meantime.
    if (contentOf(aside) !== found) linkSync(aside, path);
  } catch (cause) {
    if (!['ENOENT', 'EEXIST'].includes(codeOf(cause))) throw cause;
  } finally {
    rmSync(aside, { force: true });
  }
}

function renew(path: string): void {
  try {
    const now = new Date();
    utimesSync(path, now, now);
  } catch (cause) {
    if (codeOf(cause) !== 'ENOENT') throw cause;
  }
}

/** Content of a lock; undefined when there is none. @throws Error when the path is not a file. */
function contentOf(path: string): string | undefined {
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (stats === undefined) return undefined;
  if (!stats.isFile()) throw new Error('no file');
  try {
    return readFileSync(path, 'utf8');
  } catch (cause) {
    if (codeOf(cause) === 'ENOENT') return undefined;
    throw cause;
  }
}
