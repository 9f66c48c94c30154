import { existsSync } from 'node:fs';
import { type Given, type LogOptions, resolveSettings } from '../../shared/engine/index.ts';
import { settingsOfLogs } from '../engine/index.ts';
import { readConfig, refuseKey } from './read-config.ts';
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
export function logSettings(logs: readonly string[], resolved: ResolvedCommand): readonly LogOptions[] {
  const known = settingsOfLogs(resolved.pipeline.log);
  const names = [...known.keys()].filter((name) => !name.includes('.'));
  const sets = [...resolved.logSets, ...logs.flatMap(givenBeside)];
  return sets.map(([pattern, given]) => {
    const unknown = given.find(({ flag }) => !known.has(flag));
    if (unknown !== undefined) refuseKey(unknown, `one of ${names.join(', ')}`);
    return { pattern, values: resolveSettings(known, given, resolved.units, '') };
  });
}

function givenBeside(log: string): (readonly [name: string, given: readonly Given[]])[] {
  const file = settingsFile(log);
  if (!existsSync(file)) return [];
  const { given, sets } = readConfig(file);
  return [[log, given], ...Array.from(sets.logs, ([name, own]) => [`${log}/${name}`, own] as const)];
}
