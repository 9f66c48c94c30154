import { existsSync } from 'node:fs';
import { Refusal } from '../../shared/contract/index.ts';
import { type Given, type LogOptions, resolveSettings, type Setting } from '../../shared/engine/index.ts';
import { configKey } from '../../shared/text/index.ts';
import { settingsOfLogs } from '../engine/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Settings file of a log: `day1.csv.yaml` beside `day1.csv`. */
export const settingsFile = (log: string): string => `${log}.yaml`;

/**
 * Settings of single logs and of files inside them: from the configuration, by the patterns there, and from the file
 * beside each log, whose `logs` are files inside the log.
 *
 * These win over the options of the command. When several match, the last one wins.
 *
 * @throws Refusal (status 2) for an option that does not control how a log is read, or for an invalid value.
 */
export async function logSettings(
  logs: readonly string[],
  resolved: ResolvedCommand,
): Promise<readonly LogOptions[]> {
  const known = settingsOfLogs(resolved.pipeline.log);
  const sets = [...resolved.logSets, ...(await Promise.all(logs.map(givenBeside))).flat()];
  return sets.map(([pattern, given]) => {
    for (const { flag, wording } of given) if (!known.has(flag)) refuseKey(flag, wording, known);
    return { pattern, values: resolveSettings(known, given, resolved.units, '') };
  });
}

async function givenBeside(
  log: string,
): Promise<readonly (readonly [name: string, given: readonly Given[]])[]> {
  const file = settingsFile(log);
  if (!existsSync(file)) return [];
  const { readConfig } = await import('./read-config.ts');
  const { given, logSets } = readConfig(file);
  return [[log, given], ...Array.from(logSets, ([name, own]) => [`${log}/${name}`, own] as const)];
}

function refuseKey(flag: string, wording: string, settings: ReadonlyMap<string, Setting>): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  const known = [...settings.keys()].filter((name) => !name.includes('.')).join(', ');
  throw new Refusal(
    [configKey(file, line === undefined ? undefined : Number(line), flag, `one of ${known}`)],
    2,
  );
}
