import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { joinLogs } from '../../shared/engine/index.ts';
import { legsText } from '../../src/day/legs.ts';
import { lakeMap } from '../../src/page/lake-map.ts';
import { renderPlanPage, renderReport } from '../../src/page/report-page.ts';
import { browserProgram, NO_BROWSER, openPage, startBrowser } from '../page/browser.ts';
import { sampleReport } from '../page/sample-lake.ts';
import { samplePlan } from '../page/sample-plan.ts';
import { csv, plan, planPageInput, ringLake } from './lake.ts';

const lake = ringLake(14, 3);
const log = csv({ time: '06:35', mark: 'M1', fish: '2', minutes: '20' });
const day = plan(lake, { checkIn: '12:00', log, now: '07:10', at: lake.ramp }).plan!;
const alone = renderPlanPage(planPageInput(day));
const sample = sampleReport(6);
const sampleDay = samplePlan(sample);
const inReport = renderReport({ ...sample, plan: sampleDay });

test('the page shows the cautions and, for every stop, when to give up and how long its side rests', () => {
  for (const [page, { stops }] of [
    [alone, day],
    [inReport, sampleDay],
  ] as const) {
    expect(page).toContain('Not for navigation.');
    expect(page).toContain('No run here is said to be safe.');
    expect(page).toContain('life jacket');
    expect(page.match(/Give up after 12 min without a bite: then /g)).toHaveLength(stops.length);
    expect(page.match(/This side rests until \d\d:\d\d/g)).toHaveLength(stops.length);
  }
  expect(alone).not.toMatch(/https?:|src="/);
});

test('a page without soundings names no contours, and the places of the day are named in words', () => {
  const page = renderPlanPage({ ...planPageInput(day), survey: joinLogs([]) });
  expect(page).toContain('No depths: no sonar logs were given.');
  expect(page).not.toContain('Contours every');
  expect(alone).toContain('Contours every');
  expect(alone).toContain('Then to the ramp: ');
});

test('the legs of a run over known water add up to its length, and an estimated run has no legs', () => {
  const { run } = day.stops[0];
  expect(run.over).toBe('known');
  const yards = [...legsText(run, undefined, 'm').matchAll(/\d{3}T (?:(\d+)m|([\d.]+) km)/g)];
  const sum = yards.reduce((all, [, meters, km]) => all + Number(meters ?? 1000 * Number(km)), 0);
  expect(Math.abs(sum - run.distance)).toBeLessThan(60 * yards.length);
  expect(legsText({ ...run, over: 'unknown', parts: [] }, 3, 'ft')).toBe('');
});

test('the number of every stop is on the map of the plan and links to a card', () => {
  const { svg } = lakeMap(planPageInput(day), false, false);
  const numbers = [...svg.matchAll(/href="#stop-(\d+)"[^>]*data-stop="([\d,]+)"/g)].flatMap(
    ([, first, all]) => {
      expect(all.split(',')[0]).toBe(first);
      return all.split(',').map(Number);
    },
  );
  expect(numbers.sort((a, b) => a - b)).toEqual(day.stops.map((_, at) => at + 1));
  expect(svg.includes('> ramp</text>')).toBe(true);
});

describe.skipIf(browserProgram !== undefined)('without a browser', () => {
  test.skip(NO_BROWSER, () => undefined);
});

describe.skipIf(browserProgram === undefined)('day plan in a browser', () => {
  const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
  const urls: Record<string, string> = {};
  let browser: Browser;
  let folder = '';

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'downslope-day-'));
    for (const [name, page] of Object.entries({ alone, inReport })) {
      await writeFile(join(folder, `${name}.html`), page);
      urls[name] = pathToFileURL(join(folder, `${name}.html`)).href;
    }
    browser = await startBrowser();
  });

  afterAll(async () => {
    await browser?.close();
    await rm(folder, { recursive: true, force: true });
  });

  test.each([
    ['alone', 360, 'light'],
    ['alone', 1200, 'dark'],
    ['inReport', 360, 'dark'],
    ['inReport', 1200, 'light'],
  ] as const)(
    '%s at %i px, %s: no axe findings, no requests, no sideways scrolling',
    async (name, width, colorScheme) => {
      const viewport = { width, height: 800 };
      const { page, said, asked } = await openPage(browser, urls[name], {
        viewport,
        colorScheme,
        bypassCSP: true,
      });
      await page.addScriptTag({ path: axe });
      const found = await page.evaluate(
        `axe.run(document).then(({ violations }) => violations.map(({ id, nodes }) => id + ' ' + nodes[0].html))`,
      );
      expect(found).toEqual([]);
      expect(said).toEqual([]);
      expect(asked.filter((url) => !url.startsWith('file:') && !url.startsWith('data:'))).toEqual([]);
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(width);
      await page.context().close();
    },
  );

  test('on paper, without scripts, the instructions are in type of at least 10 pt', async () => {
    const { page } = await openPage(browser, urls.alone, { javaScriptEnabled: false });
    await page.emulateMedia({ media: 'print' });
    const size = await page
      .locator('.stop dd')
      .first()
      .evaluate((cell) => {
        const { fontSize } = (
          globalThis as unknown as { getComputedStyle(of: unknown): { fontSize: string } }
        ).getComputedStyle(cell);
        return Number.parseFloat(fontSize);
      });
    expect(size).toBeGreaterThanOrEqual(13.3);
    await page.context().close();
  });
});
