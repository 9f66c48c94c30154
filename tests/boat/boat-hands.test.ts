import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { makeFolder, runProgram } from '../cli/run-program.ts';
import { browserProgram, openPage, startBrowser, type WatchedPage } from '../page/browser.ts';
import { boatPlace, NEVER_IDLE, writeBoatLake } from './boat-lake.ts';

const DATE = '2026-07-04';

// Touch gestures on the map, and exporting the log. All tests share one page with a small lake.
describe.skipIf(browserProgram === undefined)('touch gestures and log export on the boat page', () => {
  const folder = makeFolder();
  let browser: Browser;

  beforeAll(async () => {
    const args = [...writeBoatLake(folder, 5, 400), '--date', DATE, '--iterations', '20'];
    const made = runProgram([...args, '--boat', 'boat.html'], { cwd: folder });
    expect(made.status, made.stderr).toBe(0);
    browser = await startBrowser();
  }, 60_000);

  afterAll(() => browser?.close());

  async function phone(script = ''): Promise<WatchedPage> {
    const watched = await openPage(browser, 'about:blank', {
      viewport: { width: 360, height: 640 },
      hasTouch: true,
      isMobile: true,
      permissions: ['geolocation', 'clipboard-read', 'clipboard-write'],
      geolocation: { ...boatPlace(40, 40), accuracy: 6 },
    });
    await watched.page.clock.install({ time: new Date(`${DATE}T06:33:00`) });
    await watched.page.addInitScript(NEVER_IDLE + script);
    await watched.page.goto(pathToFileURL(join(folder, 'boat.html')).href);
    await watched.page.waitForSelector('.next');
    return watched;
  }

  const tap = (page: Page, name: string) =>
    (name === 'Fish' ? page.locator('.taps .main') : page.getByRole('button', { name, exact: true }))
      .first()
      .tap();

  /** Logs one fish and opens the log. @returns The log as text. */
  async function fished(page: Page): Promise<string> {
    await tap(page, 'Start');
    await tap(page, 'Fish');
    await tap(page, 'Log');
    const text = page.locator('#log-text');
    await expect.poll(() => text.inputValue()).toMatch(/,1,[DU],/);
    return text.inputValue();
  }

  test('a pinch scales the map about the midpoint of the fingers, and taps then hit what is shown', async () => {
    const { page, said } = await phone();
    const session = await page.context().newCDPSession(page);
    const middle = { x: 180, y: 330 };
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', apart?: number): Promise<unknown> =>
      session.send('Input.dispatchTouchEvent', {
        type,
        touchPoints:
          apart === undefined
            ? []
            : [-apart, apart].map((by, id) => ({ id, x: middle.x + by / 2, y: middle.y + by / 2 })),
      });
    /** Returns what the page says about the way from the midpoint to the next stop. */
    const placeOfMiddle = async (): Promise<string> => {
      await tap(page, 'I am here');
      await page.locator('.map').tap({ position: middle });
      await tap(page, 'Next');
      const way = await page.locator('.way').textContent();
      await tap(page, 'Lake');
      return way ?? '';
    };
    const moved = (): Promise<number[]> =>
      page.evaluate(`document.querySelector('.moved').style.transform.match(/-?[\\d.]+/g).map(Number)`);
    await tap(page, 'Lake');
    await page.clock.runFor(100);
    const before = await placeOfMiddle();
    expect(before).toContain('Boat spot');
    await touch('touchStart', 60);
    for (const apart of [70, 90, 120]) await touch('touchMove', apart);
    await page.clock.runFor(100);
    const [east, south, scale] = await moved();
    expect(scale).toBeCloseTo(2, 1);
    expect(Math.hypot(east + scale * middle.x - middle.x, south + scale * middle.y - middle.y)).toBeLessThan(
      2,
    );
    await touch('touchEnd');
    await page.clock.runFor(100);
    // The map is redrawn at the new scale once the fingers rest.
    expect((await moved())[2]).toBe(1);
    expect(await placeOfMiddle()).toBe(before);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test('a dragged map is drawn ahead of the window, but not drawn again if it shows the whole lake', async () => {
    const { page } = await phone(
      `{ const { transferToImageBitmap } = OffscreenCanvas.prototype;
        globalThis.pictures = 0;
        OffscreenCanvas.prototype.transferToImageBitmap = function () { globalThis.pictures++; return transferToImageBitmap.call(this); }; }`,
    );
    const session = await page.context().newCDPSession(page);
    const pictures = () => page.evaluate<number>('globalThis.pictures');
    const drag = async (): Promise<void> => {
      const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x?: number): Promise<unknown> =>
        session.send('Input.dispatchTouchEvent', {
          type,
          touchPoints: x === undefined ? [] : [{ x, y: 330 }],
        });
      await touch('touchStart', 300);
      for (let x = 280; x >= 60; x -= 20) await touch('touchMove', x);
      await touch('touchEnd');
      await page.clock.runFor(1000);
    };
    /** Returns how far the picture reaches beyond the window on the right, px. */
    const ahead = () =>
      page.evaluate<number>(
        `document.querySelector('.moved canvas').getBoundingClientRect().right - document.querySelector('.map').getBoundingClientRect().right`,
      );
    await tap(page, 'Lake');
    await page.clock.runFor(1000);
    const whole = await pictures();
    await drag();
    expect(await pictures()).toBe(whole);
    await tap(page, 'Whole lake');
    await page.mouse.move(180, 330);
    await page.mouse.wheel(0, -600);
    await page.clock.runFor(1000);
    const near = await pictures();
    for (let times = 0; times < 2; times++) {
      await drag();
      expect(await ahead()).toBeGreaterThan(80);
    }
    expect(await pictures()).toBeGreaterThan(near);
    await page.context().close();
  });

  test('the log goes to the share sheet; nothing more happens if the user closes the sheet, and the log is downloaded if sharing fails', async () => {
    const { page } = await phone(`
      navigator.canShare = ({ files }) => files.length === 1;
      navigator.share = async ({ files }) => {
        globalThis.given = [files[0].name, await files[0].text()];
        if (globalThis.answer) throw new DOMException('', globalThis.answer);
      };`);
    const csv = await fished(page);
    const downloads: string[] = [];
    page.on('download', (download) => downloads.push(download.suggestedFilename()));
    const given = () => page.evaluate('globalThis.given');
    await tap(page, 'Export');
    await expect.poll(given).toEqual([`boat-${DATE}.csv`, csv]);
    await page.evaluate(`globalThis.answer = 'AbortError'`);
    await tap(page, 'Export');
    expect(downloads).toEqual([]);
    await page.evaluate(`globalThis.answer = 'NotAllowedError'`);
    const [download] = await Promise.all([page.waitForEvent('download'), tap(page, 'Export')]);
    expect(await readFile(await download.path(), 'utf8')).toBe(csv);
    await page.context().close();
  });

  test('without a share sheet the log is downloaded; Copy says what it did, or selects the text if it may not copy', async () => {
    const { page, said } = await phone('navigator.canShare = undefined');
    const csv = await fished(page);
    const [download] = await Promise.all([page.waitForEvent('download'), tap(page, 'Export')]);
    expect(download.suggestedFilename()).toBe(`boat-${DATE}.csv`);
    expect(await readFile(await download.path(), 'utf8')).toBe(csv);
    await tap(page, 'Copy');
    const status = page.locator('.log [role=status]');
    await expect.poll(() => status.textContent()).toBe('Copied.');
    expect(await page.evaluate('navigator.clipboard.readText()')).toBe(csv);
    await page.evaluate(`navigator.clipboard.writeText = () => Promise.reject(new Error('no'))`);
    await tap(page, 'Copy');
    await expect.poll(() => status.textContent()).toContain('selected below');
    expect(await page.evaluate('getSelection().toString()')).toBe(csv);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test('a fish is stored with the tapped place, but not with a position too inaccurate to tell spots apart', async () => {
    const { page } = await phone();
    await tap(page, 'Start');
    const away = boatPlace(300, 220);
    const reach = async (accuracy: number, said: RegExp): Promise<void> => {
      await page.context().setGeolocation({ ...away, accuracy });
      await expect.poll(() => page.locator('.known').textContent()).toMatch(said);
      await tap(page, 'Fish');
    };
    await reach(8, /within 9 yd/);
    await tap(page, 'OK');
    await reach(400, /within 4\d\d yd/);
    await tap(page, 'Log');
    const [rough, exact] = await page.locator('.log .rows p').allTextContents();
    expect(exact).toContain(`${away.latitude.toFixed(5)}, ${away.longitude.toFixed(5)}`);
    expect(rough).not.toMatch(/\d{2}\.\d{5}/);
    await page.context().setOffline(true);
    await page.reload();
    await page.waitForSelector('.next');
    await tap(page, 'Log');
    expect(await page.locator('.log .rows p').allTextContents()).toEqual([rough, exact, expect.any(String)]);
    await page.context().close();
  });
});
