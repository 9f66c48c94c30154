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

/** Options that may be given for one log: how it is read, and those of the plugins that run on each log. */
export const settingsOfLogs = ({ pipeline }: Pick<Settled, 'pipeline'>): ReadonlyMap<string, Setting> =>
  collectSettings([
    { owner: 'reader', options: readerOptions },
    ...pipeline.log.map(({ plugin }) => ({ owner: plugin.name, options: plugin.options })),
  ]);

/** Settings file of a log: `day1.csv.yaml` beside `day1.csv`. */
export const settingsFile = (log: string): string => `${log}.yaml`;

/**
 * How single logs are read: by the patterns of the configuration that fit their name, and by the file beside each.
 *
 * They win over the options of the command. Patterns come in order: of two that fit, the later wins.
 *
 * @returns Values by owner, of logs that have settings.
 * @throws Refusal (status 2) for an option that does not say how a log is read, or a value that does not fit.
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

/** What the file beside a log says. */
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

/** Whether a name of a log, or its whole path, fits a pattern with `*` and `?`. */
function fits(pattern: string, log: string): boolean {
  const source = pattern
    .replace(/[.+^${}()|[\]\\]/g, '\\$&')
    .replaceAll('*', '.*')
    .replaceAll('?', '.');
  const expression = new RegExp(`^${source}$`, 'i');
  return expression.test(basename(log)) || expression.test(log);
}
