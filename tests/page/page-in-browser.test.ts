import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import { createRequire } from 'node:module';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { rankCasts } from '../../shared/retrieve/spot-score.ts';
import { renderReport } from '../../src/page/report-page.ts';
import { startViewServer } from '../../src/page/view-server.ts';
import { browserProgram, NO_BROWSER, openPage, startBrowser } from './browser.ts';
import { sampleReport } from './sample-lake.ts';
import { samplePlan, sampleZones } from './sample-plan.ts';

const COUNT = 24;
const report = sampleReport(COUNT);
const spots = report.waypoints;

describe.skipIf(browserProgram !== undefined)('without a browser', () => {
  test.skip(NO_BROWSER, () => undefined);
});

describe.skipIf(browserProgram === undefined)('report page in a browser', () => {
  let browser: Browser;
  let folder = '';
  let url = '';

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'downslope-page-'));
    const path = join(folder, 'report.html');
    await writeFile(path, renderReport(report));
    url = pathToFileURL(path).href;
    browser = await startBrowser();
  });

  afterAll(async () => {
    await browser?.close();
    await rm(folder, { recursive: true, force: true });
  });

  /** Returns the numbers of the spots from top to bottom on the screen. */
  const shownRows = (page: Page): Promise<number[]> =>
    page.evaluate(`[...document.querySelectorAll('#rows tr')]
      .filter((row) => row.getClientRects().length > 0)
      .sort((a, b) => a.getBoundingClientRect().top - b.getBoundingClientRect().top)
      .map((row) => Number(row.id.slice(4)))`);

  const documentRows = (page: Page): Promise<number[]> =>
    page.evaluate(`[...document.querySelectorAll('#rows tr')].map((row) => Number(row.id.slice(4)))`);

  /** Returns the numbers of the spots sorted by a value; spots without the value come last. */
  const inOrder = (value: (index: number) => number | undefined): number[] =>
    spots
      .map((_, index) => index)
      .sort(
        (a, b) => (value(a) ?? Number.POSITIVE_INFINITY) - (value(b) ?? Number.POSITIVE_INFINITY) || a - b,
      )
      .map((index) => index + 1);
  const byDepth = inOrder((index) => spots[index].fields.depth);
  const byConfidence = inOrder((index) => {
    const confidence = spots[index].fields.structure_confidence;
    return confidence === undefined ? undefined : -confidence;
  });
  const ofStructure = (word: string) =>
    spots.filter(({ fields }) => fields.structure === word).map(({ waypoint }) => waypoint.index + 1);

  test('opens without console messages and makes no request beyond itself', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const { page, said, asked } = await openPage(browser, url, { colorScheme });
      await page.evaluate('window.scrollTo(0, document.body.scrollHeight)');
      expect(said).toEqual([]);
      expect(asked.filter((address) => !address.startsWith('data:'))).toEqual([url]);
      await page.context().close();
    }
  });

  test('shows every spot with a plan view and a side view at least 200 px wide and 100 px high', async () => {
    const { page } = await openPage(browser, url);
    const sizes = await page.evaluate<
      number[][]
    >(`[...document.querySelectorAll('section.spot')].flatMap((spot) => {
      spot.scrollIntoView();
      return ['[data-figure=plan]', '[data-figure^=side]'].map((figure) => {
        const { width, height } = spot.querySelector(figure).getBoundingClientRect();
        return [width, height];
      });
    })`);
    expect(sizes).toHaveLength(2 * COUNT);
    for (const [width, height] of sizes) {
      expect(width).toBeGreaterThan(200);
      expect(height).toBeGreaterThan(100);
    }
    await page.context().close();
  });

  test('sorts the list by any key, in both directions, on screen and in the document', async () => {
    const { page } = await openPage(browser, url);
    await page.selectOption('#sort', 'depth');
    expect(await shownRows(page)).toEqual(byDepth);
    expect(await documentRows(page)).toEqual(byDepth);
    await page.check('#reverse');
    expect(await shownRows(page)).toEqual([...byDepth].reverse());
    await page.locator('#list th[data-key=confidence] button').click();
    expect(await shownRows(page)).toEqual(byConfidence);
    expect(await page.getAttribute('#list th[data-key=confidence]', 'aria-sort')).toBe('ascending');
    await page.locator('#list th[data-key=confidence] button').click();
    expect(await shownRows(page)).toEqual([...byConfidence].reverse());
    expect(await page.locator('#list th[aria-sort]').count()).toBe(1);
    await page.context().close();
  });

  test('filters the list by structure, confidence, depth, contact and name, and counts the spots shown', async () => {
    const { page } = await openPage(browser, url);
    const reset = async () => {
      for (const id of ['f-structure', 'f-sure', 'f-depth', 'f-contact'])
        await page.selectOption(`#${id}`, '');
      await page.fill('#find', '');
    };
    await page.selectOption('#f-structure', 'point');
    expect(await shownRows(page)).toEqual(ofStructure('point'));
    expect(await page.textContent('#count')).toBe(`${ofStructure('point').length} of ${COUNT} spots`);
    await reset();
    await page.selectOption('#f-sure', '70');
    const sure = spots.filter(({ fields }) => Math.round((fields.structure_confidence ?? 0) * 100) >= 70);
    expect(await shownRows(page)).toEqual(sure.map(({ waypoint }) => waypoint.index + 1));
    await reset();
    await page.selectOption('#f-depth', '10');
    const deep = spots.filter(({ fields }) => Math.floor((fields.depth ?? -1) / 0.3048 / 10) === 1);
    expect(deep.length).toBeGreaterThan(0);
    expect(await shownRows(page)).toEqual(deep.map(({ waypoint }) => waypoint.index + 1));
    await reset();
    await page.selectOption('#f-contact', '10');
    const touching = spots.filter(
      ({ fields }) => Math.round((rankCasts(fields)[0]?.worth ?? 0) / 0.9144) >= 10,
    );
    expect(touching.length).toBeGreaterThan(0);
    expect(await shownRows(page)).toEqual(touching.map(({ waypoint }) => waypoint.index + 1));
    await reset();
    await page.fill('#find', 'mark 01');
    expect(await shownRows(page)).toEqual([10, 11, 12, 13, 14, 15, 16, 17, 18, 19]);
    await page.context().close();
  });

  test('sorts and filters without script', async () => {
    const { page, said } = await openPage(browser, url, { javaScriptEnabled: false });
    expect(await page.isVisible('#find')).toBe(false);
    await page.selectOption('#sort', 'depth');
    expect(await shownRows(page)).toEqual(byDepth);
    await page.check('#reverse');
    expect(await shownRows(page)).toEqual([...byDepth].reverse());
    await page.uncheck('#reverse');
    await page.selectOption('#sort', 'number');
    await page.selectOption('#f-structure', 'hump');
    expect(await shownRows(page)).toEqual(ofStructure('hump'));
    await page.selectOption('#f-sure', '85');
    const sure = spots.filter(
      ({ fields }) =>
        fields.structure === 'hump' && Math.round((fields.structure_confidence ?? 0) * 100) >= 85,
    );
    expect(await shownRows(page)).toEqual(sure.map(({ waypoint }) => waypoint.index + 1));
    expect(said).toEqual([]);
    await page.context().close();
  });

  const topOf = (selector: string) => `document.querySelector('${selector}').getBoundingClientRect().top`;

  test('a link in the list leads to the spot, and a link at the spot leads back', async () => {
    const { page } = await openPage(browser, url);
    await page.locator('#row-17 a').click();
    await expect.poll(() => page.evaluate(topOf('#spot-17')), { timeout: 5000 }).toBeLessThan(60);
    expect(await page.evaluate(topOf('#spot-17'))).toBeGreaterThan(-60);
    expect(await page.locator('#spot-17 a.step').first().getAttribute('href')).toBe('#spot-16');
    await page.locator('#spot-17 .up').click();
    await expect.poll(() => page.evaluate(topOf('#row-17')), { timeout: 5000 }).toBeLessThan(720);
    await expect.poll(() => page.evaluate(topOf('#row-17')), { timeout: 5000 }).toBeGreaterThanOrEqual(0);
    await page.context().close();
  });

  test('keeps its settings over a reload, even when opened at a spot', async () => {
    const { page, said } = await openPage(browser, url);
    await page.selectOption('#sort', 'depth');
    await page.check('#reverse');
    await page.selectOption('#f-structure', 'point');
    const before = await shownRows(page);
    const places = new Map(byDepth.map((number, i) => [number, i]));
    expect(before).toEqual(ofStructure('point').sort((a, b) => (places.get(b) ?? 0) - (places.get(a) ?? 0)));
    await page.reload();
    expect(await shownRows(page)).toEqual(before);
    await page.locator(`#row-${before[0]} a`).click();
    await page.fill('#find', 'mark');
    await page.reload();
    expect(await page.inputValue('#find')).toBe('mark');
    expect(await shownRows(page)).toEqual(before);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test('the link back from a spot that is filtered out leads to the top of the list', async () => {
    const { page } = await openPage(browser, url);
    const [first] = ofStructure('hump');
    await page.selectOption('#f-structure', 'point');
    await page.locator(`#spot-${first} .up`).click();
    await expect.poll(() => page.evaluate(topOf('#spots')), { timeout: 5000 }).toBeLessThan(60);
    expect(await page.evaluate(topOf('#spots'))).toBeGreaterThan(-60);
    await page.context().close();
  });

  test('never scrolls sideways, at any window width', async () => {
    const { page } = await openPage(browser, url);
    for (const width of [320, 600, 737, 768, 853, 960, 961, 1024, 1440]) {
      await page.setViewportSize({ width, height: 800 });
      expect(await page.evaluate('document.documentElement.scrollWidth'), `${width} px`).toBe(width);
    }
    await page.context().close();
  });

  test('notes on the logs are printed even when collapsed on screen', async () => {
    const path = join(folder, 'noted.html');
    const note = { severity: 'warning', code: 'a/b', message: 'Found something to read.' } as const;
    await writeFile(path, renderReport({ ...report, diagnostics: [note] }));
    const { page } = await openPage(browser, pathToFileURL(path).href);
    const isShown = () => page.evaluate(`document.querySelector('details .notes').checkVisibility()`);
    expect(await isShown()).toBe(false);
    await page.emulateMedia({ media: 'print' });
    expect(await isShown()).toBe(true);
    await page.context().close();
  });

  test('the keyboard reaches the skip link and the controls, and changes the sort key', async () => {
    const { page } = await openPage(browser, url);
    const focused = () =>
      page.evaluate(
        `document.activeElement.id || document.activeElement.className.baseVal || document.activeElement.className`,
      );
    await page.keyboard.press('Tab');
    expect(await focused()).toBe('skip');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Tab');
    expect(await focused()).toBe('sort');
    await page.keyboard.press('ArrowDown');
    expect(await page.inputValue('#sort')).toBe('name');
    await page.context().close();
  });

  test('does not scroll sideways on a 360 px phone, and its figures are readable', async () => {
    const { page } = await openPage(browser, url, { viewport: { width: 360, height: 740 } });
    await page.evaluate(`document.querySelectorAll('section.spot').forEach((spot) => spot.scrollIntoView())`);
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
    const overflowing = await page.evaluate(`[...document.querySelectorAll('main *')]
      .filter((each) => !each.closest('svg, .unseen') && each.getBoundingClientRect().right > 361).map((each) => each.outerHTML.slice(0, 80))`);
    expect(overflowing).toEqual([]);
    const box = await page.locator('#spot-1 [data-figure=plan]').boundingBox();
    expect(box?.width).toBeGreaterThan(300);
    await page.context().close();
  });

  /** Script for the boxes of texts and symbols in plan views, figure units. Texts are as high as digits. */
  const BOXES = `[...document.querySelectorAll('[data-figure=plan]')].map((figure) => {
    const inverse = figure.getScreenCTM().inverse();
    return [...figure.querySelectorAll('text, [data-boat], [data-landing]')]
      .filter((each) => !each.closest('[data-angle]'))
      .map((each) => {
        const { x, y, width, height } = each.getBBox();
        const isText = each.tagName === 'text';
        const [top, high] = isText ? [y + 0.2 * height, 0.6 * height] : [y, height];
        const matrix = inverse.multiply(each.getScreenCTM());
        const corners = [[x, top], [x + width, top], [x + width, top + high], [x, top + high]];
        return {
          name: isText ? each.textContent : (each.dataset.boat ?? each.dataset.landing),
          isText,
          corners: corners.map(([a, b]) => {
            const place = new DOMPoint(a, b).matrixTransform(matrix);
            return [place.x, place.y];
          }),
        };
      });
  })`;

  interface Box {
    readonly name: string;
    readonly isText: boolean;
    readonly corners: readonly (readonly [number, number])[];
  }

  /** Returns the overlap of two boxes, figure units; 0 when the boxes are separate. */
  function overlap(a: Box, b: Box): number {
    let least = Number.POSITIVE_INFINITY;
    for (const { corners } of [a, b]) {
      corners.forEach(([x, y], i) => {
        const [nextX, nextY] = corners[(i + 1) % 4];
        const length = Math.hypot(nextX - x, nextY - y) || 1;
        const across = [(y - nextY) / length, (nextX - x) / length];
        const spanOf = (box: Box) => {
          const values = box.corners.map((corner) => corner[0] * across[0] + corner[1] * across[1]);
          return [Math.min(...values), Math.max(...values)];
        };
        const [spanA, spanB] = [spanOf(a), spanOf(b)];
        least = Math.min(least, Math.min(spanA[1], spanB[1]) - Math.max(spanA[0], spanB[0]));
      });
    }
    return Math.max(0, least);
  }

  test.each(['ft', 'm'] as const)(
    'no label of a plan view hides another, a boat or a landing, in %s',
    async (units) => {
      const path = join(folder, `labels-${units}.html`);
      await writeFile(path, renderReport({ ...report, units }));
      const { page } = await openPage(browser, pathToFileURL(path).href, { bypassCSP: true });
      await page.addStyleTag({ content: '.card{content-visibility:visible !important}' });
      const figures = await page.evaluate<Box[][]>(BOXES);
      expect(figures).toHaveLength(COUNT);
      const hidden = figures.flatMap((boxes, spot) =>
        boxes.flatMap((text, i) =>
          boxes
            .filter((other, k) => text.isText && (!other.isText || k > i) && overlap(text, other) > 3)
            .map((other) => `${spot + 1}: ${text.name} on ${other.name}`),
        ),
      );
      expect(hidden).toEqual([]);
      await page.context().close();
    },
  );

  /** Makes a spot with all possible content. */
  function heavySpot(): EnrichedWaypoint {
    const [spot] = spots;
    const deeper = { lure: '20 ft diver', lureDepth: 6.6, contact: 24, fishContact: 18 };
    const { downslope, upslope, angles = [] } = spot.fields;
    const long =
      'Found something that takes many words to tell, and a limit that it does not meet. Do this or that.';
    return {
      ...spot,
      waypoint: { ...spot.waypoint, comment: `${long} `.repeat(15), description: `${long} `.repeat(4) },
      fields: {
        ...spot.fields,
        structure_reason: long,
        downslope: { ...downslope!, deeper, wind: 'into' },
        upslope: { ...upslope!, deeper, wind: 'with' },
        angles: [...angles, angles[0]],
      },
      diagnostics: Array.from(
        { length: 6 },
        () => ({ severity: 'warning', code: 'a/b', message: long }) as const,
      ),
    };
  }

  test.each(['A4', 'Letter'])(
    'prints one spot per page on %s, however much content it has',
    async (format) => {
      const path = join(folder, `heavy-${format}.html`);
      await writeFile(path, renderReport({ ...report, waypoints: [heavySpot(), ...spots.slice(1)] }));
      const { page } = await openPage(browser, pathToFileURL(path).href, { colorScheme: 'dark' });
      const pdf = (await page.pdf({ format })).toString('latin1');
      const pages = pageOrder(pdf);
      const pageOfSpot = spots.map(({ waypoint }) => {
        const match = new RegExp(`/spot-${waypoint.index + 1} ?\\[(\\d+) 0 R`).exec(pdf);
        return pages.indexOf(Number(match?.[1]));
      });
      const first = pageOfSpot[0];
      expect(first).toBeGreaterThan(0);
      expect(pageOfSpot).toEqual(spots.map((_, i) => first + i));
      expect(pages.length).toBe(first + COUNT);
      await page.context().close();
    },
  );

  /** Returns the object numbers of a PDF's pages, in order. */
  function pageOrder(pdf: string): number[] {
    const kids = [
      ...pdf.matchAll(/(\d+) 0 obj\s*<<((?:(?!endobj).)*?\/Type ?\/Pages(?:(?!endobj).)*?)endobj/gs),
    ].map(([, number, body]) => ({
      number: Number(number),
      isRoot: !body.includes('/Parent'),
      kids: [...(/\/Kids ?\[([^\]]*)\]/.exec(body)?.[1] ?? '').matchAll(/(\d+) 0 R/g)].map(([, kid]) =>
        Number(kid),
      ),
    }));
    const open = (number: number): number[] =>
      kids.find((each) => each.number === number)?.kids.flatMap(open) ?? [number];
    const root = kids.find(({ isRoot }) => isRoot);
    return root === undefined ? [] : root.kids.flatMap(open);
  }

  test('prints black on white, whatever the theme on screen', async () => {
    const { page } = await openPage(browser, url, { colorScheme: 'dark' });
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    const [ground, ink] = await page.evaluate<string[]>(
      `(({ backgroundColor, color }) => [backgroundColor, color])(getComputedStyle(document.body))`,
    );
    expect([ground, ink]).toEqual(['rgb(255, 255, 255)', 'rgb(0, 0, 0)']);
    const text = await page.evaluate(
      `getComputedStyle(document.querySelector('#spot-1 .fig text.bold')).fill`,
    );
    expect(text).toMatch(/rgb\((0, 0, 0|8, 70, 111|110, 44, 4)\)/);
    await page.context().close();
  });

  test.each([
    ['light', 1280],
    ['dark', 1280],
    ['light', 360],
  ] as const)('axe finds no accessibility problem, %s at %i px', async (colorScheme, width) => {
    // One spot for every combination of status and structure word, because axe takes time for each text.
    const wordOf = ({ fields }: EnrichedWaypoint): string => `${fields.status} ${fields.structure}`;
    const some = spots.filter((spot, at) => spots.findIndex((each) => wordOf(each) === wordOf(spot)) === at);
    expect(some.filter(({ fields }) => fields.status === 'no-data')).toHaveLength(1);
    expect(new Set(some.map(({ fields }) => fields.structure))).toEqual(
      new Set(spots.map(({ fields }) => fields.structure)),
    );
    const path = join(folder, 'some.html');
    await writeFile(path, renderReport({ ...report, waypoints: some }));
    const { page } = await openPage(browser, pathToFileURL(path).href, {
      colorScheme,
      viewport: { width, height: 900 },
      bypassCSP: true,
    });
    await page.addStyleTag({ content: '.card{content-visibility:visible !important}' });
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    await page.evaluate(axe);
    const found = await page.evaluate<{ id: string; impact: string; nodes: { target: string[] }[] }[]>(
      'axe.run(document).then(({ violations }) => violations)',
    );
    expect(found.map(({ id, impact, nodes }) => `${impact} ${id} ${nodes[0].target.join(' ')}`)).toEqual([]);
    await page.context().close();
  });

  test('a mark with a name like a script shows as text', async () => {
    const name = '<script>alert(1)</script><img src=x onerror=alert(2)>';
    const odd = { ...spots[0], waypoint: { ...spots[0].waypoint, name, comment: name } };
    const path = join(folder, 'odd.html');
    await writeFile(path, renderReport({ ...report, title: name, waypoints: [odd] }));
    const { page, said, asked } = await openPage(browser, pathToFileURL(path).href);
    expect(await page.textContent('#name-spot-1')).toContain(name);
    expect(await page.textContent('h1')).toBe(name);
    expect(said).toEqual([]);
    expect(asked.filter((address) => !address.startsWith('data:'))).toHaveLength(1);
    await page.context().close();
  });

  test("the page's content security policy blocks an injected script and request", async () => {
    let hits = 0;
    const outside = createServer((_, response) => {
      hits += 1;
      response.end();
    });
    await new Promise<void>((resolve) => outside.listen(0, '127.0.0.1', () => resolve()));
    const { port } = outside.address() as AddressInfo;
    const { page } = await openPage(browser, url);
    await page.evaluate(`(() => {
      const script = document.createElement('script');
      script.textContent = 'window.ran = true';
      document.body.append(script);
      new Image().src = 'http://127.0.0.1:${port}/x.png';
      return fetch('http://127.0.0.1:${port}/').catch(() => undefined);
    })()`);
    await page.waitForTimeout(300);
    expect(await page.evaluate('window.ran')).toBeUndefined();
    expect(hits).toBe(0);
    await page.context().close();
    outside.close();
  });

  describe('with a plan', () => {
    const plan = samplePlan(report);
    const planned = () => pathToFileURL(join(folder, 'planned.html')).href;
    const PHONES = [
      { width: 360, height: 640 },
      { width: 390, height: 844 },
    ];

    beforeAll(() =>
      writeFile(join(folder, 'planned.html'), renderReport({ ...report, plan, zones: sampleZones().zones })),
    );

    /** Script that finds the texts shown smaller than 12 px. Text in an SVG is scaled with the SVG. */
    const SMALL = `(() => {
      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      const small = [];
      while (walker.nextNode()) {
        const { data, parentElement: parent } = walker.currentNode;
        if (data.trim() === '' || !parent.checkVisibility() || parent.closest('.unseen, .skip, script')) continue;
        const scale = parent.getScreenCTM ? Math.hypot(parent.getScreenCTM().a, parent.getScreenCTM().b) : 1;
        const size = parseFloat(getComputedStyle(parent).fontSize) * scale;
        if (size < 12) small.push(size.toFixed(2) + ' ' + data.slice(0, 30));
      }
      return small;
    })()`;

    test.each(PHONES)(
      'on a phone of %o every card fits one screen and no text is smaller than 12 px',
      async (viewport) => {
        const { page } = await openPage(browser, planned(), { viewport, bypassCSP: true });
        await page.addStyleTag({ content: '.card{content-visibility:visible !important}' });
        const heights = await page.evaluate<number[]>(
          `[...document.querySelectorAll('.stop')].map((stop) => stop.offsetHeight)`,
        );
        expect(heights).toHaveLength(plan.stops.length);
        for (const height of heights) expect(height).toBeLessThanOrEqual(viewport.height);
        await page.evaluate(`document.querySelectorAll('details').forEach((each) => { each.open = true; })`);
        expect(await page.evaluate(SMALL)).toEqual([]);
        expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(viewport.width);
        await page.context().close();
      },
    );

    test('the map zooms with buttons and keys, pans by dragging, shows more names, and can be reset', async () => {
      const { page, said } = await openPage(browser, planned(), { viewport: PHONES[1] });
      const state = () =>
        page.evaluate<{ box: number[]; names: number; size: number }>(`(() => {
          const map = document.querySelector('svg.map');
          const names = [...map.querySelectorAll('.names text')].filter((name) => name.checkVisibility());
          return {
            box: map.getAttribute('viewBox').split(' ').map(Number),
            names: names.length,
            size: names[0].getBoundingClientRect().height,
          };
        })()`);
      await page.locator('.map-tools').scrollIntoViewIfNeeded();
      const whole = await state();
      await page.click('[data-map=in]');
      await page.locator('figure.overview').press('+');
      const near = await state();
      expect(near.box[2]).toBeCloseTo(whole.box[2] / 1.6 ** 2, 3);
      expect(near.names).toBeGreaterThan(whole.names);
      expect(Math.abs(near.size - whole.size)).toBeLessThan(0.5);
      // The outer svg is measured, because the box of the inner one includes what is outside its view.
      const { x, y, width } = (await page.locator('figure.overview > svg').boundingBox())!;
      await page.mouse.move(x + 150, y + 120);
      await page.mouse.down();
      await page.mouse.move(x + 110, y + 100, { steps: 4 });
      await page.mouse.up();
      const dragged = await state();
      const perPixel = near.box[2] / width;
      expect(Math.abs(dragged.box[0] - near.box[0] - 40 * perPixel)).toBeLessThan(12 * perPixel);
      await page.click('[data-map=whole]');
      expect((await state()).box).toEqual(whole.box);
      expect(said).toEqual([]);
      await page.context().close();
    });

    test('without scripts the map and the cards are there, with names at least 12 px high', async () => {
      const { page } = await openPage(browser, planned(), { javaScriptEnabled: false, viewport: PHONES[0] });
      expect(await page.isVisible('.map-tools')).toBe(false);
      const box = await page.locator('svg.map').boundingBox();
      expect(box?.width).toBeGreaterThan(300);
      const name = await page.locator('svg.map .names text').first().boundingBox();
      expect(name?.height).toBeGreaterThanOrEqual(12);
      expect(await page.locator('.stop').count()).toBe(plan.stops.length);
      await page.context().close();
    });

    test.each(['A4', 'Letter'])("prints only the plan's spots, two per page, on %s", async (format) => {
      const { page } = await openPage(browser, planned(), { colorScheme: 'dark' });
      const pdf = (await page.pdf({ format })).toString('latin1');
      const pages = pageOrder(pdf);
      const pageOf = (id: string) =>
        pages.indexOf(Number(new RegExp(`/${id} ?\\[(\\d+) 0 R`).exec(pdf)?.[1]));
      const stops = plan.stops.map((_, i) => pageOf(`stop-${i + 1}`));
      const [first] = stops;
      expect(first).toBeGreaterThanOrEqual(0);
      expect(stops).toEqual(stops.map((_, i) => first + Math.floor(i / 2)));
      await page.emulateMedia({ media: 'print' });
      expect(await page.locator('.spot:visible, #rows tr:visible').count()).toBe(0);
      await page.context().close();
    });

    test.each(['light', 'dark'] as const)(
      'axe finds no accessibility problem on a phone, %s',
      async (colorScheme) => {
        const { page } = await openPage(browser, planned(), {
          colorScheme,
          viewport: PHONES[0],
          bypassCSP: true,
        });
        await page.addStyleTag({
          content: '.spot{display:none}.card{content-visibility:visible !important}',
        });
        await page.addScriptTag({ path: createRequire(import.meta.url).resolve('axe-core/axe.min.js') });
        const found = await page.evaluate(
          `axe.run(document).then(({ violations }) => violations.map(({ id, nodes }) => id + ' ' + nodes[0].html))`,
        );
        expect(found).toEqual([]);
        await page.context().close();
      },
    );
  });

  test('gives no console message or further request when served by the view server either', async () => {
    const server = await startViewServer({ makePage: async () => renderReport(report), watch: [] });
    const { page, said, asked } = await openPage(browser, server.url);
    await page.selectOption('#sort', 'depth');
    expect(await shownRows(page)).toEqual(byDepth);
    expect(said).toEqual([]);
    expect(asked.filter((address) => !address.startsWith('data:'))).toEqual([server.url]);
    await page.context().close();
    await server.close();
  });
});
