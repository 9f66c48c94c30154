import { randomBytes } from 'node:crypto';
import { linkSync, lstatSync, readFileSync, renameSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { codeOf } from './output-target.ts';
import { makeOwnFolder } from './own-file.ts';
import { isRunning } from './stale-files.ts';

/** How often a lock that another run holds is looked at, ms. */
const PAUSE = 20;
/** How often a run renews its lock, and age from which one counts no more, ms: the number of its process may be another's by now, or forged. */
const RENEWAL = 500;
const OLDEST = 10_000;

/**
 * Does some work while no other run does its own under the same lock.
 *
 * A lock that a killed run left is taken over. Where no lock can be made, as on a card that is read-only, the work is
 * done without.
 *
 * @param path The lock, a file in a folder of the program's own, which is made where it is missing.
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
    // Neither is there a store then, nor a record of what was written.
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

/** @throws Error when there can be no lock. */
function takes(path: string, own: string): boolean {
  // Linked into its place whole: a lock without its content could not be told from one left behind.
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

/** Takes a lock away that nobody holds. */
function passOver(path: string, own: string): void {
  const found = contentOf(path);
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (found === undefined || stats === undefined) return;
  if (isRunning(Number(found.split(' ')[0])) && Math.abs(Date.now() - stats.mtimeMs) < OLDEST) return;
  const aside = `${path}-${own.split(' ')[1]}`;
  try {
    renameSync(path, aside);
    // Another run may have taken it over since.
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

/** What a lock says; undefined where there is none. @throws Error for what is no file. */
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
