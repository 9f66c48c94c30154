import { existsSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { groupBy } from 'es-toolkit/array';
import { Document, parseDocument } from 'yaml';
import { Refusal } from '../../shared/contract/index.ts';
import { type Given, type LogOptions, resolveSettings } from '../../shared/engine/index.ts';
import { commandMessages as says } from '../../shared/text/index.ts';
import { settingsOfLogs } from '../engine/index.ts';
import { checkTarget, writeAtomically } from '../files/index.ts';
import { readConfig, refuseKey } from './read-config.ts';
import type { ResolvedCommand } from './resolve-command.ts';

const settingsFile = (log: string): string => `${log}.yaml`;

/**
 * Reads the settings of single logs, and of files inside logs, from the configuration and from the settings
 * file beside each log. Names in the configuration may be patterns; `logs` in a settings file names files
 * inside the log.
 *
 * These settings win over the options of the command. Of several settings for one log, the last wins.
 *
 * @throws Refusal (status 2) for an option that does not control how a log is read, or for an invalid value.
 */
export function logSettings(logs: readonly string[], resolved: ResolvedCommand): readonly LogOptions[] {
  const known = settingsOfLogs(resolved.pipeline.log);
  const names = [...known.keys()].filter((name) => !name.includes('.'));
  const sets = [...resolved.logSets, ...logs.flatMap(givenBeside)];
  return sets.map(([pattern, given]) => {
    const unknown = given.find(({ flag }) => !known.has(flag));
    if (unknown !== undefined) refuseKey(unknown, names, 'key of-log');
    return { pattern, values: resolveSettings(known, given, resolved.units, '') };
  });
}

function givenBeside(log: string): (readonly [name: string, given: readonly Given[]])[] {
  const file = settingsFile(log);
  if (!existsSync(file)) return [];
  const { given, sets } = readConfig(file);
  return [[log, given], ...Array.from(sets.logs, ([name, own]) => [`${log}/${name}`, own] as const)];
}

interface KeptSettings {
  readonly log: string;
  readonly file: string;
  readonly settings: readonly Given[];
}

/**
 * Saves settings for every later run, in the configuration if one is given, else in a file beside each log.
 * In the configuration, all settings go under the key `logs`; in a file beside a log, only the settings of
 * files inside the log do.
 *
 * Existing content is kept, including comments. @returns Files written.
 * @throws Refusal when a setting already has another value, unless `force` is given.
 */
export async function saveLogSettings(
  { inputs }: ResolvedCommand,
  kept: readonly KeptSettings[],
  force: boolean,
): Promise<string[]> {
  const changes = new Map<string, [path: string[], value: string | string[]][]>();
  const logs = [...new Set(kept.map(({ log }) => log))];
  const names = logs.map((log) => basename(log));
  for (const { log, file, settings } of kept) {
    const target = inputs.config ?? settingsFile(log);
    const inside = file.slice(log.length);
    // A log whose name another log shares is listed by its path.
    const name = names.filter((other) => other === basename(log)).length === 1 ? basename(log) : log;
    const own = inputs.config === undefined ? inside.slice(1) : `${name}${inside}`;
    const key = own === '' ? [] : ['logs', own];
    const values = Object.entries(groupBy(settings, ({ flag }) => flag)).map(
      ([flag, given]): [string[], string | string[]] => {
        const texts = given.flatMap((each) => each.texts);
        return [[...key, flag], texts.length === 1 ? texts[0] : texts];
      },
    );
    changes.set(target, [...(changes.get(target) ?? []), ...values]);
  }
  const changed = Array.from(changes, ([file, own]) => ({
    target: checkTarget(file, { force: true, sources: logs }),
    document: changeFile(file, own, force),
  })).filter(({ document }) => document !== undefined);
  for (const { target, document } of changed)
    await writeAtomically(target, new TextEncoder().encode(String(document)));
  return changed.map(({ target }) => target.path);
}

/** Adds values to a settings file. @returns The new content; undefined when the file has all these values. */
function changeFile(
  file: string,
  changes: readonly [path: string[], value: string | string[]][],
  force: boolean,
): Document | undefined {
  const document = existsSync(file) ? parseDocument(readFileSync(file, 'utf8')) : new Document({});
  if (document.contents === null) document.contents = document.createNode({}) as never;
  let isChanged = false;
  for (const [path, value] of changes) {
    const there = path.reduce((node, key) => node?.[key], document.toJS());
    if (String(there) === String(value)) continue;
    if (there !== undefined && !force)
      throw new Refusal([says['setting-differs']({ file }, path.at(-1)!, String(there))], 2);
    document.setIn(path, value);
    isChanged = true;
  }
  return isChanged ? document : undefined;
}
