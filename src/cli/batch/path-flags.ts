import { collectSettings, isPath } from '../../../shared/engine/index.ts';
import { BUILT_IN } from '../../run/index.ts';
import { COMMAND_GROUPS } from '../command-groups.ts';
import { inputOptions } from '../core-options.ts';

/** Flags of all commands whose values are paths. A list or a file is read; a single path is written. */
export function pathFlags(): ReadonlyMap<string, { readonly isOutput: boolean }> {
  const plugins = BUILT_IN.map(({ name, options }) => ({ owner: name, options }));
  const settings = collectSettings([
    { owner: 'core', options: inputOptions },
    ...Object.values(COMMAND_GROUPS).flat(),
    ...plugins,
  ]);
  const paths = [...settings.values()].filter(({ definition }) => isPath(definition));
  return new Map(
    paths.map(({ flag, definition }) => [
      flag,
      { isOutput: definition.kind === 'text' && flag !== 'config' },
    ]),
  );
}
