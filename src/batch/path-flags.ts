import { COMMAND_GROUPS } from '../commands/command-groups.ts';
import { inputOptions } from '../commands/core-options.ts';
import { collectSettings, isPath } from '../options/option-groups.ts';
import { BUILT_IN } from '../pipeline/built-in.ts';

/** Flags of `enrich` whose values are paths. */
export function pathFlags(): ReadonlySet<string> {
  const plugins = BUILT_IN.map(({ name, options }) => ({ owner: name, options }));
  const settings = collectSettings([
    { owner: 'core', options: inputOptions },
    ...COMMAND_GROUPS.enrich,
    ...plugins,
  ]);
  const paths = [...settings.values()].filter(({ definition }) => isPath(definition));
  return new Set(paths.map(({ flag }) => flag));
}
