import { statSync } from 'node:fs';
import { type OptionDefinitions, Refusal, switchOption } from '../../shared/contract/index.ts';
import { collectSettings, resolveSettings } from '../../shared/engine/index.ts';
import { folderMissing } from '../../shared/text/index.ts';
import { configAccess, outsideAccess } from './batch/outside-access.ts';
import { setTrust } from './batch/trusted-lakes.ts';
import { createCommandIo } from './command-io.ts';
import { parseCommandLine } from './parse-command-line.ts';
import { readConfig } from './read-config.ts';

const SHAPE = {
  name: 'trust',
  summary:
    'Lets a lake folder or a configuration do what it asks for beyond its own files, and says what that is.',
  argument: { name: '<folders...>', help: 'lake folders, or configuration files for --config' },
  footer: `A lake folder may come from somebody else. Its plugins, and files and links outside of it, are used only once you
trust it, and no longer when its configuration, a script or a link in it changes. Numbers and units in its
downslope.yaml need no trust. Of the file of --config, plugins and outputs outside its folder need trust, unless the
command line names them too. The approval is kept with your own settings, not in the folder.`,
} as const;

const TRUST_OPTIONS = {
  remove: switchOption('remove', 'Stop trusting the folders.'),
} as const satisfies OptionDefinitions;

/**
 * Approves each folder in its present state, or withdraws the approval. @returns Exit status 0; a Refusal approves
 * nothing.
 */
export async function run(argv: readonly string[]): Promise<number> {
  const settings = collectSettings([{ owner: 'trust', options: TRUST_OPTIONS }]);
  const { positionals: folders, given } = parseCommandLine(SHAPE, settings, argv);
  const isRemoved = resolveSettings(settings, given, 'm', '').get('trust')?.remove === true;
  const isFile = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isFile() === true;
  const missing = folders.filter(
    (path) => !isFile(path) && !statSync(path, { throwIfNoEntry: false })?.isDirectory(),
  );
  if (folders.length === 0 || missing.length > 0) throw new Refusal([folderMissing(missing[0])], 2);
  const io = createCommandIo(false, 'm');
  for (const folder of folders) {
    const reach = isRemoved
      ? undefined
      : await (isFile(folder) ? configAccess(readConfig(folder), []) : outsideAccess(folder));
    await setTrust(folder, reach);
    for (const ask of reach?.requests ?? []) io.note(`${folder}: ${ask}`);
    io.note(
      `${folder}: ${isRemoved ? 'no longer trusted' : reach?.requests.length ? 'trusted as it is now' : 'asks for nothing that needs trust'}`,
    );
  }
  return 0;
}
