import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ATTACKS, isUntouched, makeOutside, OBEYED } from '../fuzz/attacks.ts';
import { gpxOf, makeFolder, PROGRAM, write } from './run-program.ts';

/** CPU time allowed to each process of a command, s. */
const CPU_SECONDS = 2;
/** Time after which a command counts as hanging even on a busy machine, ms. */
const PATIENCE = 30_000;

const LOG = `lat,lon,depth_m\n${Array.from({ length: 40 }, (_, i) => `${(40 + i * 1e-5).toFixed(6)},-90.000000,5.0`).join('\n')}\n`;

// `npm run fuzz attacks` does this with every command.
describe.skipIf(process.platform === 'win32')(
  "a stranger's lake folder runs nothing, changes nothing outside, and makes nothing hang",
  () => {
    test.each(Object.entries(ATTACKS))('%s', { timeout: 2 * PATIENCE }, (_, attack) => {
      const home = makeFolder();
      const [lake, outside] = [join(home, 'lake'), join(home, 'outside')];
      mkdirSync(join(lake, 'logs'), { recursive: true });
      write(lake, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40.5, lon: -90 }]));
      write(join(lake, 'logs'), 'a.csv', LOG);
      makeOutside(outside);
      attack({ lake, outside });
      const { status, signal, stdout, stderr } = spawnSync(
        'sh',
        ['-c', `ulimit -t ${CPU_SECONDS}; exec "$0" "$@"`, process.execPath, PROGRAM, 'batch', 'lake'],
        {
          cwd: home,
          encoding: 'utf8',
          timeout: PATIENCE,
          env: { ...process.env, XDG_CONFIG_HOME: join(home, 'settings') },
        },
      );
      expect(signal, stderr).toBe(null);
      expect([0, 1, 2], stderr).toContain(status);
      expect(stderr).not.toMatch(/exit 1(?:37|52)|,failed,1(?:37|52)|internal/);
      expect(isUntouched(outside)).toBe(true);
      expect(stdout + stderr).not.toMatch(OBEYED);
      rmSync(home, { recursive: true });
    });
  },
);
