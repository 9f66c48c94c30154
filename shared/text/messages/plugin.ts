import { inMeters, type Place } from '../../contract/index.ts';
import { messages } from './make.ts';

/** What a failure costs: the fields of a waypoint or refine plugin, or at other stages the whole run. */
type Cost = 'fields' | 'run';

const WHAT_IS_LOST = { fields: 'its fields are left out', run: 'nothing is written' } as const;
const TO_AUTHOR = 'Report this to the author of the plugin.';

const asValue = (value: unknown): number | string =>
  typeof value === 'number' ? value : String(value ?? '');

/** Says what to do about a plugin that cannot be loaded. @param why Message of the failed import. */
const toLoad = (why: string): string => {
  if (/cannot find .* imported from/i.test(why))
    return 'Install what the plugin imports, or report this to its author.';
  if (/cannot find/i.test(why)) return 'Check its path or package name.';
  return /unknown file extension/i.test(why)
    ? 'Give the path of a .js, .mjs or .ts file, or the name of a package.'
    : 'Correct the plugin, or report this to its author.';
};

const shown = (value: unknown, isLength: boolean): string => {
  if (value === undefined) return 'empty';
  return isLength ? inMeters(Number(value), 2) : String(value);
};

export const pluginMessages = {
  ...messages('plugin', 'error', {
    'not-found': (reference: string, why: string) =>
      `Plugin ${JSON.stringify(reference)} cannot be loaded (${why.trim().replace(/\.$/, '')}). ${toLoad(why)}`,
    shape: (reference: string, found: string, expected: string) =>
      `Plugin ${JSON.stringify(reference)} cannot be used: it has ${found}, but needs ${expected}. Check that it is the right file, or report this to its author.`,
    twice: (name: string) =>
      `Two plugins are called "${name}". Rename your own, or leave one of the two out.`,
    'suffix-twice': (suffix: string, one: string, other: string) =>
      `Plugins "${one}" and "${other}" both name positions "${suffix}", so you could not tell which plugin a position is from. Leave one plugin out, or change its suffix.`,
    unknown: (name: string, near: readonly string[]) =>
      `There is no plugin "${name}". ${near.length === 0 ? '' : `Did you mean ${near.join(' or ')}? `}For the list, run: downslope plugins`,
    needed: (command: string, name: string) =>
      `downslope ${command} cannot run without plugin "${name}". Take that name out of --without.`,
    'plan-stage': (name: string) =>
      `Plugin "${name}" cannot be used: it plans the day, which only a built-in plugin may do. Leave it out.`,
    threw: (name: string, cause: unknown, cost: Cost) => {
      const why = cause instanceof Error ? cause.message : String(cause);
      const stack = cause instanceof Error ? cause.stack : undefined;
      return [
        `Plugin "${name}" failed (${why.replace(/\.$/, '')}), so ${WHAT_IS_LOST[cost]}. ${TO_AUTHOR}`,
        stack === undefined ? {} : { place: placeOf(stack), values: { stack } },
      ];
    },
    undeclared: (name: string, field: string) =>
      `Plugin "${name}" returned "${field}", which is not among the fields it provides, so its fields are left out. ${TO_AUTHOR}`,
    value: (name: string, field: string, found: string, expected: string) =>
      `Plugin "${name}" returned ${found} for "${field}", which is not ${expected}, so its fields are left out. ${TO_AUTHOR}`,
    'value of-stage': (name: string, found: string, expected: string) =>
      `Plugin "${name}" returned ${found} instead of ${expected}, so ${WHAT_IS_LOST.run}. ${TO_AUTHOR}`,
    'value of-columns': (name: string, found: string, expected: string) =>
      `The soundings given as ${JSON.stringify(name)} cannot be used: they have ${found} instead of ${expected}. Correct that column.`,
    'changed-input': (name: string, cost: Cost) =>
      `Plugin "${name}" changed its input, which it may only read, so ${WHAT_IS_LOST[cost]}. ${TO_AUTHOR}`,
    hung: (name: string, seconds: number, cost: Cost) =>
      `Plugin "${name}" did not return within ${seconds} s and was stopped, so ${WHAT_IS_LOST[cost]}. If the plugin needs longer, add --plugin-patience ${10 * seconds}.`,
    exited: (name: string, cost: Cost) =>
      `Plugin "${name}" ended its process instead of returning, so ${WHAT_IS_LOST[cost]}. ${TO_AUTHOR}`,
  }),
  ...messages('plugin', 'note', {
    refined: (name: string, field: string, before: unknown, after: unknown, isLength: boolean) => [
      `Plugin "${name}" changed ${field} from ${shown(before, isLength)} to ${shown(after, isLength)}.`,
      { values: { plugin: name, field, before: asValue(before), after: asValue(after) } },
    ],
  }),
  ...messages('plan', 'error', {
    'missing-field': (name: string, field: string, provider: string | undefined) =>
      provider === undefined
        ? `Plugin "${name}" needs "${field}", which no plugin provides. Add a plugin that provides it.`
        : `Plugin "${name}" needs "${field}" from plugin "${provider}", which is not in this run. Keep "${provider}", or leave "${name}" out too.`,
    'two-providers': (field: string, first: string, second: string) =>
      `Plugins "${first}" and "${second}" both provide "${field}". Leave one of them out.`,
    cycle: (plugins: readonly { readonly name: string }[]) =>
      `Plugins ${plugins.map(({ name }) => `"${name}"`).join(', ')} cannot be put in order: they need each other's fields in a circle. Leave one of them out.`,
    'column-clash': (field: string, other: string, column: string) =>
      `"${field}" and "${other}" would both be column "${column}" of the table. Rename the field of your plugin.`,
  }),
};

/** Finds where a plugin failed: the first place in a stack outside this program and Node. */
function placeOf(stack: string): Place {
  for (const line of stack.split('\n')) {
    const frame = /(?:\(|at )(?:file:\/\/)?((?:\/|[A-Za-z]:[\\/])[^()]*?):(\d+):(\d+)\)?$/.exec(line.trim());
    if (frame === null || /[\\/]dist[\\/]program[\\/]/.test(frame[1])) continue;
    return { file: frame[1], line: Number(frame[2]), column: Number(frame[3]) };
  }
  return {};
}
