import type { Diagnostic, Place } from '../../contract/index.ts';
import { error, note } from './make.ts';

export const pluginNotFound = (reference: string, why: string): Diagnostic =>
  error(
    'plugin/not-found',
    `Plugin ${JSON.stringify(reference)} does not load (${why}). Check the path or package name.`,
  );

export const pluginShape = (reference: string, found: string, expected: string): Diagnostic =>
  error('plugin/shape', `Plugin ${JSON.stringify(reference)} has ${found}, but needs ${expected}.`);

export const pluginTwice = (name: string): Diagnostic =>
  error(
    'plugin/twice',
    `Two plugins are called "${name}". Rename yours, or leave the built-in one out with --without ${name}.`,
  );

export const suffixTwice = (suffix: string, one: string, other: string): Diagnostic =>
  error(
    'plugin/suffix-twice',
    `Plugins "${one}" and "${other}" both name positions "${suffix}", so their positions could not be told apart. Leave one plugin out, or change its suffix.`,
  );

export const pluginUnknown = (name: string, known: string): Diagnostic =>
  error('plugin/unknown', `There is no plugin "${name}". The plugins are ${known}.`);

export const commandNeedsPlugin = (command: string, name: string): Diagnostic =>
  error(
    'plugin/needed',
    `downslope ${command} cannot run without plugin "${name}". Take it out of --without.`,
  );

export const pluginOfPlanStage = (name: string): Diagnostic =>
  error(
    'plugin/plan-stage',
    `Plugin "${name}" belongs to the stage plan, and nothing would write its result. Make it a waypoint plugin, or work on the enriched GPX.`,
  );

export const planMissingField = (plugin: string, field: string, provider: string | undefined): Diagnostic =>
  error(
    'plan/missing-field',
    `Plugin "${plugin}" needs "${field}", which no chosen plugin provides. ${provider === undefined ? 'Add a plugin that provides it.' : `Add plugin "${provider}".`}`,
  );

export const planTwoProviders = (field: string, first: string, second: string): Diagnostic =>
  error(
    'plan/two-providers',
    `Plugins "${first}" and "${second}" both provide "${field}". Leave one of them out with --without.`,
  );

export const planCycle = (names: readonly string[]): Diagnostic =>
  error(
    'plan/cycle',
    `Plugins ${names.map((name) => `"${name}"`).join(', ')} need each other's fields in a circle. Leave one of them out.`,
  );

/** What a failure costs: at one waypoint the plugin's fields, in earlier stages the run. */
export type Cost = 'fields' | 'run';

const WHAT_IS_LOST = { fields: 'its fields are left out', run: 'nothing is written' } as const;
const sentence = (words: string): string => `${words[0].toUpperCase()}${words.slice(1)}`;

export const pluginThrew = (plugin: string, cause: unknown, cost: Cost): Diagnostic => {
  const why = cause instanceof Error ? cause.message : String(cause);
  const stack = cause instanceof Error ? cause.stack : undefined;
  return error(
    'plugin/threw',
    `Plugin "${plugin}" failed: ${why}. ${sentence(WHAT_IS_LOST[cost])}; report it to the plugin's author.`,
    { ...(stack === undefined ? {} : { place: placeOf(stack), values: { stack } }) },
  );
};

/** The first line of a stack outside this program and Node, which is where a plugin failed. */
function placeOf(stack: string): Place {
  for (const line of stack.split('\n')) {
    const frame = /(?:\(|at )(?:file:\/\/)?((?:\/|[A-Za-z]:[\\/])[^()]*?):(\d+):(\d+)\)?$/.exec(line.trim());
    if (frame === null || /[\\/]dist[\\/]program[\\/]/.test(frame[1])) continue;
    return { file: frame[1], line: Number(frame[2]), column: Number(frame[3]) };
  }
  return {};
}

/** A field changed by a refiner, with both values. */
export const pluginRefined = (plugin: string, field: string, before: unknown, after: unknown): Diagnostic =>
  note(
    'plugin/refined',
    `Plugin "${plugin}" changed ${field} to ${String(after)}; it was ${before === undefined ? 'empty' : String(before)}.`,
    { values: { plugin, field, before: asValue(before), after: asValue(after) } },
  );

const asValue = (value: unknown): number | string =>
  typeof value === 'number' ? value : String(value ?? '');

export const planColumnClash = (field: string, other: string, column: string): Diagnostic =>
  error(
    'plan/column-clash',
    `Fields "${field}" and "${other}" would both be column "${column}" of the table. Rename one.`,
  );

export const pluginUndeclared = (plugin: string, field: string): Diagnostic =>
  error(
    'plugin/undeclared',
    `Plugin "${plugin}" returned "${field}", which is not among the fields it provides. Its fields are left out.`,
  );

export const pluginBadValue = (plugin: string, field: string, found: string, expected: string): Diagnostic =>
  error(
    'plugin/value',
    `Plugin "${plugin}" returned ${found} for "${field}", which is not ${expected}. Its fields are left out.`,
  );

export const pluginChangedInput = (plugin: string, cost: Cost): Diagnostic =>
  error(
    'plugin/changed-input',
    `Plugin "${plugin}" changed its input, which it may only read. ${sentence(WHAT_IS_LOST[cost])}.`,
  );

/** A log or survey plugin returned something unusable. */
export const pluginBadChange = (plugin: string, found: string, expected: string): Diagnostic =>
  error(
    'plugin/value',
    `Plugin "${plugin}" returned ${found} where a plugin of its stage returns ${expected}. ${sentence(WHAT_IS_LOST.run)}.`,
  );

export const pluginHung = (plugin: string, seconds: number, cost: Cost): Diagnostic =>
  error(
    'plugin/hung',
    `Plugin "${plugin}" did not return within ${seconds} s. It was stopped; ${WHAT_IS_LOST[cost]}.`,
  );

export const pluginExited = (plugin: string, cost: Cost): Diagnostic =>
  error(
    'plugin/exited',
    `Plugin "${plugin}" ended its process instead of returning. ${sentence(WHAT_IS_LOST[cost])}.`,
  );
