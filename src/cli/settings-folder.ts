import { mkdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';

/** Folder of the user's own settings; never a folder that someone else could have made. */
export function settingsFolder(): string {
  const { XDG_CONFIG_HOME, APPDATA } = process.env;
  return join(XDG_CONFIG_HOME || APPDATA || join(homedir(), '.config'), 'downslope');
}

/** Makes the parent of the settings folder if missing. */
export const makeSettingsFolder = (): void => {
  mkdirSync(dirname(settingsFolder()), { recursive: true });
};
