import { realpathSync } from 'node:fs';
import { join } from 'node:path';
import { readOwnFile, writeOwnFile } from '../../files/index.ts';
import { makeSettingsFolder, settingsFolder } from '../settings-folder.ts';
import type { LakeReach } from './lake-reach.ts';

/** Longest record that is read, bytes. */
const MOST_BYTES = 16 << 20;

/** Approvals are kept with the user's settings, never in a folder that somebody else may have made. */
const recordPath = (): string => join(settingsFolder(), 'trusted.json');

/** Approved content by real path of the folder; none where the record cannot be used. */
function readRecord(): Record<string, string> {
  try {
    const record: unknown = JSON.parse(new TextDecoder().decode(readOwnFile(recordPath(), MOST_BYTES)));
    return typeof record === 'object' && record !== null ? { ...record } : {};
  } catch {
    // Nothing counts as approved then; each request is refused with the command that approves it.
    return {};
  }
}

/** True when a lake folder asks for nothing, or was approved as it is. */
export const isTrusted = (folder: string, { asks, content }: LakeReach): boolean =>
  asks.length === 0 || readRecord()[realpathSync(folder)] === content;

/** Approves the present requests of a folder; undefined withdraws the approval. */
export async function setTrust(folder: string, reach: LakeReach | undefined): Promise<void> {
  const { [realpathSync(folder)]: _, ...others } = readRecord();
  const record = reach === undefined ? others : { ...others, [realpathSync(folder)]: reach.content };
  makeSettingsFolder();
  await writeOwnFile(recordPath(), new TextEncoder().encode(`${JSON.stringify(record, undefined, 2)}\n`));
}
