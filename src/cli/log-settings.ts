import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import {
  collectSettings,
  type Given,
  type ResolvedValues,
  resolveSettings,
  type Setting,
} from '../../shared/engine/index.ts';
import { configKey } from '../../shared/text/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import type { Settled } from './settle.ts';

/** Options that may be set for one log: reading options and those of the plugins that run on each log. */
export const settingsOfLogs = ({ pipeline }: Pick<Settled, 'pipeline'>): ReadonlyMap<string, Setting> =>
  collectSettings([
    { owner: 'reader', options: readerOptions },
    ...pipeline.log.map(({ plugin }) => ({ owner: plugin.name, options: plugin.options })),
  ]);

/** Settings file of a log: `day1.csv.yaml` beside `day1.csv`. */
export const settingsFile = (log: string): string => `${log}.yaml`;

/**
 * Settings of single logs, from configuration patterns that match the log's name and from the file beside each log.
 *
 * These win over the options of the command. When several patterns match, the last one wins.
 *
 * @returns Values by owner, for logs that have settings.
 * @throws Refusal (status 2) for an option that does not control how a log is read, or for an invalid value.
 */
export async function logSettings(
  logs: readonly string[],
  settled: Settled,
): Promise<ReadonlyMap<string, ResolvedValues>> {
  const known = settingsOfLogs(settled);
  const found = new Map<string, ResolvedValues>();
  for (const log of logs) {
    const fitting = [...settled.logSets]
      .filter(([pattern]) => fits(pattern, log))
      .flatMap(([, given]) => given);
    const given = [...fitting, ...(await givenBeside(log))];
    if (given.length === 0) continue;
    for (const { flag, wording } of given) if (!known.has(flag)) refuseKey(flag, wording, known);
    found.set(log, resolveSettings(known, given, settled.units, ''));
  }
  return found;
}

/** Settings from the file beside a log. */
export async function givenBeside(log: string): Promise<readonly Given[]> {
  const file = settingsFile(log);
  if (!existsSync(file)) return [];
  const { readConfig } = await import('./read-config.ts');
  return readConfig(file).given;
}

function refuseKey(flag: string, wording: string, settings: ReadonlyMap<string, Setting>): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  const known = [...settings.keys()].filter((name) => !name.includes('.')).join(', ');
  throw new Refusal(
    [configKey(file, line === undefined ? undefined : Number(line), flag, `one of ${known}`)],
    2,
  );
}

/** True when the name or whole path of a log matches a pattern with `*` and `?`. */
function fits(pattern: string, log: string): boolean {
  const source = pattern
    .replace(/[.+^${}()|[\]\\]/g, '\\$&')
    .replaceAll('*', '.*')
    .replaceAll('?', '.');
  const expression = new RegExp(`^${source}$`, 'i');
  return expression.test(basename(log)) || expression.test(log);
}
