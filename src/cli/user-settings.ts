import { existsSync, mkdirSync, readdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { readConfig } from './read-config.ts';

/** Returns the folder of the user's own settings, which unlike a lake folder does not come from others. */
export function settingsFolder(): string {
  const { XDG_CONFIG_HOME, APPDATA } = process.env;
  return join(XDG_CONFIG_HOME || APPDATA || join(homedir(), '.config'), 'downslope');
}

/** Makes the parent of the settings folder if it is missing. */
export const makeSettingsFolder = (): void => {
  mkdirSync(dirname(settingsFolder()), { recursive: true });
};

const SUFFIX = '.unit.yaml';

/** Returns the file with the output options for a unit. @throws Refusal (status 2) for an unusable name. */
export function unitFile(name: string, flag: string): string {
  if (!/^[\w-]{1,40}$/.test(name))
    throw new Refusal(
      [says.value(undefined, flag, name, 'a name of at most 40 letters, digits, - and _')],
      2,
    );
  return join(settingsFolder(), `${name}${SUFFIX}`);
}

/** Reads the options of a saved unit. @throws Refusal (status 2) when no unit was saved under the name. */
export function unitOptions(name: string): readonly Given[] {
  const file = unitFile(name, '--unit');
  if (!existsSync(file)) {
    const saved = savedUnits().join(', ');
    const expected =
      saved === ''
        ? 'a unit saved with downslope unit EXPORT --save NAME'
        : `one of your saved units: ${saved}`;
    throw new Refusal([says.value(undefined, '--unit', name, expected)], 2);
  }
  return readConfig(file).given;
}

function savedUnits(): string[] {
  const folder = settingsFolder();
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((name) => name.endsWith(SUFFIX))
    .map((name) => name.slice(0, -SUFFIX.length))
    .sort();
}
