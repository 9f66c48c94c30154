import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** The parts of the project that the tests need. */
const COPIED = [
  'src',
  'plugins',
  'shared',
  'tests',
  'fixtures',
  'package.json',
  'tsconfig.json',
  'README.md',
  'DEVELOPERS.md',
];

/** A copy of the project in the system's temporary folder. */
export interface ScratchTree {
  readonly folder: string;
  read(file: string): string;
  write(file: string, text: string): void;
  remove(): void;
}

/**
 * Copies the project, so that the checkout never changes and a killed run leaves only a temporary folder
 * behind.
 *
 * Packages are linked one by one, so that caches of tools in `node_modules` stay in the copy.
 *
 * @param root Root of the checkout.
 */
export function createScratchTree(root: string): ScratchTree {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-mutation-'));
  for (const name of COPIED) cpSync(join(root, name), join(folder, name), { recursive: true });
  mkdirSync(join(folder, 'node_modules'));
  for (const name of readdirSync(join(root, 'node_modules')))
    if (!name.startsWith('.vite'))
      symlinkSync(join(root, 'node_modules', name), join(folder, 'node_modules', name));
  return {
    folder,
    read: (file) => (existsSync(join(folder, file)) ? readFileSync(join(folder, file), 'utf8') : ''),
    write: (file, text) => writeFileSync(join(folder, file), text),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
