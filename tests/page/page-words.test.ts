import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { bottomMessages } from '../../shared/text/messages/bottom.ts';
import { soundingPluginMessages } from '../../shared/text/messages/sounding-plugins.ts';
import { readingGuide } from '../../src/page/reading-guide.ts';
import { renderReport } from '../../src/page/report-page.ts';
import { gpxOf, makeFolder, runProgram, write } from '../cli/run-program.ts';
import { sampleReport } from './sample-lake.ts';

const words = (html: string): string => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');

describe('words of the page', () => {
  test("messages are in the user's units, and the same sentence about several logs appears once", () => {
    const diagnostics = ['a.csv', 'b.csv'].map((file) => soundingPluginMessages['depth-reference']({ file }));
    const jump = soundingPluginMessages['position-jump']({ file: 'a.csv', line: 7 }, 351, 1);
    const [spot] = sampleReport(1).waypoints;
    const waypoints = [{ ...spot, diagnostics: [bottomMessages.sparse(undefined, 73)] }];
    const html = renderReport(
      sampleReport(1, { diagnostics: [...diagnostics, jump], waypoints, units: 'ft' }),
    );
    expect(html).toContain('2 logs: Depths are taken as measured from the water surface');
    expect(html).toContain(
      'a.csv:7: warning soundings/position-jump: Row dropped: its position is 1150 ft off the track',
    );
    expect(html).toContain('your passes are about 240 ft apart, too far for the uneven bottom here');
    expect(html).toContain('1 warning, 1 note');
  });

  test('a spot without a cast from either side offers its next angle as the next best', () => {
    const [spot] = sampleReport(1).waypoints;
    const { downslope, upslope: _, ...fields } = spot.fields;
    const alone: EnrichedWaypoint = {
      ...spot,
      diagnostics: [],
      fields: { ...fields, angles: [{ ...downslope!, kind: 'across' }] },
    };
    const text = words(renderReport(sampleReport(1, { waypoints: [alone] })));
    expect(text).toContain('No cast from the deep or the shallow side. Next best: see below.');
    expect(text).toContain('Next best Across the structure: boat in');
    expect(text).not.toContain('No cast is planned here');
  });

  test.each(['ft', 'm'] as const)(
    'the guide says why contact begins above the bottom line, in %s',
    (units) => {
      expect(readingGuide(units)).toMatch(
        /On bottom means within (1 ft|0\.3 m) of it, so the depths given for it may begin a little above the line of the bottom\./,
      );
    },
  );

  test.each([
    ['<metadata><name>North arm</name></metadata>', 'North arm'],
    ['', 'marks'],
  ])("the heading is the file's title, or else its name without extension", (metadata, heading) => {
    const cwd = makeFolder();
    const gpx = gpxOf([{ name: 'A1', lat: 35, lon: -85 }]);
    write(cwd, 'marks.gpx', gpx.replace('  <wpt', `${metadata}  <wpt`));
    const { status } = runProgram(['enrich', 'marks.gpx', '--report', 'r.html'], { cwd });
    expect(status).toBe(0);
    expect(readFileSync(join(cwd, 'r.html'), 'utf8')).toContain(`<h1>${heading}</h1>`);
  });
});
