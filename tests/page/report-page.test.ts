import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { contactWords, depthWithSd, headline, likelihood, spotFacts } from '../../src/page/facts.ts';
import { FIGURE_COLORS } from '../../src/page/figure-style.ts';
import { renderReport } from '../../src/page/report-page.ts';
import { contrastOf, luminance, rgbOf } from './luminance.ts';
import { sampleReport } from './sample-lake.ts';
import { samplePlan } from './sample-plan.ts';

const digest = (text: string) => createHash('sha256').update(text, 'utf8').digest('base64');
const withName = (spot: EnrichedWaypoint, name: string): EnrichedWaypoint => ({
  ...spot,
  waypoint: { ...spot.waypoint, name, comment: `${name} c`, description: `${name} d` },
});

describe('report page', () => {
  test('allows its own style and script by digest, and nothing else', () => {
    const html = renderReport(sampleReport(5));
    const policy = /Content-Security-Policy" content="([^"]*)"/.exec(html)?.[1] ?? '';
    const styles = [...html.matchAll(/<style>(.*?)<\/style>/gs)].map(([, text]) => text);
    const scripts = [...html.matchAll(/<script>(.*?)<\/script>/gs)].map(([, text]) => text);
    expect([styles.length, scripts.length]).toEqual([1, 1]);
    expect(policy).toBe(
      `default-src 'none'; style-src 'sha256-${digest(styles[0])}'; script-src 'sha256-${digest(scripts[0])}'; ` +
        "img-src data:; base-uri 'none'; form-action 'none'",
    );
    expect(html).not.toMatch(/\sstyle="|\son[a-z]+="|javascript:/);
  });

  test('refers to nothing outside itself', () => {
    const html = renderReport(sampleReport(5));
    const targets = [...html.matchAll(/(?:href|src|action|data)="([^"]*)"/g)].map(([, target]) => target);
    for (const target of targets) expect(target).toMatch(/^(#|data:,$)/);
    for (const [, target] of html.matchAll(/url\(([^)]*)\)/g)) expect(target).toMatch(/^#/);
    expect(html).not.toMatch(/@import|https?:\/\/(?!www\.w3\.org)/);
  });

  test('has each id once, and every internal link leads somewhere', () => {
    const html = renderReport(sampleReport(20));
    const ids = [...html.matchAll(/\sid="([^"]*)"/g)].map(([, id]) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const [, target] of html.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(target);
  });

  test('begins with the stops of the plan in order, then the lake, then all spots', () => {
    const report = sampleReport(9);
    const plan = samplePlan(report);
    const html = renderReport({ ...report, plan });
    const heads = [
      ...html.matchAll(/<h3 id="name-stop-(\d+)"><span class="no">(\d+)<\/span> ([^<]*)<\/h3>/g),
    ];
    expect(plan.stops.length).toBeGreaterThan(2);
    expect(heads.map(([, id, number, name]) => `${id} ${number} ${name}`)).toEqual(
      plan.stops.map(({ spot, side }, i) => `${i + 1} ${i + 1} ${spot.name} ${side.side === 0 ? 'D' : 'U'}`),
    );
    const places = ['id="day"', 'id="stop-1"', 'id="map"', 'id="spots"', 'id="spot-1"'].map((id) =>
      html.indexOf(id),
    );
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places).not.toContain(-1);
    expect(html.split('<section class="card stop').slice(1)).toHaveLength(plan.stops.length);
    for (const part of html.split('<section class="card stop').slice(1))
      expect(part).toContain('data-figure="plan"');
  });

  test('previous and next lead through all stops and all spots, from the first to the last', () => {
    const report = sampleReport(9);
    const plan = samplePlan(report);
    const html = renderReport({ ...report, plan });
    for (const [kind, count] of [
      ['stop', plan.stops.length],
      ['spot', 9],
    ] as const) {
      const links = Array.from({ length: count }, (_, i) => {
        const start = html.indexOf(`id="${kind}-${i + 1}"`);
        const nav = html.slice(html.indexOf('<nav', start), html.indexOf('</nav>', start));
        return [...nav.matchAll(/href="#([a-z]+-\d+)" aria-label="(Previous|Next)/g)].map(
          ([, to, way]) => `${way} ${to}`,
        );
      });
      expect(links).toEqual(
        links.map((_, i) => [
          ...(i > 0 ? [`Previous ${kind}-${i}`] : []),
          ...(i < count - 1 ? [`Next ${kind}-${i + 2}`] : []),
        ]),
      );
    }
  });

  test("text from the user's files shows as text, whatever it contains", () => {
    const odd = '<script>alert(1)</script>"\'&<img src=x onerror=alert(1)>';
    const spots = sampleReport(3).waypoints.map((spot) => withName(spot, odd));
    const own = spots.map((spot) => ({
      ...spot,
      fields: { ...spot.fields, 'my.note': odd, lure: odd, structure_reason: odd },
    }));
    const html = renderReport(
      sampleReport(3, {
        waypoints: own.map((spot) => ({
          ...spot,
          diagnostics: [{ severity: 'warning', code: 'a/b', message: odd, place: { waypoint: odd } }],
        })),
        title: odd,
        date: odd,
        waterLevelSource: odd,
        version: odd,
        diagnostics: [{ severity: 'note', code: 'a/b', message: odd, place: { file: odd } }],
        pluginFields: { 'my.note': { type: 'text', unit: 'none', help: odd } },
      }),
    );
    expect(html.match(/<script/g)).toHaveLength(1);
    expect(html).not.toContain('<img');
    expect(html).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
  });

  test('no name of a mark adds an element', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 30 }), (name) => {
        const report = sampleReport(1);
        const html = renderReport({
          ...report,
          title: name,
          waypoints: [withName(report.waypoints[0], name)],
        });
        expect(html.match(/<[a-z!]/gi)?.length).toBe(plainTags);
      }),
      { numRuns: 40 },
    );
  });
  const plainTags = renderReport(
    sampleReport(1, { waypoints: [withName(sampleReport(1).waypoints[0], 'x')] }),
  ).match(/<[a-z!]/gi)?.length;

  test('has the cautions and says which water level depths refer to', () => {
    const html = renderReport(sampleReport(2));
    expect(html).toContain('Not for navigation.');
    expect(html).toContain('Wear a life jacket');
    expect(html).toContain('no-entry, no-wake, dam or tailwater zones');
    expect(html).toContain('at a level of \u22122.0 ft, from option');
    expect(renderReport(sampleReport(2, { waterLevel: undefined }))).toContain('Depths are as logged');
  });

  test('has less than 15 MB for 300 spots', () => {
    expect(Buffer.byteLength(renderReport(sampleReport(300)))).toBeLessThan(15e6);
  });

  test('shows the messages about the logs, warnings first, and none about caching', () => {
    const html = renderReport(
      sampleReport(1, {
        diagnostics: [
          { severity: 'note', code: 'store/used', message: 'Took 3 logs from the store.' },
          {
            severity: 'note',
            code: 'soundings/depth-unit',
            message: 'Depths are in ft.',
            place: { file: 'a.csv', line: 1 },
          },
          {
            severity: 'warning',
            code: 'soundings/lost-bottom',
            message: 'Row dropped.',
            place: { file: 'a.csv', line: 9 },
          },
        ],
      }),
    );
    expect(html).toContain('1 warning, 1 note');
    expect(html.indexOf('a.csv:9: warning')).toBeLessThan(html.indexOf('a.csv:1: note'));
    expect(html).not.toContain('from the store');
  });

  test('is the same for the same input', () => {
    expect(renderReport(sampleReport(6))).toBe(renderReport(sampleReport(6)));
  });

  test('works without spots and without soundings', () => {
    const none = {
      count: 0,
      lat: new Float64Array(),
      lon: new Float64Array(),
      depth: new Float32Array(),
      pass: new Int32Array(),
    };
    expect(renderReport(sampleReport(0))).toContain('0 spots, 0 with a cast');
    expect(renderReport(sampleReport(0, { survey: none }))).toContain('</html>');
    expect(renderReport(sampleReport(4, { survey: none }))).toContain('</html>');
  });
});

describe('facts in words', () => {
  test('a depth has as many decimals as its standard deviation justifies', () => {
    expect(depthWithSd(5.88, 0.25, 'ft')).toBe('19.3 \u00b1 0.8\u00a0ft');
    expect(depthWithSd(5.88, 0.6, 'ft')).toBe('19 \u00b1 2\u00a0ft');
    expect(depthWithSd(5.88, 0.25, 'm')).toBe('5.9 \u00b1 0.3\u00a0m');
    expect(depthWithSd(5.88, 0.004, 'm')).toBe('5.9 \u00b1 0.1\u00a0m');
    expect(depthWithSd(5.88, undefined, 'ft')).toBe('19\u00a0ft');
  });

  test('lower confidence gives a weaker word', () => {
    expect([0.9, 0.7, 0.5, 0.3].map(likelihood)).toEqual([
      'very likely',
      'likely',
      'perhaps',
      'unclear, at best',
    ]);
  });

  test('a next angle for suspended fish says how far the lure runs off bottom', () => {
    const [spot] = sampleReport(1).waypoints;
    const angles = [{ ...spot.fields.downslope!, isSuspended: true } as const];
    const html = renderReport(
      sampleReport(1, { waypoints: [{ ...spot, fields: { ...spot.fields, angles } }] }),
    );
    expect(html).toContain('; off bottom: the lure runs ');
    expect(html).not.toContain('on bottom: the lure runs ');
  });

  test('limits of the soundings are stated with the reason', () => {
    const onePass = sampleReport(7).waypoints[6];
    const facts = Object.fromEntries(spotFacts(onePass, 'ft'));
    expect(facts.Structure).toBe('Unknown: your sonar here is along one line only.');
    expect(facts.Slope).toBe('Unknown: one line of sonar shows the slope along it, not across it.');
    expect(headline(onePass, 'ft')).toMatch(/^Mark in \d+\u00a0ft, sonar along one line only, so no slope$/);
  });

  test('the heading of a spot gives no slope smaller than its standard deviation', () => {
    const [spot] = sampleReport(1).waypoints;
    const withSd = (slope_sd: number) => ({ ...spot, fields: { ...spot.fields, slope: 1.8, slope_sd } });
    expect(headline(withSd(0.7), 'ft')).toContain('falling 2\u00b0');
    expect(headline(withSd(2.5), 'ft')).not.toContain('falling');
  });

  test('slope and aspect have their standard deviations, and the aspect is magnetic and true', () => {
    const spot = sampleReport(1).waypoints[0];
    const fields = {
      ...spot.fields,
      slope: 8.21,
      slope_sd: 1.94,
      aspect: 221,
      aspect_sd: 14.2,
      declination: 7,
    };
    const slope = spotFacts({ ...spot, fields }, 'ft').find(([term]) => term === 'Slope');
    expect(slope?.[1]).toBe(
      '8.2\u00b0 \u00b1 1.9\u00b0, falling toward 214\u00b0 magnetic (221\u00b0 true) \u00b1 14\u00b0.',
    );
  });

  test('contact says how much, where, and how much of it is among the fish', () => {
    const plan = sampleReport(1).waypoints[0].fields.downslope!;
    const words = contactWords(
      { ...plan, cast: 44, contact: 18.3, fishContact: 11, contactDepths: [3.4, 5.8] },
      'm',
    );
    expect(words).toBe('18 of 44\u00a0m, in 3.4\u20135.8\u00a0m; 11 \u00b1 1\u00a0m of it among the fish');
  });
});

describe('colors', () => {
  const themes = FIGURE_COLORS.split('\n').map((line) =>
    Object.fromEntries(
      [...line.matchAll(/--([a-z]+):(#[0-9a-f]+)/g)].map(([, name, color]) => [name, color]),
    ),
  );

  const contrast = (a: string, b: string) => contrastOf(luminance(rgbOf(a)), luminance(rgbOf(b)));

  test('every text color has a contrast of 4.5 to 1 on paper, light, dark and printed', () => {
    expect(themes).toHaveLength(3);
    for (const theme of themes) {
      for (const name of ['ink', 'soft', 'iso', 'deep', 'shoal', 'fish']) {
        expect(
          contrast(theme[name], theme.paper),
          `${name} ${theme[name]} on ${theme.paper}`,
        ).toBeGreaterThanOrEqual(4.5);
      }
    }
  });

  test('the two sides can be told apart with the three common color deficiencies', () => {
    // Linear-RGB matrices of Machado, Oliveira and Fernandes 2009, IEEE TVCG 15(6), severity 1.0.
    const matrices = {
      protan: [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
      ],
      deutan: [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.01182, 0.04294, 0.968881],
      ],
      tritan: [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.3039],
      ],
    };
    for (const theme of themes) {
      for (const [name, matrix] of Object.entries(matrices)) {
        const seen = [theme.deep, theme.shoal].map((color) => oklab(apply(matrix, linear(color))));
        const apart = Math.hypot(...seen[0].map((value, i) => value - seen[1][i]));
        // 0.1 in OKLab is several times the just noticeable difference (about 0.02).
        expect(apart, name).toBeGreaterThan(0.1);
      }
    }
  });

  const linear = (color: string): number[] =>
    [1, 3, 5].map((at) => {
      const share = Number.parseInt(color.slice(at, at + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
  const apply = (matrix: number[][], color: number[]): number[] =>
    matrix.map((row) => Math.max(0, row[0] * color[0] + row[1] * color[1] + row[2] * color[2]));

  /** Converts linear sRGB to OKLab. Source: Ottosson 2020, A perceptual color space for image processing. */
  function oklab([r, g, b]: number[]): number[] {
    const [l, m, s] = [
      0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b,
      0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b,
      0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b,
    ].map(Math.cbrt);
    return [
      0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
      1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
      0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
    ];
  }
});
