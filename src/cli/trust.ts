import { statSync } from 'node:fs';
import { type OptionDefinitions, Refusal, switchOption } from '../../shared/contract/index.ts';
import { batchMessages as says } from '../../shared/text/index.ts';
import { configAccess, outsideAccess, setTrust } from './batch/outside-access.ts';
import { createCommandIo } from './command-io.ts';
import { parseOwnOptions } from './parse-command-line.ts';
import { readConfig } from './read-config.ts';

const SHAPE = {
  name: 'trust',
  summary:
    'Lets a lake folder or a --config file run its own plugins and use files elsewhere, and lists them.',
  argument: { name: '<folders...>', help: 'lake folders, or configuration files for --config' },
  footer: `A lake folder may come from somebody else. Its own plugins, and files outside it, are used only once you trust
it. The trust ends when its configuration, a script or a link in it changes. Numbers and units in its
downslope.yaml need no trust. A --config file needs trust for outputs outside its folder, and for plugins that are not
also named on the command line. The approval is kept with your own settings, not in the folder.`,
} as const;

const TRUST_OPTIONS = {
  remove: switchOption('remove', 'Withdraw the trust.'),
} as const satisfies OptionDefinitions;

export async function run(argv: readonly string[]): Promise<number> {
  const { positionals: folders, values } = parseOwnOptions(SHAPE, TRUST_OPTIONS, argv);
  const statOf = (path: string) => statSync(path, { throwIfNoEntry: false });
  const missing = folders.find((path) => !statOf(path)?.isFile() && !statOf(path)?.isDirectory());
  if (missing !== undefined) throw new Refusal([says['no-folder'](undefined, missing)], 2);
  const io = createCommandIo(false, 'm');
  for (const folder of folders) {
    const reach = values.remove
      ? undefined
      : await (statOf(folder)?.isFile() ? configAccess(readConfig(folder), []) : outsideAccess(folder));
    await setTrust(folder, reach);
    for (const ask of reach?.requests ?? []) io.note(`${folder}: ${ask}`);
    io.note(
      `${folder}: ${values.remove ? 'no longer trusted' : reach?.requests.length ? 'trusted as it is now' : 'asks for nothing that needs trust'}`,
    );
  }
  return 0;
}
