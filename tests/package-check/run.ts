import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { CHECKS, type Installed, importedIn, packAll, WAYS, withNode } from './installed.ts';

/** Supported versions of Node. */
const VERSIONS = [20, 22, 24];

/**
 * Returns the folder of a version's `node`, the running one or one from the npm registry; undefined if
 * unavailable.
 */
function nodeOf(version: number, work: string): string | undefined {
  if (process.versions.node.startsWith(`${version}.`)) return dirname(process.execPath);
  const folder = mkdtempSync(join(work, 'node-'));
  try {
    const fetch = ['install', '--no-audit', '--no-fund', '--silent', '--prefix', folder, `node@${version}`];
    execFileSync('npm', fetch, { cwd: folder, stdio: 'ignore' });
    const bin = join(folder, 'node_modules/node/bin');
    execFileSync(join(bin, 'node'), ['--version']);
    return bin;
  } catch {
    return undefined;
  }
}

/** Returns the first line of a check's error; empty if the check passes. */
function faultOf(check: () => void): string {
  try {
    check();
    return '';
  } catch (cause) {
    return (
      String((cause as Error).message)
        .trim()
        .split('\n')[0] || 'failed'
    );
  }
}

/** `npm run package-check`: installs the packed program in every way on every supported Node. */
function main(): void {
  const work = mkdtempSync(join(tmpdir(), 'downslope-package-'));
  const checks: Record<string, (installed: Installed, node: string) => void> = {
    ...CHECKS,
    import: (installed, node) => importedIn(installed, join(node, 'node')),
  };
  const line = (cells: readonly string[]): void =>
    console.log(cells.map((cell, at) => cell.padEnd(at === 1 ? 16 : 10)).join(' '));
  try {
    const tarballs = packAll(work);
    line([
      'Node',
      'installed by',
      'packages',
      ...Object.keys(checks).map((name) => name.replace('plugin ', '')),
    ]);
    for (const version of VERSIONS) {
      const node = nodeOf(version, work);
      if (node === undefined) {
        console.log(`${version}: Node of this version could not be installed`);
        process.exitCode = 1;
        continue;
      }
      for (const [way, install] of Object.entries(WAYS)) {
        const installed = install(tarballs, work, withNode(node));
        const faults = Object.entries(checks).map(([name, check]) =>
          // Only `npm install` puts the package in a project from which it can be imported.
          name === 'import' && way !== 'npm install' ? '-' : faultOf(() => check(installed, node)),
        );
        const said = execFileSync(join(node, 'node'), ['--version'], { encoding: 'utf8' }).trim();
        line([
          said,
          way,
          `${installed.packages ?? '-'}`,
          ...faults.map((fault) => (fault === '' ? 'ok' : fault)),
        ]);
        if (faults.some((fault) => fault !== '' && fault !== '-')) process.exitCode = 1;
      }
    }
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}

main();
