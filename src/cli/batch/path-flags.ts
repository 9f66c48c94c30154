import { collectSettings, isPath } from '../../../shared/engine/index.ts';
import { BUILT_IN } from '../../run/index.ts';
import { COMMAND_GROUPS } from '../command-groups.ts';
import { inputOptions } from '../core-options.ts';

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
