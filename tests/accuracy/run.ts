import { runSections } from '../sections.ts';

/** `npm run accuracy [section...]`: errors against known bottoms, real soundings and reference solutions, printed. */
await runSections(
  {
    bottom: () => import('./bottom.ts'),
    casts: () => import('./casts.ts'),
    intake: () => import('./intake.ts'),
    'day-plan': () => import('./day-plan.ts'),
    lake: () => import('./lake.ts'),
  },
  process.argv.slice(2),
);
