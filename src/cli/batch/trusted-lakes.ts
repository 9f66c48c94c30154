import { realpathSync } from 'node:fs';
import { join } from 'node:path';
import { readStateFile, withLock, writeStateFile } from '../../files/index.ts';
import { makeSettingsFolder, settingsFolder } from '../user-settings.ts';
import type { OutsideAccess } from './outside-access.ts';

const MAX_BYTES = 16 << 20;

/** Path of the approvals, kept with the user's settings and never in a folder that someone else could have made. */
const recordPath = (): string => join(settingsFolder(), 'trusted.json');

/** Approved content by real path of the folder or configuration; empty when the record cannot be used. */
function readRecord(): Record<string, string> {
  try {
    const record: unknown = JSON.parse(new TextDecoder().decode(readStateFile(recordPath(), MAX_BYTES)));
    return typeof record === 'object' && record !== null ? { ...record } : {};
  } catch {
    // Nothing is approved in that case, and each request is refused with the command that approves it.
    return {};
  }
}

/** True when a lake folder or a configuration requests nothing, or was approved in its present state. */
export const isTrusted = (folder: string, { requests, content }: OutsideAccess): boolean =>
  requests.length === 0 || readRecord()[realpathSync(folder)] === content;

/** Approves the present requests of a folder or a configuration; an undefined `reach` withdraws the approval. */
export async function setTrust(folder: string, reach: OutsideAccess | undefined): Promise<void> {
  makeSettingsFolder();
  await withLock(join(settingsFolder(), 'writing'), async () => {
    const { [realpathSync(folder)]: _, ...others } = readRecord();
    const record = reach === undefined ? others : { ...others, [realpathSync(folder)]: reach.content };
    await writeStateFile(recordPath(), new TextEncoder().encode(`${JSON.stringify(record, undefined, 2)}\n`));
  });
}
