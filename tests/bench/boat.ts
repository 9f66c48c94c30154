import { statSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { boatPlace, writeBoatLake } from '../boat/boat-lake.ts';
import { makeFolder, runProgram } from '../cli/run-program.ts';
import { browserProgram, NO_BROWSER, startBrowser } from '../page/browser.ts';
import type { Section } from '../sections.ts';

const DATE = '2026-07-04';
/** Factors by which the browser slows the processor; 4 imitates a phone. */
const SLOWED = [1, 4];

/**
 * Measures the boat page with 60 spots on 2 by 2 km: its size and, at each slowdown of the processor, the
 * time to open and to replan, and the frame rate while panning. Other load on the machine affects wall-clock
 * times.
 */
export const section: Section = {
  name: 'boat page',
  async run(print) {
    if (browserProgram === undefined) return print(NO_BROWSER);
    const folder = makeFolder();
    const made = runProgram([...writeBoatLake(folder, 60, 2000), '--date', DATE, '--boat', 'boat.html'], {
      cwd: folder,
    });
    if (made.status !== 0) throw new Error(made.stderr);
    const path = join(folder, 'boat.html');
    print(`60 spots, 2 by 2 km: ${(statSync(path).size / 1e6).toFixed(2)} MB`);
    const browser = await startBrowser();
    for (const slowed of SLOWED) {
      const context = await browser.newContext({
        viewport: { width: 360, height: 640 },
        deviceScaleFactor: 2,
        hasTouch: true,
        isMobile: true,
        permissions: ['geolocation'],
        geolocation: { ...boatPlace(40, 40), accuracy: 6 },
      });
      const page = await context.newPage();
      const session = await context.newCDPSession(page);
      await session.send('Performance.setTimeDomain', { timeDomain: 'threadTicks' });
      await session.send('Performance.enable');
      const busy = async (): Promise<number> => {
        const { metrics } = await session.send('Performance.getMetrics');
        return metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN;
      };
      await session.send('Emulation.setCPUThrottlingRate', { rate: slowed });
      // The clock of the page is shifted to a fixed day; the measured durations are real.
      await page.addInitScript(`{
        const shift = new Date('${DATE}T06:33:00').getTime() - Date.now();
        const True = Date;
        Date = class extends True { constructor(...given) { if (given.length === 0) super(True.now() + shift); else super(...given); } static now() { return True.now() + shift; } };
      }`);
      await page.goto(pathToFileURL(path).href);
      await page.waitForSelector('.next h1');
      const opened = await page.evaluate<number>(`performance.getEntriesByName('opened')[0].startTime`);
      await page.waitForTimeout(3000 * slowed);
      const opening = await busy();
      const replans = await replanTimes(page, busy);
      const frames = await framesWhilePanning(page, (type, x, y) =>
        session.send('Input.dispatchTouchEvent', {
          type,
          touchPoints: type === 'touchEnd' ? [] : [{ x, y }],
        }),
      );
      const both = ({ clock, processor }: Times): string =>
        `${clock.toFixed(2)} s (${processor.toFixed(2)} s)`;
      print(
        `processor slowed ${slowed} times: first stop on screen after ${(opened / 1000).toFixed(2)} s; ${opening.toFixed(2)} s of CPU to open the page`,
      );
      print(`  replanning, wall-clock time (CPU time without the slowdown): ${replans.map(both).join(', ')}`);
      print(`  ${frames.toFixed(0)} frames per second while panning`);
      await context.close();
    }
    await browser.close();
  },
};

interface Times {
  /** Wall-clock time, s. */
  readonly clock: number;
  /** CPU time, s. */
  readonly processor: number;
}

/**
 * Measures the time to replan after a fish, on leaving and on skipping. The wall-clock time is that of
 * planning alone; the CPU time includes storing and drawing.
 */
async function replanTimes(page: Page, busy: () => Promise<number>): Promise<Times[]> {
  const measures = (): Promise<number[]> =>
    page.evaluate(`performance.getEntriesByName('replan').map(({ duration }) => duration)`);
  const times: Times[] = [];
  for (const name of ['Start', 'Fish', 'OK', 'Leave', 'Skip', 'Start', 'Leave']) {
    const [before, since] = [(await measures()).length, await busy()];
    const place =
      name === 'Fish' ? page.locator('.taps .main') : page.getByRole('button', { name, exact: true });
    await place.first().tap();
    if (['Fish', 'Leave', 'Skip'].includes(name)) {
      while ((await measures()).length === before) await page.waitForTimeout(50);
      times.push({ clock: (await measures())[before] / 1000, processor: (await busy()) - since });
    }
    await page.waitForTimeout(200);
  }
  return times;
}

type Touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x: number, y: number) => Promise<unknown>;

/** Measures the frames per second while a finger pans the map for two seconds. */
async function framesWhilePanning(page: Page, touch: Touch): Promise<number> {
  await page.getByRole('button', { name: 'Lake', exact: true }).tap();
  await page.waitForTimeout(2000);
  await page.evaluate(`{
    globalThis.frames = 0;
    const count = () => { globalThis.frames++; requestAnimationFrame(count); };
    requestAnimationFrame(count);
  }`);
  await touch('touchStart', 180, 320);
  const started = performance.now();
  for (let at = 0; performance.now() - started < 2000; at++) {
    await touch('touchMove', 180 + 90 * Math.sin(at / 20), 320 + 90 * Math.cos(at / 27));
  }
  const seconds = (performance.now() - started) / 1000;
  const frames = await page.evaluate<number>('globalThis.frames');
  await touch('touchEnd', 0, 0);
  return frames / seconds;
}
