import { type Dirent, readdirSync } from 'node:fs';
import { inputUnreadable } from '../../shared/diagnostics/command.ts';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';

/** Folders that systems keep on cards for themselves, and let nobody read. */
const OF_THE_SYSTEM = ['System Volume Information', '$RECYCLE.BIN', 'lost+found'];

/**
 * What is in a folder, by name, without hidden files and folders of the system.
 *
 * @throws Refusal naming the folder when it cannot be read.
 */
export function readFolder(folder: string): Dirent[] {
  try {
    const entries = readdirSync(folder, { withFileTypes: true });
    const own = entries.filter(({ name }) => !name.startsWith('.') && !OF_THE_SYSTEM.includes(name));
    return own.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([inputUnreadable(folder, code ?? message)]);
  }
}
