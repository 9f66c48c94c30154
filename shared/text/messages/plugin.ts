import type { Diagnostic } from '../../contract/diagnostic.ts';

const error = (code: string, message: string): Diagnostic => ({ severity: 'error', code, message });

export const pluginNotFound = (reference: string, why: string): Diagnostic =>
  error(
    'plugin/not-found',
    `Unexpected --plugin ${JSON.stringify(reference)}, expected a module or package that loads (${why}).`,
  );

export const pluginShape = (reference: string, found: string, expected: string): Diagnostic =>
  error('plugin/shape', `Unexpected ${found} in plugin ${JSON.stringify(reference)}, expected ${expected}.`);

export const pluginTwice = (name: string): Diagnostic =>
  error(
    'plugin/twice',
    `Unexpected second plugin "${name}", expected one of each name. Rename yours, or leave the built-in out with --without ${name}.`,
  );

export const pluginUnknown = (name: string, known: string): Diagnostic =>
  error('plugin/unknown', `Unexpected plugin "${name}", expected one of ${known}.`);

export const commandNeedsPlugin = (command: string, name: string): Diagnostic =>
  error(
    'plugin/needed',
    `Unexpected --without ${name}, expected the plugin that downslope ${command} runs. Leave ${name} out of --without.`,
  );

export const pluginOfPlanStage = (name: string): Diagnostic =>
  error(
    'plugin/plan-stage',
    `Unexpected plugin "${name}" of stage plan, expected reader, log, survey or waypoint: nothing would write what it returns. Make it a waypoint plugin, or work on the enriched GPX.`,
  );

export const planMissingField = (plugin: string, field: string, provider: string | undefined): Diagnostic =>
  error(
    'plan/missing-field',
    `Plugin "${plugin}" needs "${field}", which no chosen plugin provides. ${provider === undefined ? 'Add a plugin that provides it.' : `Add plugin "${provider}".`}`,
  );

export const planTwoProviders = (field: string, first: string, second: string): Diagnostic =>
  error(
    'plan/two-providers',
    `Unexpected second provider of "${field}": plugins "${first}" and "${second}". Leave one of them out with --without.`,
  );

export const planCycle = (names: readonly string[]): Diagnostic =>
  error(
    'plan/cycle',
    `Unexpected circle of needs between plugins ${names.map((name) => `"${name}"`).join(', ')}, expected an order. Leave one of them out.`,
  );

/** What a failure costs: on one waypoint the plugin's fields, in the stages before that the run. */
export type Cost = 'fields' | 'run';

const WHAT_IS_LOST = { fields: 'its fields are left out', run: 'nothing is written' } as const;
const sentence = (words: string): string => `${words[0].toUpperCase()}${words.slice(1)}`;

export const pluginThrew = (plugin: string, message: string, cost: Cost): Diagnostic =>
  error(
    'plugin/threw',
    `Plugin "${plugin}" failed: ${message}. ${sentence(WHAT_IS_LOST[cost])}; report it to the plugin's author.`,
  );

export const pluginUndeclared = (plugin: string, field: string): Diagnostic =>
  error(
    'plugin/undeclared',
    `Plugin "${plugin}" returned "${field}", expected only fields it provides. Its fields are left out.`,
  );

export const pluginBadValue = (plugin: string, field: string, found: string, expected: string): Diagnostic =>
  error(
    'plugin/value',
    `Plugin "${plugin}" returned ${found} for "${field}", expected ${expected}. Its fields are left out.`,
  );

export const pluginChangedInput = (plugin: string, cost: Cost): Diagnostic =>
  error(
    'plugin/changed-input',
    `Plugin "${plugin}" changed its input, expected it to leave its input alone. ${sentence(WHAT_IS_LOST[cost])}.`,
  );

/** A log or survey plugin whose answer cannot be used. */
export const pluginBadChange = (plugin: string, found: string, expected: string): Diagnostic =>
  error(
    'plugin/value',
    `Plugin "${plugin}" returned ${found}, expected ${expected}. ${sentence(WHAT_IS_LOST.run)}.`,
  );

export const pluginHung = (plugin: string, seconds: number, cost: Cost): Diagnostic =>
  error(
    'plugin/hung',
    `Plugin "${plugin}" had no answer after ${seconds} s, expected one. It was stopped; ${WHAT_IS_LOST[cost]}.`,
  );

export const pluginExited = (plugin: string, cost: Cost): Diagnostic =>
  error(
    'plugin/exited',
    `Plugin "${plugin}" ended its process, expected it to return. ${sentence(WHAT_IS_LOST[cost])}.`,
  );
