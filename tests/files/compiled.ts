import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** `src/files` compiled into a folder of its own, to be run by a node of its own. */
export interface CompiledFiles {
  /** Runs a script that may use `writeAtomically`, `checkTarget` and `watchTemporaryFiles`. */
  run(script: string, wrapper?: readonly string[]): ChildProcess;
  dispose(): void;
}

export function compileFiles(): CompiledFiles {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-compiled-'));
  writeFileSync(join(folder, 'package.json'), '{"type":"module"}');
  const project = {
    extends: join(ROOT, 'tsconfig.json'),
    compilerOptions: {
      outDir: folder,
      rootDir: ROOT,
      declaration: false,
      incremental: false,
      tsBuildInfoFile: null,
      typeRoots: [join(ROOT, 'node_modules/@types')],
    },
    include: [join(ROOT, 'src/files/*.ts')],
    exclude: [],
  };
  writeFileSync(join(folder, 'tsconfig.json'), JSON.stringify(project));
  execFileSync(process.execPath, [
    join(ROOT, 'node_modules/typescript/bin/tsc'),
    '-p',
    join(folder, 'tsconfig.json'),
  ]);
  const module = (name: string): string =>
    JSON.stringify(pathToFileURL(join(folder, 'src/files', name)).href);
  let count = 0;
  return {
    run(script, wrapper = []) {
      const path = join(folder, `script-${++count}.js`);
      writeFileSync(
        path,
        `import { writeAtomically } from ${module('atomic-write.js')};
        import { checkTarget } from ${module('output-target.js')};
        import { watchTemporaryFiles } from ${module('temporary-files.js')};
        ${script}`,
      );
      const command = [...wrapper, process.execPath, path];
      return spawn(command[0], command.slice(1), { stdio: ['ignore', 'pipe', 'pipe'] });
    },
    dispose: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** Exit status (or signal) and everything printed. */
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
