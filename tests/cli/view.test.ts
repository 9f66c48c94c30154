import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { setTimeout as wait } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, PROGRAM, runProgram, write } from './run-program.ts';

test('view remakes its page with the new lure box when the box changes', async () => {
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40, lon: -90, comment: 'fish 12-16 ft' }]));
  write(folder, 'box.csv', 'name,label_ft\n14 ft diver,14\n');
  const view = spawn(process.execPath, [PROGRAM, 'view', 'marks.gpx', '--lures', 'box.csv'], { cwd: folder });
  let said = '';
  view.stderr.on('data', (text) => {
    said += text;
  });
  const until = async (words: string): Promise<void> => {
    for (let i = 0; i < 400 && !said.includes(words); i++) await wait(50);
    expect(said).toContain(words);
  };
  try {
    await until('The report is at');
    write(folder, 'box.csv', 'name\n14 ft diver\n');
    await until('could not be updated');
    expect(said).toContain('label_ft');
    write(folder, 'box.csv', 'name,label_ft\n16 ft diver,16\n');
    await until('The page was updated');
  } finally {
    view.kill('SIGINT');
  }
  const [status] = await once(view, 'exit');
  expect(status).toBe(130);
});

test('view ends when its first page is refused', () => {
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40, lon: -90 }]));
  write(folder, 'log.csv', 'lat,lon,depth_m\n40,-90,5\n');
  write(folder, 'log.csv.yaml', 'not a mapping\n');
  const { status, stderr } = runProgram(['view', 'marks.gpx', '--soundings', 'log.csv'], {
    cwd: folder,
    timeout: 30_000,
  });
  expect(stderr).toContain('config/unreadable');
  expect(status).toBe(2);
});
