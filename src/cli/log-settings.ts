import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { type DisplayUnits, Refusal } from '../../shared/contract/index.ts';
import { type Given, resolveSettings } from '../../shared/engine/index.ts';
import { configKey } from '../../shared/text/index.ts';
import { type ReaderOptions, readerSettings } from '../formats/csv/index.ts';

/** Options for one log; they override those of the command. */
export type LogSettings = Partial<ReaderOptions>;

/** Settings file of a log: `day1.csv.yaml` beside `day1.csv`. */
export const settingsFile = (log: string): string => `${log}.yaml`;

/**
 * How single logs are read: by the patterns of the configuration that fit their name, and by the file beside each.
 *
 * @param sets Options by pattern, in order: of two that fit, the later wins. @returns Only logs that have settings.
 * @throws Refusal (status 2) for an option that does not say how a log is read, or a value that does not fit.
 */
export async function logSettings(
  logs: readonly string[],
  sets: ReadonlyMap<string, readonly Given[]>,
  units: DisplayUnits,
): Promise<ReadonlyMap<string, LogSettings>> {
  const found = new Map<string, LogSettings>();
  for (const log of logs) {
    const fitting = [...sets].filter(([pattern]) => fits(pattern, log)).flatMap(([, given]) => given);
    const given = [...fitting, ...(await givenBeside(log))];
    if (given.length === 0) continue;
    for (const { flag, wording } of given) if (!readerSettings.has(flag)) refuseKey(flag, wording);
    found.set(log, (resolveSettings(readerSettings, given, units, '').get('reader') ?? {}) as LogSettings);
  }
  return found;
}

async function givenBeside(log: string): Promise<readonly Given[]> {
  const file = settingsFile(log);
  if (!existsSync(file)) return [];
  const { readConfig } = await import('./read-config.ts');
  return readConfig(file).given;
}

function refuseKey(flag: string, wording: string): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  const known = [...readerSettings.keys()].filter((name) => !name.includes('.')).join(', ');
  throw new Refusal(
    [configKey(file, line === undefined ? undefined : Number(line), flag, `one of ${known}`)],
    2,
  );
}

/** Whether a name of a log, or its whole path, fits a pattern with `*` and `?`. */
function fits(pattern: string, log: string): boolean {
  const source = pattern
    .replace(/[.+^${}()|[\]\\]/g, '\\$&')
    .replaceAll('*', '.*')
    .replaceAll('?', '.');
  const expression = new RegExp(`^${source}$`, 'i');
  return expression.test(basename(log)) || expression.test(log);
}

/** Settings file with the user's options about reading logs; undefined when there are none. */
export function settingsText(given: readonly Given[]): string | undefined {
  const own = given.filter(({ flag, wording }) => readerSettings.has(flag) && wording.startsWith('--'));
  if (own.length === 0) return undefined;
  const byFlag = new Map<string, string[]>();
  for (const { flag, texts } of own) byFlag.set(flag, [...(byFlag.get(flag) ?? []), ...texts]);
  return [...byFlag]
    .map(
      ([flag, texts]) =>
        `${flag}: ${texts.length === 1 ? JSON.stringify(texts[0]) : JSON.stringify(texts)}\n`,
    )
    .join('');
}
