import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { rolldown } from 'rolldown';

/** `src/files` bundled into one file in a separate folder, to be run by a separate Node process. */
export interface CompiledFiles {
  /** Runs a script that may use `writeAtomically` and `checkTarget`. */
  run(script: string, wrapper?: readonly string[]): ChildProcess;
  dispose(): void;
}

/** Bundles `src/files`, because a short process would spend most of its time finding and loading modules. */
export async function compileFiles(): Promise<CompiledFiles> {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-compiled-'));
  const bundle = await rolldown({
    input: fileURLToPath(new URL('../../src/files/index.ts', import.meta.url)),
    platform: 'node',
  });
  const file = join(folder, 'files.mjs');
  await bundle.write({ file, format: 'esm' });
  await bundle.close();
  let count = 0;
  return {
    run(script, wrapper = []) {
      const path = join(folder, `script-${++count}.mjs`);
      writeFileSync(
        path,
        `import { checkTarget, writeAtomically } from ${JSON.stringify(pathToFileURL(file).href)};
        ${script}`,
      );
      const command = [...wrapper, process.execPath, path];
      return spawn(command[0], command.slice(1), { stdio: ['ignore', 'pipe', 'pipe'] });
    },
    dispose: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** Waits for a process. @returns Its exit status or signal, and everything it printed. */
export async function finished(child: ChildProcess): Promise<{ status: number | string; output: string }> {
  let output = '';
  child.stdout?.on('data', (data) => {
    output += data;
  });
  child.stderr?.on('data', (data) => {
    output += data;
  });
  const status = await new Promise<number | string>((resolve) =>
    child.on('close', (code, signal) => resolve(code ?? signal ?? 'unknown')),
  );
  return { status, output };
}
