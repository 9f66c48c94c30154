import { runSections } from '../sections.ts';
import { sections as scale } from './scale.ts';

/** `npm run bench [section...]`: prints speed and memory. */
await runSections(
  {
    'start-up': () => import('./start-up.ts'),
    gpx: () => import('./gpx.ts'),
    bottom: () => import('./bottom.ts'),
    soundings: () => import('./soundings.ts'),
    casts: () => import('./casts.ts'),
    lake: () => import('./lake.ts'),
    zones: () => import('./zones.ts'),
    'whole-lake': () => import('./whole-lake.ts'),
    'day-plan': () => import('./day-plan.ts'),
    boat: () => import('./boat.ts'),
    ...Object.fromEntries(Object.entries(scale).map(([name, section]) => [name, async () => ({ section })])),
  },
  process.argv.slice(2),
);
