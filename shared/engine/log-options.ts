import type { ResolvedValues } from './settings.ts';

/** Options for the logs, and files inside logs, whose names match a pattern. */
export interface LogOptions {
  /**
   * Name of a log, or of a file inside a log (`logs.zip/day1.csv`), with or without the folders before it.
   * `*` stands for any characters except `/`, `?` for one such character. Case is ignored.
   */
  readonly pattern: string;
  readonly values: ResolvedValues;
}

type Sets = readonly LogOptions[] | undefined;

/** Returns the options of an input (a log or a file inside a log) from all matching sets. Later sets win. */
export function optionsForInput(sets: Sets, input: string): ResolvedValues | undefined {
  const fitting = sets?.filter(({ pattern }) => fits(pattern, input)) ?? [];
  return fitting.length === 0 ? undefined : together(fitting.map(({ values }) => values));
}

export const isInLog = (input: string | undefined, log: string): boolean =>
  input === log || input?.startsWith(`${log}/`) === true;

/** Returns the options of an input inside a log. Options of a file win over options of the log around it. */
export function optionsInLog(sets: Sets, log: string, input: string): ResolvedValues | undefined {
  const inside = isInLog(input, log) ? input.slice(log.length + 1).split('/') : [];
  const names = [log, ...inside.map((_, at) => [log, ...inside.slice(0, at + 1)].join('/'))];
  const found = names.flatMap((name) => optionsForInput(sets, name) ?? []);
  return found.length === 0 ? undefined : together(found);
}

function together(all: readonly ResolvedValues[]): ResolvedValues {
  const values = new Map<string, Readonly<Record<string, unknown>>>();
  for (const [owner, options] of all.flatMap((each) => [...each]))
    values.set(owner, { ...values.get(owner), ...options });
  return values;
}

function fits(pattern: string, name: string): boolean {
  const source = pattern
    .replace(/[.+^${}()|[\]\\]/g, '\\$&')
    .replaceAll('*', '[^/]*')
    .replaceAll('?', '[^/]');
  return new RegExp(`^(?:.*[/\\\\])?${source}$`, 'i').test(name);
}
