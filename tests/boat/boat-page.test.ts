import { readFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseClock } from '../../shared/text/time.ts';
import { type BoatData, fromText } from '../../src/boat/boat-data.ts';
import type { BoatWish, Entry } from '../../src/boat/entries.ts';
import { renderBoatPage } from '../../src/boat/render-boat-page.ts';
import { BoatPlanner } from '../../src/boat/replan.ts';
import { makeFolder, runProgram, write } from '../cli/run-program.ts';
import { browserProgram, NO_BROWSER, openPage, startBrowser, type WatchedPage } from '../page/browser.ts';
import { contrastOf, luminance } from '../page/luminance.ts';
import { boatPlace, NEVER_IDLE, writeBoatLake } from './boat-lake.ts';

const DATE = '2026-07-04';
const ODD = '<img src=x onerror=alert(1)> & "co"';
const PHONE = { width: 360, height: 640 };
const RAMP = boatPlace(40, 40);

describe.skipIf(browserProgram !== undefined)('without a browser', () => {
  test.skip(NO_BROWSER, () => undefined);
});

describe.skipIf(browserProgram === undefined)('boat page on a phone', () => {
  const folder = makeFolder();
  const url = pathToFileURL(join(folder, 'boat.html')).href;
  let args: string[] = [];
  let browser: Browser;
  let data: BoatData;

  beforeAll(async () => {
    args = [...writeBoatLake(folder, 14, 800, ['A1', ODD]), '--date', DATE, '--iterations', '60'];
    const made = runProgram([...args, '--boat', 'boat.html'], { cwd: folder });
    expect(made.status, made.stderr).toBe(0);
    const html = readFileSync(join(folder, 'boat.html'), 'utf8');
    data = fromText(/id="boat-data">(.*?)<\/script>/s.exec(html)![1]);
    browser = await startBrowser();
  });

  afterAll(() => browser?.close());

  /** Opens the page on a simulated phone, whose clock starts at a given time of day. */
  async function phone(
    clock: string,
    options: BrowserContextOptions = {},
    script: string = NEVER_IDLE,
  ): Promise<WatchedPage> {
    const watched = await openPage(browser, 'about:blank', {
      viewport: PHONE,
      deviceScaleFactor: 2,
      hasTouch: true,
      isMobile: true,
      permissions: ['geolocation'],
      geolocation: { ...RAMP, accuracy: 6 },
      bypassCSP: options.bypassCSP,
      ...options,
    });
    const { page } = watched;
    await page.clock.install({ time: new Date(`${DATE}T${clock}:00`) });
    await page.addInitScript(script);
    await page.goto(url);
    await page.waitForSelector('.next');
    return watched;
  }

  /** Taps a button by its label. The button Fish is found by its class, because its label has a number. */
  const tap = (page: Page, name: string) =>
    (name === 'Fish' ? page.locator('.taps .main') : page.getByRole('button', { name, exact: true }))
      .first()
      .tap();
  /** Waits until nothing is being stored or planned. */
  const resolved = (page: Page) =>
    expect
      .poll(
        async () => {
          await page.clock.runFor(20);
          return page.evaluate(
            `document.querySelector('[aria-busy]') === null && !document.body.textContent.includes('Planning the rest')`,
          );
        },
        { timeout: 15_000, interval: 20 },
      )
      .toBe(true);
  /** Taps a button and waits until the rest of the day is planned. */
  const act = async (page: Page, name: string): Promise<void> => {
    await tap(page, name);
    await resolved(page);
  };
  const textOf = async (place: Locator): Promise<string> => (await place.textContent()) ?? '';
  const heading = (page: Page) => textOf(page.locator('h1').first());
  const logText = async (page: Page): Promise<string> => {
    await tap(page, 'Log');
    return page.locator('#log-text').inputValue();
  };

  test('opens without console messages or requests and shows the first stop of the plan', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const { page, said, asked } = await phone('06:20', { colorScheme, offline: true }, '');
      for (const view of ['Lake', 'Day', 'Log', 'Next']) await tap(page, view);
      expect(said).toEqual([]);
      expect(asked).toEqual([url]);
      const [first] = data.plan!.stops;
      expect(await heading(page)).toContain(first.spot.name);
      await page.context().close();
    }
    expect(readFileSync(join(folder, 'boat.html')).length).toBeLessThan(3e6);
  });

  test('the card fits without scrolling, with thumb-sized buttons and text of at least 16 px, whatever it shows', async () => {
    for (const viewport of [PHONE, { width: 390, height: 844 }]) {
      const { page } = await phone('06:34', { viewport });
      const fits = async (): Promise<void> => {
        const found = await page.evaluate<{
          tall: number;
          wide: number;
          low: number;
          buttons: number[];
          fonts: number[];
        }>(`(() => {
          const main = document.querySelector('main');
          const buttons = [...document.querySelectorAll('button')].map((each) => each.getBoundingClientRect());
          return {
            tall: main.scrollHeight - main.clientHeight,
            wide: document.documentElement.scrollWidth - innerWidth,
            low: Math.max(...buttons.map(({ bottom }) => bottom)) - innerHeight,
            buttons: buttons.flatMap(({ width, height }) => [width, height]),
            fonts: [...document.querySelectorAll('main *')].filter((each) => each.textContent.trim()).map((each) => parseFloat(getComputedStyle(each).fontSize)),
          };
        })()`);
        expect(found.tall).toBeLessThanOrEqual(0);
        expect(found.wide).toBeLessThanOrEqual(0);
        expect(found.low).toBeLessThanOrEqual(0);
        expect(Math.min(...found.buttons)).toBeGreaterThanOrEqual(44);
        expect(Math.min(...found.fonts)).toBeGreaterThanOrEqual(16);
      };
      await fits();
      await act(page, 'Start');
      await act(page, 'Next angle');
      await fits();
      await act(page, 'Fish');
      await fits();
      await page.context().close();
    }
  });

  test("follows the phone's position if allowed, says why if not, and then takes a tap on the map", async () => {
    const moving = await phone('06:31');
    const way = () => textOf(moving.page.locator('.way'));
    const before = await way();
    expect(before).toMatch(/^Boat spot .* at \d{3}M$/);
    await moving.page.context().setGeolocation({ ...boatPlace(300, 300), accuracy: 9 });
    await expect.poll(way).not.toBe(before);
    expect(await textOf(moving.page.locator('.known'))).toMatch(/^Phone position within 10 yd, \d+ s old$/);
    await moving.page.context().close();

    const { page } = await phone('06:31', { permissions: [], geolocation: undefined });
    await expect
      .poll(() => textOf(page.locator('.known')))
      .toMatch(/^No position: this page may not use your position/);
    await tap(page, 'Lake');
    await tap(page, 'I am here');
    await page.locator('.map').tap({ position: { x: 180, y: 300 } });
    await tap(page, 'Next');
    expect(await textOf(page.locator('.known'))).toContain('place as tapped on the map');
    expect(await textOf(page.locator('.way'))).toContain('Boat spot');
    await page.context().close();
  });

  test('after a morning with a reload at every step, the plan equals the one that the command line makes from the log', async () => {
    const { page, said } = await phone('06:32');
    // From here only the test moves the clock: on a slow machine the steps take minutes.
    await page.clock.pauseAt(`${DATE}T06:33:00`);
    const again = async (): Promise<void> => {
      await page.reload();
      await page.waitForSelector('.next');
    };
    const step = async (name: string): Promise<void> => {
      await act(page, name);
      const shown = await heading(page);
      await again();
      expect(await heading(page), name).toBe(shown);
    };
    await step('Start');
    await page.clock.fastForward('05:00');
    await act(page, 'Fish');
    await act(page, 'good');
    await again();
    await page.clock.fastForward('04:00');
    await step('Fish');
    await step('Missed');
    await step('Next angle');
    await page.clock.fastForward('14:00');
    await page.context().setGeolocation({ ...boatPlace(220, 200), accuracy: 5 });
    await step('Leave');
    await step('Skip');
    await page.clock.fastForward('08:00');
    await step('Start');
    await page.clock.fastForward('14:00');
    await step('Leave');
    // Late: nobody taps anything until the next stop has passed.
    const planned = await heading(page);
    await page.clock.fastForward('55:00');
    await page.clock.runFor(11_000);
    await resolved(page);
    expect(planned).not.toBe('');
    const csv = await logText(page);
    expect(csv.trim().split('\n')).toHaveLength(3);
    const [, row] = csv.split('\n');
    expect(row).toMatch(/^2026-07-04,06:33,.*,23,2,[DU],.*,good,/);

    const shown = await textOf(page.locator('section.log > p').last());
    const options = /--log boat\.csv (.*)$/.exec(shown)![1].match(/"(?:\\.|[^"])*"|\S+/g)!;
    write(folder, 'boat.csv', csv);
    const plain = options.map((word) => word.replace(/^"|"$/g, '').replace(/\\(.)/g, '$1'));
    const skipped = plain.indexOf('--iterations');
    const made = runProgram(
      [
        ...args.slice(0, -4),
        ...plain.slice(0, skipped),
        '--iterations',
        plain[skipped + 1],
        '--log',
        'boat.csv',
        '--csv',
        'day.csv',
        '--force',
      ],
      { cwd: folder },
    );
    expect(made.status, made.stderr).toBe(0);
    const atComputer = (await readFile(join(folder, 'day.csv'), 'utf8')).trim().split('\r\n').slice(1);
    await tap(page, 'Day');
    const onPage = await page.locator('.day ol h2').allInnerTexts();
    expect(onPage.length).toBeGreaterThan(2);
    expect(onPage).toHaveLength(atComputer.length);
    const times = made.stdout.split('\n').filter((line) => /^\d+ +\d\d:\d\d/.test(line));
    onPage.forEach((text, at) => {
      const [, name, begin, leave] = /^(.*) (\d\d:\d\d) to (\d\d:\d\d)$/.exec(text)!;
      expect(times[at]).toContain(name.trim());
      expect(times[at]).toContain(leave);
      expect(begin < leave).toBe(true);
    });
    expect(said).toEqual([]);
    await page.context().close();
  });

  test('the page and Node make the same plan from the same entries', async () => {
    const { page } = await phone('06:33', {}, '');
    await act(page, 'Start');
    await page.clock.fastForward('21:00');
    await act(page, 'Leave');
    const csv = await logText(page);
    const entries = await page.evaluate<Entry[]>(`new Promise((resolve) => {
      indexedDB.open('downslope-boat').onsuccess = ({ target }) => {
        target.result.transaction('entries').objectStore('entries').getAll().onsuccess = (found) => resolve(found.target.result);
      };
    })`);
    expect(entries.map(({ kind }) => kind)).toEqual(['start', 'leave']);
    const shown = await textOf(page.locator('section.log > p').last());
    const [, now, lat, lon] = /--now (\S+) --at ([\d.-]+),([\d.-]+)/.exec(shown)!;
    const at = { lat: Number(lat), lon: Number(lon) };
    const { plan } = new BoatPlanner(data).replan(entries, { date: DATE, now: parseClock(now)!, at });
    await tap(page, 'Day');
    const onPage = await page.locator('.day ol h2').allInnerTexts();
    expect(onPage.map((text) => text.slice(0, -15).trim())).toEqual(
      plan!.stops.map(({ spot, side }) => `${spot.name} ${side.side === 0 ? 'D' : 'U'}`),
    );
    expect(csv).toContain(',21,0,');
    await page.context().close();
  });

  test('a tap withdraws wishes given by options or in the list of marks', () => {
    const rows = [
      { line: 2, values: { mark: 'S6', plan: 'must' } },
      { line: 3, values: { mark: 'S7', plan: 'skip' } },
    ];
    const marks = { file: 'marks.csv', header: ['mark', 'plan'], rows };
    const given = { first: 's3', last: 'S4', must: ['S5'], marks };
    const planner = new BoatPlanner({ ...data, options: { ...data.options, ...given } });
    const start = { date: DATE, now: parseClock('6:00')!, at: { lat: 40.1, lon: -90.2 } };
    const wish = (mark: string, what: BoatWish, id: number): Entry => ({
      ...{ id, kind: 'wish', date: DATE, time: 0, mark, side: 'D', wish: what },
    });
    const before = planner.replan([], start);
    expect(before.plan!.stops[0].spot.name).toBe('S3');
    expect(before.plan!.stops.at(-1)!.spot.name).toBe('S4');
    expect(before.command).toContain('--must S6 --must S5 --skip S7 --last S4');
    const taken = planner.replan(
      ['S3', 'S4', 'S5', 'S6', 'S7'].map((mark, id) => wish(mark, 'none', id)),
      start,
    );
    expect(taken.plan!.stops.filter(({ spot }) => spot.note.wish !== undefined)).toEqual([]);
    expect(taken.plan!.leftOut.map(({ name }) => name)).not.toContain('S7');
    expect(taken.command).not.toMatch(/--(must|skip|last)/);
    const skipped = planner.replan([wish('S3', 'skip', 0), wish('S8', 'last', 1)], start);
    expect(skipped.problems).toEqual([]);
    expect(skipped.plan!.stops.map(({ spot }) => spot.name)).not.toContain('S3');
    expect(skipped.plan!.stops.at(-1)!.spot.name).toBe('S8');
  });

  test('undo and a rejected change restore the previous state, and a fish can be added later', async () => {
    const { page } = await phone('06:33');
    await act(page, 'Start');
    await act(page, 'Fish');
    await act(page, 'OK');
    await tap(page, 'Log');
    await act(page, 'Undo last');
    expect(await textOf(page.locator('.log h1'))).toBe('Log, 0 fish today');
    await tap(page, 'Add one');
    await page.getByLabel('Time').fill('06:31');
    await page.getByLabel('Size').selectOption('keeper');
    await act(page, 'Save');
    expect(await textOf(page.locator('.log h1'))).toBe('Log, 1 fish today');
    await tap(page, 'Day');
    const first = await textOf(page.locator('.day ol h2').first());
    await act(page, 'Skip');
    expect(await textOf(page.locator('.day ol h2').first())).not.toBe(first);
    await act(page, 'Keep the old');
    expect(await textOf(page.locator('.day ol h2').first())).toBe(first);
    await page.context().close();
  });

  test('refused or full storage is reported at once, and the log can still be copied', async () => {
    const refused = await phone(
      '06:33',
      {},
      `${NEVER_IDLE} indexedDB.open = () => { throw new DOMException('no', 'SecurityError') }`,
    );
    expect(await textOf(refused.page.getByRole('alert'))).toContain('is lost when this page closes');
    await act(refused.page, 'Start');
    await act(refused.page, 'Fish');
    expect(await logText(refused.page)).toMatch(/,1,[DU],/);
    await refused.page.context().close();

    const { page } = await phone('06:33');
    expect(await page.getByRole('alert').count()).toBe(0);
    await page.evaluate(
      `IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError') }`,
    );
    await act(page, 'Start');
    expect(await textOf(page.getByRole('alert'))).toContain('storage is full');
    await page.context().close();
  });

  test('pages of two plans in one browser stay separate', async () => {
    const shorter = args.map((word) => (word === '12:30' ? '11:00' : word));
    const made = runProgram([...shorter, '--boat', 'other.html'], { cwd: folder });
    expect(made.status, made.stderr).toBe(0);
    const { page } = await phone('06:33');
    await act(page, 'Start');
    await page.goto(pathToFileURL(join(folder, 'other.html')).href);
    await page.waitForSelector('.next');
    expect((await logText(page)).trim().split('\n')).toHaveLength(1);
    await page.goto(url);
    await page.waitForSelector('.next');
    expect((await logText(page)).trim().split('\n')).toHaveLength(2);
    await page.context().close();
  });

  test('a page without a plan lets the user choose spots and log fish', async () => {
    const { plan: _plan, water: _water, ...spots } = data;
    write(folder, 'spots.html', renderBoatPage({ ...spots, identity: 'spots' }));
    const { page, said } = await phone('06:20');
    await page.goto(pathToFileURL(join(folder, 'spots.html')).href);
    await page.locator('.choose button').first().tap();
    await act(page, 'Other spot');
    expect(await heading(page)).toBe('Choose a spot');
    await page.locator('.choose button').first().tap();
    await act(page, 'Start');
    await act(page, 'Fish');
    await act(page, 'keeper');
    await act(page, 'Leave');
    expect(await heading(page)).toBe('Choose a spot');
    expect(await logText(page)).toMatch(/,1,[DU],.*,keeper,/);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test('a mark whose name looks like markup is shown as text', async () => {
    const { page, said, asked } = await phone('06:20');
    await tap(page, 'Day');
    expect(await textOf(page.locator('.day'))).toContain(ODD);
    expect([said, asked]).toEqual([[], [url]]);
    await page.context().close();
  });

  /** Returns luminance and count of the 40 most frequent colors of an element, most frequent first. */
  async function pixels(page: Page, selector: string): Promise<{ light: number; count: number }[]> {
    const shot = (await page.locator(selector).first().screenshot()).toString('base64');
    const found = await page.evaluate<[string, number][]>(`new Promise((resolve) => {
      const image = new Image();
      image.onload = () => {
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [image.width, image.height];
        const context = canvas.getContext('2d');
        context.drawImage(image, 0, 0);
        const { data } = context.getImageData(0, 0, image.width, image.height);
        const counts = new Map();
        for (let at = 0; at < data.length; at += 4) {
          const key = data.slice(at, at + 3).join(',');
          counts.set(key, (counts.get(key) ?? 0) + 1);
        }
        resolve([...counts].sort((a, b) => b[1] - a[1]).slice(0, 40));
      };
      image.src = 'data:image/png;base64,${shot}';
    })`);
    return found.map(([rgb, count]) => ({ light: luminance(rgb.split(',').map(Number)), count }));
  }

  // Measured on the rendered pixels. Source of the ratio: WCAG 2.2.
  test.each(['light', 'dark'] as const)(
    "contrast of the card's text is at least 7 : 1 and of neighboring tints 1.25 : 1, %s",
    async (colorScheme) => {
      const { page } = await phone('06:33', { colorScheme, bypassCSP: true });
      for (const selector of ['dt', 'dd', '.known', '.when', '.taps .main', 'nav [aria-current]']) {
        const [ground, ...others] = await pixels(page, selector);
        const best = Math.max(...others.map(({ light }) => contrastOf(light, ground.light)));
        expect(best, selector).toBeGreaterThanOrEqual(7);
      }
      // Less frequent colors, black and white are lines, halos and blank areas.
      const found = (await pixels(page, '.sketch')).filter(
        ({ count, light }) => count > 5000 && light > 0.001 && light < 0.999,
      );
      const tints = found.map(({ light }) => light).sort((a, b) => a - b);
      expect(tints.length).toBeGreaterThan(2);
      for (let at = 1; at < tints.length; at++)
        expect(contrastOf(tints[at - 1], tints[at])).toBeGreaterThan(1.25);
      await page.context().close();
    },
  );

  test.each(['light', 'dark'] as const)(
    'axe finds no accessibility problem in any view, %s',
    async (colorScheme) => {
      const { page } = await phone('06:33', { colorScheme, bypassCSP: true });
      const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
      await page.clock.resume();
      await page.evaluate(axe);
      await tap(page, 'Start');
      await tap(page, 'Fish');
      for (const view of ['Next', 'Lake', 'Day', 'Log']) {
        await tap(page, view);
        const found = await page.evaluate<{ id: string; nodes: { target: string[] }[] }[]>(
          'axe.run(document).then(({ violations }) => violations)',
        );
        expect(found.map(({ id, nodes }) => `${view}: ${id} ${nodes[0].target.join(' ')}`)).toEqual([]);
      }
      await page.context().close();
    },
  );
});
