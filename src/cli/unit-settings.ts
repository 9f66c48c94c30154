import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { optionValue } from '../../shared/text/index.ts';
import { settingsFolder } from './settings-folder.ts';

const SUFFIX = '.unit.yaml';

/** File with the output options for a unit. @throws Refusal (status 2) for a name that is not a valid file name. */
export function unitFile(name: string, flag: string): string {
  if (!/^[\w-]{1,40}$/.test(name))
    throw new Refusal([optionValue(flag, name, 'a name of letters, digits, - and _')], 2);
  return join(settingsFolder(), `${name}${SUFFIX}`);
}

/** Options of a saved unit. @throws Refusal (status 2) when the unit was not saved. */
export async function unitOptions(name: string): Promise<readonly Given[]> {
  const file = unitFile(name, '--unit');
  if (!existsSync(file)) {
    const expected =
      savedUnits().length === 0
        ? 'a unit saved with downslope unit EXPORT --save NAME'
        : `one of ${savedUnits().join(', ')}`;
    throw new Refusal([optionValue('--unit', name, expected)], 2);
  }
  const { readConfig } = await import('./read-config.ts');
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
